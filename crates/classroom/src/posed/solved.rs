//! The answers of a student, computed by the solver, and what became of what was typed.

use super::check::Asked as Wanted;
use super::{Posed, shown};
use crate::draw::StudentId;
use crate::judge::{Judgement, judge};
use crate::shown::Verdict;
use crate::task::Asked;
use crate::texts::{Said, Texts};
use gatefrost_core::scenario::{Problem, Scenario, ScenarioError};
use gatefrost_explain::Results;
use gatefrost_formula::{Line, symbol};

impl Posed {
    /// The answers of a student, in the units of the results; `None` where the solver gives none.
    ///
    /// # Errors
    /// What is wrong with the scenario that the student's numbers give.
    pub(super) fn solved(&self, id: &StudentId) -> Result<Vec<Option<f64>>, ScenarioError> {
        self.results(&self.own(id)?.scenario)
    }

    /// The results asked for, of a scenario.
    pub(super) fn results(&self, scenario: &Scenario) -> Result<Vec<Option<f64>>, ScenarioError> {
        let report = gatefrost_report::evaluate(scenario)?;
        let results = Results { report: &report, planned: None };
        let value = |asked: &Wanted| {
            let there = asked.row < asked.entry.count(&results);
            let value = if there { (asked.entry.value)(&results, asked.row) } else { None };
            value.filter(|value| value.is_finite())
        };
        Ok(self.asked.iter().map(value).collect())
    }

    /// What is judged: the result at a place, with a value in its unit.
    fn asked(&self, at: usize, value: f64) -> Asked {
        let (Wanted { entry, unit, .. }, wanted) = (self.asked[at], &self.document.asked[at]);
        let line = Line::new("x", entry.title, unit, symbol("x", entry.title, unit, value));
        // A temperature is off by a share of its degrees, not of its kelvins.
        let share = 0.01 * wanted.tolerance_percent * (value / unit.to_si(value) * unit_size(unit)).abs();
        let [least, most] = wanted.figures;
        Asked::new(line, unit.to_si(value)).within(share).figures(least, most)
    }

    /// Judges what was typed against answers.
    pub(super) fn judged_against(&self, values: &[Option<f64>], typed: &[String]) -> Vec<Verdict> {
        let verdict = |(at, value): (usize, &Option<f64>)| match value {
            Some(value) => {
                let asked = self.asked(at, *value);
                let typed = typed.get(at).map_or("", String::as_str);
                Verdict::of(&judge(&asked, asked.by_hand(), typed))
            }
            None => Verdict::of(&Judgement::none(
                Said::new("own-nothing").with("result", self.asked[at].entry.title),
            )),
        };
        values.iter().enumerate().map(verdict).collect()
    }

    /// Judges all answers of a student; one that is missing counts as empty.
    ///
    /// # Errors
    /// What is wrong with the scenario that the student's numbers give.
    pub fn judged(&self, id: &StudentId, typed: &[String]) -> Result<Vec<Verdict>, ScenarioError> {
        Ok(self.judged_against(&self.solved(id)?, typed))
    }

    /// Points of a hundred that some verdicts come to, by the points of each result.
    pub fn points(&self, verdicts: &[Verdict]) -> u32 {
        let weights = self.document.asked.iter().map(|wanted| wanted.points);
        let all: u32 = weights.clone().sum();
        let got: u32 = weights.zip(verdicts).map(|(weight, verdict)| weight * verdict.points).sum();
        got / all.max(1)
    }

    /// The results asked for with other values of open inputs: the value of each input that differs, by its path.
    ///
    /// # Errors
    /// Names an input that is locked or no input, and a value out of its range.
    pub fn tried(&self, id: &StudentId, changed: &[(String, f64)]) -> Result<Vec<String>, ScenarioError> {
        let mut values = self.own(id)?.values;
        for (path, value) in changed {
            let at = self.document.inputs.iter().position(|input| input.open && input.path == *path);
            let Some(at) = at else {
                let shown = gatefrost_core::format::quoted(path);
                return Err(problem(path, &Said::new("own-locked").with("value", shown)));
            };
            let parameter = self.inputs[at].parameter;
            if !parameter.accepts(*value) {
                let said = Said::new("own-range").with("field", parameter.title);
                let told = gatefrost_core::format::number(*value, 6);
                return Err(problem(path, &said.with("value", told).with("accepted", parameter.accepted())));
            }
            values[at] = *value;
        }
        let results = self.results(&self.with(&values)?.scenario)?;
        Ok(results.iter().zip(&self.asked).map(|(value, asked)| shown::told(*value, asked)).collect())
    }
}

fn problem(path: &str, said: &Said) -> ScenarioError {
    let message = Texts::english().say(said);
    ScenarioError { problems: vec![Problem { path: path.to_owned(), message }] }
}

/// How many SI units a unit has.
fn unit_size(unit: gatefrost_formula::Unit) -> f64 {
    unit.to_si(1.0) - unit.to_si(0.0)
}
