//! An explanation as it is told: texts, formulas and numbers in the reader's units.

use crate::entry::{Causes, Entry, Stands};
use crate::equations::Letter;
use crate::results::Root;
use crate::{Facts, View, at, causes};
use gatefrost_core::case::Case;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_formula::{Line, Writing};
use gatefrost_report::{Outcome, report_of};
use serde::Serialize;
use std::fmt;

/// Everything that is told of a result.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Explanation {
    /// Its path: in the report, or behind `plan.` in the plan of what follows the mould.
    pub key: String,
    /// The name of its section in the handbook.
    pub section: &'static str,
    /// Its name, with that of its row in a list.
    pub title: String,
    /// Its value with its unit; absent if there is none.
    pub value: Option<String>,
    /// What it means.
    pub meaning: &'static str,
    /// The equation that is solved, as MathML.
    pub equation: &'static str,
    /// The same as TeX.
    pub tex: &'static str,
    /// The letters of the equation.
    pub letters: Vec<LetterTold>,
    /// The lines of the estimate by hand.
    pub lines: Vec<LineTold>,
    /// The quantities in them.
    pub symbols: Vec<SymbolTold>,
    /// What the estimate gives, with its unit; absent without one.
    pub estimate: Option<String>,
    /// What the estimate is, and how it compares, in a sentence.
    pub compared: String,
    /// Why the two differ; empty where they do not.
    pub why: String,
    /// The way from the result to the estimate, one cause after another left out; the result first, the estimate last.
    pub causes: Vec<Cause>,
    /// The limit that it belongs to.
    pub limit: Option<LimitTold>,
    /// What the estimate rests on.
    pub source: &'static str,
}

/// A letter of the equation that is solved.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LetterTold {
    /// TeX.
    pub letter: &'static str,
    /// MathML.
    pub set: &'static str,
    /// What it is.
    pub words: &'static str,
}

/// A line of the estimate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LineTold {
    /// In letters, as MathML.
    pub letters: String,
    /// With the numbers put in, as MathML.
    pub numbers: String,
    /// In letters, as plain text.
    pub text: String,
    /// With the numbers put in, as plain text.
    pub text_with_numbers: String,
}

/// A quantity of the estimate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SymbolTold {
    /// Its letter as plain text.
    pub letter: String,
    /// Its letter as MathML.
    pub set: String,
    /// What it is.
    pub words: String,
    /// Its value with its unit.
    pub value: String,
}

/// A step from the result to the estimate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS), ts(rename = "CauseLeftOut"))]
pub struct Cause {
    /// What was left out, besides what was left out before.
    pub words: String,
    /// The value without it; absent if there is none.
    pub value: Option<String>,
}

/// The limit that a result belongs to.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LimitTold {
    /// Its name in documents.
    pub name: Limit,
    /// Its name for people.
    pub label: &'static str,
    /// What the report says of it; empty if nothing can break it here.
    pub sentence: String,
    /// Whether it is met; absent if nothing is said of it.
    pub met: Option<bool>,
}

/// Why a result is not explained.
#[derive(Debug)]
pub enum Unexplained {
    /// There is no such result in the list, or no such row in the report.
    NoSuchResult(String),
    /// The scenario has problems.
    Scenario(ScenarioError),
}

