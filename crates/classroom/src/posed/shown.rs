//! What a page shows of an exercise of a lecturer.

use super::check::Asked;
use super::{Document, Piece, Posed, pieces};
use crate::draw::StudentId;
use crate::shown::{Given, inline, told as told_with};
use gatefrost_core::catalogue::Parameter;
use gatefrost_core::document;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError, link as window};
use gatefrost_explain::Results;
use gatefrost_formula::{Symbol, unit};
use serde::Serialize;
use serde_json::Value;

/// Digits of a drawn number.
const DATA_DIGITS: usize = 6;

/// An input or a result that a lecturer can choose.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedChoice {
    /// Its path.
    pub path: String,
    /// Its name, with the place in a list.
    pub words: String,
    /// Its unit.
    pub unit: String,
    /// Its value in the scenario.
    pub value: String,
}

/// What a lecturer can choose from, of a scenario.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedShown {
    /// The scenario’s name.
    pub name: String,
    /// The scenario as the text of a link.
    pub scenario: String,
    /// Its inputs.
    pub inputs: Vec<PosedChoice>,
    /// Its results.
    pub results: Vec<PosedChoice>,
}

/// An input as a student sees it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedInput {
    /// Its path.
    pub path: String,
    /// Letter, name and value.
    pub given: Given,
    /// The value as a number in its unit.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Whether the student may change it.
    pub open: bool,
}

/// A result that is asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedResult {
    /// Its name.
    pub words: String,
    /// What it means.
    pub meaning: String,
    /// The unit that is expected; others are taken, too.
    pub unit: String,
    /// How far an answer may be off \[% of it\].
    pub tolerance_percent: f64,
    /// Points.
    pub points: u32,
}

/// An exercise as a student sees it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedTask {
    /// Its name in slips.
    pub name: String,
    /// Title.
    pub title: String,
    /// The id that the numbers were drawn for.
    pub id: String,
    /// The task.
    pub task: Vec<Piece>,
    /// The hints.
    pub hints: Vec<Vec<Piece>>,
    /// The inputs that are shown.
    pub inputs: Vec<PosedInput>,
    /// What is asked for.
    pub asked: Vec<PosedResult>,
    /// The fragment of the window with the student’s scenario, where the lecturer offers it.
    pub window: Option<String>,
}

/// What a result comes to over the numbers that students may have.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PosedSpan {
    /// The name of the result.
    pub words: String,
    /// Least value with its unit; empty where there is none.
    pub least: String,
    /// Greatest value with its unit; empty where there is none.
    pub most: String,
    /// Cases that have no such result.
    pub missing: usize,
    /// Cases that were computed.
    pub cases: usize,
}

/// A value of a result with its unit; a dash where there is none.
pub(super) fn told(value: Option<f64>, asked: &Asked) -> String {
    value.map_or_else(|| "–".to_owned(), |value| told_with(value, asked.entry.unit))
}

/// What a lecturer can choose from: the numbers of a scenario, and the results that it has.
///
/// # Errors
/// The scenario's problems.
pub fn choices(link: &str) -> Result<PosedShown, ScenarioError> {
    let scenario = super::code::opened(link)?;
    let report = gatefrost_report::evaluate(&scenario)?;
    let results = Results { report: &report, planned: None };
    let mut found = Vec::new();
    for entry in gatefrost_explain::all().filter(|entry| !entry.key.starts_with("plan.")) {
        for row in 0..entry.count(&results) {
            let Some(value) = (entry.value)(&results, row).filter(|value| value.is_finite()) else {
                continue;
            };
            let place = entry.rows.map(|rows| (rows.name)(&results, row));
            let words =
                place.map_or_else(|| entry.title.to_owned(), |name| format!("{}: {name}", entry.title));
            let choice = PosedChoice {
                path: entry.path(row),
                words,
                unit: entry.unit.to_owned(),
                value: told_with(value, entry.unit),
            };
            found.push(choice);
        }
    }
    Ok(PosedShown {
        name: scenario.name.clone(),
        scenario: link.to_owned(),
        inputs: numbers(&scenario),
        results: found,
    })
}

/// The numbers of a scenario, but those of the grid and of the figures.
fn numbers(scenario: &Scenario) -> Vec<PosedChoice> {
    let choice = |path: String, parameter: &Parameter, place: Option<&str>, value: f64| PosedChoice {
        path,
        words: place
            .map_or_else(|| parameter.title.to_owned(), |name| format!("{}: {name}", parameter.title)),
        unit: parameter.unit.to_owned(),
        value: with_unit(value, parameter.unit),
    };
    let mut found = Vec::new();
    for axis in [Axis::WallThickness, Axis::GateDepth, Axis::FlowRate] {
        let value = scenario.get(axis);
        if value.is_finite() {
            found.push(choice(axis.parameter().path(), axis.parameter(), None, value));
        }
    }
    let tree = document::tree(scenario).unwrap_or_default();
    for head in ["setup", "cavity", "mould", "machine", "feedstock"] {
        leaves(&tree[head], head, None, &mut |path, place, value| {
            if let Some(parameter) = gatefrost_core::catalogue::at(path) {
                found.push(choice(path.to_owned(), parameter, place, value));
            }
        });
    }
    found
}

