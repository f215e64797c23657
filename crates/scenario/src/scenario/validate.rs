//! Bad input, said clearly: the field, its value and the accepted range.

use super::{FlowLaw, MAX_HOLD_STEPS, MAX_PASSAGES, PvtLaw, Scenario, VERSION};
use crate::catalogue::{self, Parameter};
use crate::document;
use crate::format::number;
use crate::uncertainty::Uncertainty;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt;

/// One thing wrong with a scenario.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// Path of the field, such as `setup.melt_temperature`; empty when the whole document is meant.
    pub path: String,
    /// What is wrong, with the value and the accepted range.
    pub message: String,
}

/// All that is wrong with a scenario.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScenarioError {
    /// The problems, at least one.
    pub problems: Vec<Problem>,
}

impl ScenarioError {
    /// An error of the document as a whole.
    pub(crate) fn malformed(message: String) -> Self {
        Self { problems: vec![Problem { path: String::new(), message }] }
    }

    /// An error of reading. Where a catalogued number should stand, says what stands there instead
    /// and what may.
    pub(crate) fn unreadable(text: &str, path: String, error: &serde_json::Error) -> Self {
        let said = error.to_string();
        let wrong_kind =
            ["must be", "number out of range", "expected value", "expected ident", "invalid number"];
        let parameter = catalogue::at(&path).filter(|_| wrong_kind.iter().any(|w| said.starts_with(w)));
        let message = parameter.map_or_else(
            || document::in_words(error),
            |p| {
                let range = p.range_text();
                let accepted = if p.whole {
                    format!("accepted is a whole number, {range}")
                } else {
                    format!("accepted is a number, {range}")
                };
                match word_at(text, error.line(), error.column()) {
                    Some(word) => format!("{} is {word:.40}; {accepted}", p.title),
                    None => format!("{}; {accepted}", document::in_words(error)),
                }
            },
        );
        // Of the document as a whole the sentence needs a subject.
        let whole = path.is_empty() && ["is ", "ends ", "must "].iter().any(|verb| message.starts_with(verb));
        let message = if whole { format!("the document {message}") } else { message };
        Self { problems: vec![Problem { path, message }] }
    }
}

/// The word of a JSON text that a position (both from 1, the column in bytes) lies in or ends.
fn word_at(text: &str, line: usize, column: usize) -> Option<&str> {
    let line = text.lines().nth(line.checked_sub(1)?)?;
    let place = column.checked_sub(1)?;
    let (before, after) = (line.get(..place)?, line.get(place..)?);
    if after.starts_with('"') {
        return line.get(before.rfind('"')?..=place);
    }
    let ends = |c: char| c.is_whitespace() || ",:{}[]\"".contains(c);
    let start = before.rfind(ends).map_or(0, |i| i + 1);
    let end = place + after.find(ends).unwrap_or(after.len());
    line.get(start..end).filter(|word| !word.is_empty())
}