impl fmt::Display for Unexplained {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchResult(key) => write!(f, "{key:.60} is no result that can be explained"),
            Self::Scenario(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Unexplained {}

/// Explains the result at a path, such as `hold.gates.0.freeze_s` or `plan.sizes.oversize_factor`.
///
/// # Errors
/// If there is no such result, or the scenario has problems.
pub fn explain(scenario: &Scenario, key: &str, view: &View) -> Result<Explanation, Unexplained> {
    let (entry, row) = at(key).ok_or_else(|| Unexplained::NoSuchResult(key.to_owned()))?;
    scenario.validate().map_err(Unexplained::Scenario)?;
    let case = Case::resolve(scenario);
    let point = case.evaluate();
    let report = report_of(scenario, &point);
    let planned = Root::of(key).planned(scenario);
    let facts = Facts { scenario, point: &point, report: &report, planned: planned.as_ref() };
    if entry.rows.is_some() && row >= entry.count(&facts.results()) {
        return Err(Unexplained::NoSuchResult(key.to_owned()));
    }
    Ok(explain_of(&facts, entry, row, view))
}

/// Explains a result of a set point that has been evaluated.
pub fn explain_of(f: &Facts<'_>, entry: &'static Entry, row: usize, view: &View) -> Explanation {
    let told = |value: f64| view.told(value, entry.unit, entry.digits);
    let value = (entry.value)(&f.results(), row);
    let hand =
        (entry.hand)(f, row).and_then(|lines| match lines.iter().all(|line| line.value().is_finite()) {
            true => Ok(lines),
            false => Err("The estimate has no value here."),
        });
    let lines = hand.as_ref().map_or(&[][..], Vec::as_slice);
    let estimate = lines.last().map(Line::value);
    let steps = if value.is_some() { causes::steps(entry, f, row) } else { Vec::new() };
    let step =
        |(words, value): (&str, Option<f64>)| Cause { words: words.to_owned(), value: value.map(told) };
    let causes = match steps.is_empty() {
        true => Vec::new(),
        false => std::iter::once(("As computed", value))
            .chain(steps)
            .chain(estimate.map(|value| ("Estimate by hand", Some(value))))
            .map(step)
            .collect(),
    };
    let row_name = entry.rows.map(|rows| (rows.name)(&f.results(), row));
    Explanation {
        key: entry.path(row),
        section: entry.key,
        title: row_name.map_or_else(|| entry.title.to_owned(), |name| format!("{}, {name}", entry.title)),
        value: value.map(told),
        meaning: entry.meaning,
        equation: entry.equation.mathml,
        tex: entry.equation.tex,
        letters: entry.equation.letters.iter().map(letter_told).collect(),
        lines: lines.iter().map(|line| line_told(line, view)).collect(),
        symbols: symbols(lines, view),
        estimate: estimate.map(told),
        compared: compared(
            entry,
            value,
            &hand.as_ref().map(|_| estimate.unwrap_or(f64::NAN)).map_err(|e| *e),
            view,
        ),
        why: why(f, entry, value, estimate),
        causes,
        limit: entry.limit.map(|limit| limit_told(f, limit, view)),
        source: entry.source,
    }
}

fn letter_told(letter: &'static Letter) -> LetterTold {
    LetterTold { letter: letter.tex, set: letter.mathml, words: letter.words }
}

fn line_told(line: &Line, view: &View) -> LineTold {
    LineTold {
        letters: line.mathml(),
        numbers: line.mathml_with_numbers(view),
        text: line.text(),
        text_with_numbers: line.text_with_numbers(view),
    }
}

/// Every quantity of some lines once. What an earlier line gives is left out: the line says it.
fn symbols(lines: &[Line], view: &View) -> Vec<SymbolTold> {
    let mut found: Vec<SymbolTold> = Vec::new();
    for line in lines {
        for s in line.formula.symbols() {
            let given =
                lines.iter().any(|other| other.result.letter == s.letter && other.result.words == s.words);
            if !given && found.iter().all(|known| known.letter != s.letter || known.words != s.words) {
                found.push(SymbolTold {
                    letter: s.letter.to_string(),
                    set: format!("<math>{}</math>", s.mathml()),
                    words: s.words.to_string(),
                    value: s.told(view),
                });
            }
        }
    }
    found
}

/// Relative difference below which two values count as the same.
const ALIKE: f64 = 0.005;

/// How result and estimate compare.
fn compared(entry: &Entry, value: Option<f64>, estimate: &Result<f64, &str>, view: &View) -> String {
    let estimate = match estimate {
        Ok(estimate) => *estimate,
        Err(reason) => return format!("There is no estimate by hand. {reason}"),
    };
    let bound = match entry.stands {
        Stands::Same => return "The result is this formula.".to_owned(),
        Stands::Estimate => "",
        Stands::AtMost => " It is an upper bound.",
        Stands::AtLeast => " It is a lower bound.",
    };
    let Some(value) = value else { return format!("The result has no value here.{bound}") };
    let difference = estimate - value;
    if entry.unit == "°C" || entry.unit == "%" || value == 0.0 {
        let unit = if entry.unit == "%" { "%" } else { entry.unit };
        let points = if entry.unit == "%" { " (percentage points)" } else { "" };
        return format!("The estimate differs by {}{points}.{bound}", view.change(difference, unit, 2));
    }
    let share = difference / value.abs();
    if share.abs() < ALIKE {
        return format!("The estimate agrees within {} %.{bound}", view.number(100.0 * ALIKE, 1));
    }
    let way = if share < 0.0 { "less" } else { "more" };
    match share > 2.0 {
        true => format!("The estimate is {} times as much.{bound}", view.number(estimate / value, 2)),
        false => format!("The estimate is {} % {way}.{bound}", view.number(100.0 * share.abs(), 2)),
    }
}

fn why(f: &Facts<'_>, entry: &Entry, value: Option<f64>, estimate: Option<f64>) -> String {
    let (Some(_), Some(_)) = (value, estimate) else { return String::new() };
    let mut words = entry.why.to_owned();
    if matches!(entry.causes, Causes::Fill(_))
        && f.report.fill.outcome != Outcome::Full
        && entry.key != "fill.required_pressure_mpa"
    {
        words += " Here the machine’s pressure or the hold pressure does not suffice for the set rate, so that the fill is slower than in the estimate.";
    }
    words
}

fn limit_told(f: &Facts<'_>, limit: Limit, view: &View) -> LimitTold {
    let margin = f.report.margins.iter().find(|margin| margin.limit == limit);
    LimitTold {
        name: limit,
        label: limit.label(),
        sentence: margin.map_or_else(String::new, |margin| view.units.restated(&margin.sentence)),
        met: margin.map(|margin| margin.g >= 0.0),
    }
}

/// Change of a result relative to its size, where that has a meaning: not for temperatures, nor for shares that may be
/// zero or negative.
pub(crate) fn is_relative(unit: &str) -> bool {
    unit != "°C" && unit != "%"
}