/// Every number of a tree with its path, and the name of the place in a list in which it stands.
fn leaves(tree: &Value, path: &str, place: Option<&str>, take: &mut dyn FnMut(&str, Option<&str>, f64)) {
    let inner = |key: &str| format!("{path}.{key}");
    match tree {
        Value::Number(value) => take(path, place, value.as_f64().unwrap_or(f64::NAN)),
        Value::Array(list) => {
            for (at, one) in list.iter().enumerate() {
                let name = one["name"].as_str().map_or_else(|| (at + 1).to_string(), str::to_owned);
                leaves(one, &inner(&at.to_string()), Some(&name), take);
            }
        }
        Value::Object(map) => {
            for (key, one) in map.iter().filter(|(key, _)| *key != "uncertainty") {
                leaves(one, &inner(key), place, take);
            }
        }
        _ => {}
    }
}

fn with_unit(value: f64, unit: &str) -> String {
    let told = number(value, DATA_DIGITS);
    if unit.is_empty() { told } else { format!("{told} {unit}") }
}

impl Posed {
    /// What a student sees.
    ///
    /// # Errors
    /// What is wrong with the scenario that the student's numbers give.
    pub fn task(&self, id: &StudentId) -> Result<PosedTask, ScenarioError> {
        let own = self.own(id)?;
        let Document { title, task, hints, asked, inputs, window, .. } = &self.document;
        let shown = |((input, read), &value): ((&super::Input, &gatefrost_window::Input), &f64)| {
            let parameter = read.parameter;
            let symbol = Symbol {
                letter: parameter.symbol.into(),
                words: parameter.title.into(),
                unit: unit::PURE,
                value,
                digits: DATA_DIGITS,
            };
            PosedInput {
                path: input.path.clone(),
                given: Given {
                    mathml: inline(&symbol),
                    letter: parameter.symbol.to_owned(),
                    words: self.words(&input.path, parameter),
                    value: with_unit(value, parameter.unit),
                },
                value,
                unit: parameter.unit.to_owned(),
                open: input.open,
            }
        };
        let result = |(asked, wanted): (&Asked, &super::Wanted)| PosedResult {
            words: asked.entry.title.to_owned(),
            meaning: asked.entry.meaning.to_owned(),
            unit: asked.entry.unit.to_owned(),
            tolerance_percent: wanted.tolerance_percent,
            points: wanted.points,
        };
        Ok(PosedTask {
            name: self.name(),
            title: title.clone(),
            id: id.text().to_owned(),
            task: pieces(task),
            hints: hints.iter().map(|hint| pieces(hint)).collect(),
            inputs: inputs.iter().zip(&self.inputs).zip(&own.values).map(shown).collect(),
            asked: self.asked.iter().zip(asked).map(result).collect(),
            window: window.then(|| window::encode(&own.scenario)),
        })
    }

    /// The name of an input, with that of the passage it belongs to.
    fn words(&self, path: &str, parameter: &Parameter) -> String {
        let place = path.strip_prefix("cavity.passages.").and_then(|rest| rest.split('.').next());
        let passage = place.and_then(|at| self.scenario.cavity.passages.get(at.parse::<usize>().ok()?));
        passage.map_or_else(|| parameter.title.to_owned(), |one| format!("{}: {}", parameter.title, one.name))
    }

    /// The answers of a student as the solver gives them, with their units.
    ///
    /// # Errors
    /// What is wrong with the scenario that the student's numbers give.
    pub fn answers(&self, id: &StudentId) -> Result<Vec<String>, ScenarioError> {
        let values = self.solved(id)?;
        Ok(values.iter().zip(&self.asked).map(|(value, asked)| told(*value, asked)).collect())
    }

    /// What each result comes to at the ends of the ranges that are drawn from, for the lecturer to look at.
    ///
    /// # Errors
    /// What is wrong with a scenario at an end.
    pub fn spans(&self) -> Result<Vec<PosedSpan>, ScenarioError> {
        let solved = |values: &Vec<f64>| self.results(&self.with(values)?.scenario);
        let cases = self.ends().iter().map(solved).collect::<Result<Vec<_>, _>>()?;
        let span = |(at, asked): (usize, &Asked)| {
            let values: Vec<f64> = cases.iter().filter_map(|case| case[at]).collect();
            let least = values.iter().copied().reduce(f64::min);
            let most = values.iter().copied().reduce(f64::max);
            let shown = |value: Option<f64>| value.map_or_else(String::new, |value| told(Some(value), asked));
            PosedSpan {
                words: asked.entry.title.to_owned(),
                least: shown(least),
                most: shown(most),
                missing: cases.len() - values.len(),
                cases: cases.len(),
            }
        };
        Ok(self.asked.iter().enumerate().map(span).collect())
    }
}