impl fmt::Display for ScenarioError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.problems.iter().enumerate() {
            let newline = if i > 0 { "\n" } else { "" };
            if p.path.is_empty() {
                write!(f, "{newline}{}", p.message)?;
            } else {
                write!(f, "{newline}{}: {}", p.path, p.message)?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for ScenarioError {}

impl Scenario {
    /// Checks every number against its catalogued range and the rules that tie fields together, for
    /// the set point; [`Self::validate_plane`] does so for the window.
    ///
    /// # Errors
    /// Lists all the problems found.
    pub fn validate(&self) -> Result<(), ScenarioError> {
        let mut problems = Vec::new();
        self.check_document(&mut problems);
        self.check_numbers(&mut problems);
        if problems.is_empty() {
            self.check_feedstock(&mut problems);
            self.check_cavity(&mut problems);
            self.check_setup(&mut problems);
        }
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    /// Checks the set point, and that the whole plane of the window can be computed.
    ///
    /// # Errors
    /// Lists all the problems found.
    pub fn validate_plane(&self) -> Result<(), ScenarioError> {
        self.validate()?;
        let mut problems = Vec::new();
        self.check_window(&mut problems);
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    fn check_document(&self, problems: &mut Vec<Problem>) {
        if self.gatefrost != VERSION {
            problems.push(problem(
                "gatefrost",
                format!("this is version {} of the document; version {VERSION} is read here", self.gatefrost),
            ));
        }
        let texts = [
            ("name", &self.name, 120),
            ("notes", &self.notes, 4000),
            ("feedstock.name", &self.feedstock.name, 120),
            ("feedstock.provenance", &self.feedstock.provenance, 400),
        ];
        for (path, text, most) in texts {
            let length = text.chars().count();
            if length > most {
                problems.push(problem(path, format!("has {length} characters; at most {most} are accepted")));
            }
        }
        let count = self.cavity.passages.len();
        if count == 0 {
            problems.push(problem("cavity.passages", "is empty; at least one passage is needed".to_owned()));
        }
        if count > MAX_PASSAGES {
            problems.push(problem(
                "cavity.passages",
                format!("has {count} passages; at most {MAX_PASSAGES} are accepted"),
            ));
        }
        let steps = self.setup.further_hold.len();
        if steps > MAX_HOLD_STEPS {
            problems.push(problem(
                "setup.further_hold",
                format!("has {steps} steps; at most {MAX_HOLD_STEPS} are accepted"),
            ));
        }
        if let Some(Err(refused)) = self.feedstock.uncertainty.as_ref().map(Uncertainty::validate) {
            let placed = refused
                .problems
                .into_iter()
                .map(|p| Problem { path: format!("feedstock.uncertainty.{}", p.path), message: p.message });
            problems.extend(placed);
        }
        for (i, passage) in self.cavity.passages.iter().enumerate().take(MAX_PASSAGES) {
            let length = passage.name.chars().count();
            if length > 60 {
                problems.push(problem(
                    &format!("cavity.passages.{i}.name"),
                    format!("has {length} characters; at most 60 are accepted"),
                ));
            }
        }
    }

    /// Ranges: walks the document's numbers and asks the catalogue about each.
    pub(super) fn check_numbers(&self, problems: &mut Vec<Problem>) {
        // JSON has no NaN: a number that is not finite turns into null here and is caught as such.
        let Ok(document) = document::tree(self) else {
            problems.push(problem("", "cannot be written as a document".to_owned()));
            return;
        };
        walk(&document, &mut String::new(), &mut |path, value| {
            let Some(parameter) = catalogue::at(path) else { return };
            let absent_is_fine = value.is_null() && parameter.default.is_none();
            if !absent_is_fine {
                check_number(parameter, path, value.as_f64(), problems);
            }
        });
    }

    pub(super) fn check_feedstock(&self, problems: &mut Vec<Problem>) {
        let f = &self.feedstock;
        if f.sintered_density <= f.solids_loading {
            problems.push(problem(
                "feedstock.sintered_density",
                format!(
                    "is {} %; it must exceed the solids loading, {} vol%: a part does not grow on sintering",
                    f.sintered_density, f.solids_loading
                ),
            ));
        }
        for (path, value) in [
            ("feedstock.solids_loading", f.solids_loading),
            ("feedstock.measured_loading", f.measured_loading),
        ] {
            if value >= f.critical_loading {
                problems.push(problem(
                    path,
                    format!(
                        "is {value} vol%; it must stay below the critical loading, {} vol%, where the viscosity diverges",
                        f.critical_loading
                    ),
                ));
            }
        }
        if f.latent_heat > 0.0 && f.liquidus < f.solidus + 1.0 {
            problems.push(problem(
                "feedstock.liquidus",
                format!(
                    "is {} °C; setting must begin at least 1 K above where it ends, {} °C",
                    f.liquidus, f.solidus
                ),
            ));
        }
        if let PvtLaw::Tait(t) = &f.pvt
            && t.b1s + t.b7 > t.b1m + 1e-9
        {
            problems.push(problem(
                "feedstock.pvt.tait.b7",
                format!(
                    "is {} cm³/g; solid and melting together, {} cm³/g, must not take more room than the melt, {} cm³/g",
                    t.b7,
                    number(t.b1s + t.b7, 6),
                    t.b1m
                ),
            ));
        }
        if let FlowLaw::CrossWlf(c) = &f.flow_law {
            let coldest = self.setup.mould_temperature.min(self.setup.melt_temperature);
            if c.a2 + coldest - c.d2 <= 1.0 {
                problems.push(problem(
                    "feedstock.flow_law.cross_wlf.d2",
                    format!(
                        "is {} °C; the WLF form needs A2 + T − D2 above 1 K down to the mould temperature, {coldest} °C: accepted is less than {} °C",
                        c.d2,
                        c.a2 + coldest - 1.0
                    ),
                ));
            }
        }
    }

    pub(super) fn check_setup(&self, problems: &mut Vec<Problem>) {
        let (melt, mould) = (self.setup.melt_temperature, self.setup.mould_temperature);
        if mould > melt {
            problems.push(problem(
                "setup.mould_temperature",
                format!("is {mould} °C; it must not exceed the melt temperature, {melt} °C"),
            ));
        }
        let most = self.machine.max_pressure;
        let further = self.setup.further_hold.iter().enumerate();
        let further = further.map(|(i, s)| (format!("setup.further_hold.{i}.pressure"), s.pressure));
        for (path, hold) in
            std::iter::once(("setup.hold_pressure".to_owned(), self.setup.hold_pressure)).chain(further)
        {
            if hold > most {
                problems.push(problem(
                    &path,
                    format!("is {hold} MPa; it must not exceed the greatest injection pressure, {most} MPa"),
                ));
            }
        }
        let no_flow = self.feedstock.no_flow_temperature;
        if melt <= no_flow {
            problems.push(problem(
                "setup.melt_temperature",
                format!("is {melt} °C; it must exceed the no-flow temperature, {no_flow} °C"),
            ));
        }
    }
}

/// Whether a catalogued number lies in its range; `None` stands for one that is not finite.
pub(super) fn check_number(
    parameter: &Parameter,
    path: &str,
    found: Option<f64>,
    problems: &mut Vec<Problem>,
) {
    if found.is_some_and(|v| parameter.accepts(v)) {
        return;
    }
    let shown = found.map_or_else(|| "not a finite number".to_owned(), |v| number(v, 6));
    let whole = if parameter.whole { ", whole" } else { "" };
    problems.push(problem(
        path,
        format!("{} is {shown}; accepted is {}{whole}", parameter.title, parameter.range_text()),
    ));
}

pub(super) fn problem(path: &str, message: String) -> Problem {
    Problem { path: path.to_owned(), message }
}

/// Visits every leaf of a document with its dotted path.
pub(super) fn walk(value: &Value, path: &mut String, visit: &mut impl FnMut(&str, &Value)) {
    let length = path.len();
    let mut step = |name: &str, child: &Value, path: &mut String| {
        if length > 0 {
            path.push('.');
        }
        path.push_str(name);
        walk(child, path, visit);
        path.truncate(length);
    };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, child)| step(name, child, path)),
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(i, child)| step(&i.to_string(), child, path));
        }
        leaf => visit(path, leaf),
    }
}
