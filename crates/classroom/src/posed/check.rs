//! The check of an exercise. What has passed it can be computed for every student.

use super::code::{named, opened};
use super::{Document, Drawn, Input, VERSION, Wanted};
use crate::draw::fnv_1a;
use crate::texts::{Said, Texts};
use gatefrost_core::document;
use gatefrost_core::format::{number, quoted};
use gatefrost_core::scenario::{Problem, Scenario, ScenarioError};
use gatefrost_explain::Entry;
use gatefrost_formula::unit;
use gatefrost_window as window;
use std::ops::RangeInclusive;

/// Characters of the texts.
const TITLE: RangeInclusive<usize> = 1..=120;
const TASK: RangeInclusive<usize> = 1..=4000;
const HINT: RangeInclusive<usize> = 1..=1000;
/// Lengths of the lists.
const HINTS: RangeInclusive<usize> = 0..=8;
const INPUTS: RangeInclusive<usize> = 0..=24;
const DRAWN: RangeInclusive<usize> = 0..=6;
const ASKED: RangeInclusive<usize> = 1..=8;
/// Values that an input is drawn from.
const VALUES: RangeInclusive<usize> = 2..=1000;
const TOLERANCE: [f64; 2] = [0.01, 50.0];
const FIGURES: RangeInclusive<u32> = 1..=9;
const POINTS: RangeInclusive<u32> = 1..=100;
/// Cells and layers of a grid on which a phone computes a student's case in about a second.
const MOST_CELLS: u32 = 100;
const MOST_LAYERS: u32 = 40;

/// An exercise that has been checked.
#[derive(Debug, Clone)]
pub struct Posed {
    /// What was checked.
    pub document: Document,
    /// The scenario without anybody's own numbers.
    pub(super) scenario: Scenario,
    /// The inputs of the document.
    pub(super) inputs: Vec<window::Input>,
    /// The results asked for, with their rows in lists.
    pub(super) asked: Vec<Asked>,
    /// What names the numbers of the exercise, in slips and in the draw.
    pub code: String,
}

/// A result asked for.
#[derive(Clone, Copy)]
pub(super) struct Asked {
    pub entry: &'static Entry,
    pub row: usize,
    pub unit: unit::Unit,
}

impl std::fmt::Debug for Asked {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.entry.path(self.row))
    }
}

/// The result of the report at a path, with its unit.
pub(super) fn result(path: &str) -> Option<Asked> {
    let (entry, row) = gatefrost_explain::at(path).filter(|_| !path.starts_with("plan."))?;
    Some(Asked { entry, row, unit: unit::named(entry.unit)? })
}

/// Problems that have been found.
#[derive(Default)]
struct Found(Vec<Problem>);

impl Found {
    fn say(&mut self, path: &str, said: Said) {
        let field = named(path).unwrap_or_else(|| path.to_owned());
        let message = Texts::english().say(&said.with("field", field));
        self.0.push(Problem { path: path.to_owned(), message });
    }

    fn count(&mut self, path: &str, count: usize, accepted: &RangeInclusive<usize>) {
        if !accepted.contains(&count) {
            let (least, most) = (accepted.start(), accepted.end());
            let said = Said::new("own-count").with("count", count);
            self.say(path, said.with("least", least).with("most", most));
        }
    }

    fn text(&mut self, path: &str, text: &str, accepted: &RangeInclusive<usize>) {
        let count = text.trim().chars().count();
        if !accepted.contains(&count) {
            let (least, most) = (accepted.start(), accepted.end());
            let said = Said::new("own-length").with("count", count);
            self.say(path, said.with("least", least).with("most", most));
        }
        if let Some(found) = text.chars().find(|c| c.is_control() && *c != '\n') {
            self.say(path, Said::new("own-character").with("code", format!("U+{:04X}", u32::from(found))));
        }
    }

    fn range(&mut self, path: &str, value: f64, accepted: impl Into<String>) {
        let value = number(value, 6);
        self.say(path, Said::new("own-range").with("value", value).with("accepted", accepted.into()));
    }

    fn within(&mut self, path: &str, value: u32, accepted: &RangeInclusive<u32>) {
        if !accepted.contains(&value) {
            self.range(path, f64::from(value), format!("{} to {}", accepted.start(), accepted.end()));
        }
    }

    /// Problems of a scenario, for the field that led to it.
    fn of_scenario(&mut self, path: &str, error: ScenarioError) {
        if let Some(problem) = error.problems.into_iter().next() {
            self.say(path, Said::new("own-scenario-wrong").with("words", problem.message));
        }
    }
}

impl Posed {
    /// Reads an exercise and checks it; see [`super::read`].
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn read(text: &str) -> Result<Self, ScenarioError> {
        Self::of(super::read(text)?)
    }

    /// Checks an exercise.
    ///
    /// # Errors
    /// All that is wrong with it, each with the field, its value and what is accepted.
    pub fn of(mut document: Document) -> Result<Self, ScenarioError> {
        let mut found = Found::default();
        if document.gatefrost_exercise != VERSION {
            found.range("gatefrost_exercise", f64::from(document.gatefrost_exercise), VERSION.to_string());
        }
        let texts = [&mut document.title, &mut document.task].into_iter().chain(&mut document.hints);
        texts.for_each(|text| *text = text.replace("\r\n", "\n").trim().to_owned());
        found.text("title", &document.title, &TITLE);
        if document.title.contains('\n') {
            found.say("title", Said::new("own-character").with("code", "U+000A"));
        }
        found.text("task", &document.task, &TASK);
        found.count("hints", document.hints.len(), &HINTS);
        for (at, hint) in document.hints.iter().take(*HINTS.end()).enumerate() {
            found.text(&format!("hints.{at}"), hint, &HINT);
        }
        found.count("inputs", document.inputs.len(), &INPUTS);
        found.count("asked", document.asked.len(), &ASKED);
        found.count("inputs", document.inputs.iter().filter(|input| input.drawn.is_some()).count(), &DRAWN);
        let asked = wanted(&document.asked, &mut found);
        let scenario = match opened(&document.scenario) {
            Ok(scenario) => scenario,
            Err(error) => {
                found.of_scenario("scenario", error);
                return Err(ScenarioError { problems: found.0 });
            }
        };
        grid(&scenario, &mut found);
        let inputs = inputs(&document.inputs, &scenario, &mut found);
        if !found.0.is_empty() {
            return Err(ScenarioError { problems: found.0 });
        }
        let code = code(&document);
        Ok(Self { document, scenario, inputs, asked, code })
    }
}

fn grid(scenario: &Scenario, found: &mut Found) {
    let model = &scenario.model;
    for (path, value, most) in
        [("model.axial_cells", model.axial_cells, MOST_CELLS), ("model.layers", model.layers, MOST_LAYERS)]
    {
        if value > most {
            let name = gatefrost_core::naming::title(path).unwrap_or(path);
            let said = Said::new("own-grid").with("name", name).with("value", value).with("most", most);
            found.say("scenario", said);
        }
    }
}

fn wanted(asked: &[Wanted], found: &mut Found) -> Vec<Asked> {
    let mut results = Vec::new();
    for (at, one) in asked.iter().take(*ASKED.end()).enumerate() {
        let path = |field: &str| format!("asked.{at}.{field}");
        match result(&one.path) {
            Some(result) => results.push(result),
            None => found.say(&path("path"), Said::new("own-no-result").with("value", quoted(&one.path))),
        }
        if asked[..at].iter().any(|other| other.path == one.path) {
            found.say(&path("path"), Said::new("own-twice").with("value", quoted(&one.path)));
        }
        let [least, most] = TOLERANCE;
        // Written so that what is no number is refused.
        if !(one.tolerance_percent >= least && one.tolerance_percent <= most) {
            found.range(&path("tolerance_percent"), one.tolerance_percent, format!("{least} to {most} %"));
        }
        let [few, many] = one.figures;
        found.within(&path("figures"), few, &FIGURES);
        found.within(&path("figures"), many, &FIGURES);
        if few > many {
            found.range(&path("figures"), f64::from(few), format!("1 to {many}"));
        }
        found.within(&path("points"), one.points, &POINTS);
    }
    results
}

fn inputs(inputs: &[Input], scenario: &Scenario, found: &mut Found) -> Vec<window::Input> {
    let mut read = Vec::new();
    for (at, one) in inputs.iter().take(*INPUTS.end()).enumerate() {
        let path = format!("inputs.{at}.path");
        let Some(input) = window::Input::at(scenario, &one.path) else {
            found.say(&path, Said::new("own-no-input").with("value", quoted(&one.path)));
            continue;
        };
        if one.path.starts_with("model.") || one.path.starts_with("window.") {
            found.say(&path, Said::new("own-no-input").with("value", quoted(&one.path)));
        }
        if inputs[..at].iter().any(|other| other.path == one.path) {
            found.say(&path, Said::new("own-twice").with("value", quoted(&one.path)));
        }
        if let Some(drawn) = &one.drawn {
            range(at, drawn, &input, scenario, found);
        }
        read.push(input);
    }
    read
}

/// Checks what an input is drawn from: a range that the input accepts, and at both ends a scenario that can be computed.
fn range(at: usize, drawn: &Drawn, input: &window::Input, scenario: &Scenario, found: &mut Found) {
    let path = |field: &str| format!("inputs.{at}.drawn.{field}");
    let parameter = input.parameter;
    let mut refused = false;
    for (field, value) in [("from", drawn.from), ("to", drawn.to)] {
        if !parameter.accepts(value) {
            found.range(&path(field), value, parameter.accepted());
            refused = true;
        }
    }
    if refused {
        return;
    }
    let least = number(drawn.from, 6);
    if drawn.to <= drawn.from {
        let accepted = Texts::english().say(&Said::new("own-above").with("least", &least));
        found.range(&path("to"), drawn.to, accepted);
        return;
    }
    let whole = parameter.whole && drawn.step.fract() != 0.0;
    if whole || !VALUES.contains(&drawn.count()) {
        let accepted = Texts::english().say(&Said::new("own-steps").with("most", VALUES.end()));
        found.range(&path("step"), drawn.step, accepted);
        return;
    }
    for (field, value) in [("from", drawn.from), ("to", drawn.to)] {
        let put = input.put(scenario, value).map(|scenario| scenario.validate());
        if let Some(Err(error)) = put {
            found.of_scenario(&path(field), error);
        }
    }
}

impl Drawn {
    /// How many values there are; less than 2 or far too many where the step is not positive. A last step that is short is
    /// none.
    pub(super) fn count(&self) -> usize {
        // The share keeps a last step that rounding has shortened.
        let steps = ((self.to - self.from) / self.step + 1e-9).floor();
        if steps.is_finite() && steps < 1e6 { steps as usize + 1 } else { usize::MAX }
    }
}

/// Names the numbers of an exercise: a hash of its scenario, of what is drawn and of what is asked. The texts, points and
/// tolerances do not count, so that a corrected word changes nobody's numbers.
fn code(document: &Document) -> String {
    let Document { scenario, inputs, asked, .. } = document;
    let drawn: Vec<_> =
        inputs.iter().filter_map(|input| input.drawn.map(|d| (&input.path, d.from, d.to, d.step))).collect();
    let paths: Vec<_> = asked.iter().map(|wanted| &wanted.path).collect();
    let text = document::write(&(scenario, drawn, paths)).unwrap_or_default();
    format!("{:010x}", fnv_1a(text.as_bytes()) >> 24)
}
