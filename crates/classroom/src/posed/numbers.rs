//! The numbers of one student, and the scenario that has them.

use super::Posed;
use crate::draw::{Draws, StudentId};
use gatefrost_core::format::{number, parsed};
use gatefrost_core::scenario::{Scenario, ScenarioError};

/// Version of the draw. It stands in the key of the generator.
const DRAW: u16 = 1;
/// Times that numbers are drawn anew, at most.
const ATTEMPTS: u32 = 100;
/// Digits of a drawn value: enough for any step that is written, too few for the error of a sum.
const DIGITS: usize = 9;

/// The numbers of a student.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Own {
    /// The value of each input of the document, in its unit.
    pub values: Vec<f64>,
    /// The scenario with them.
    pub scenario: Scenario,
}

impl Posed {
    /// The numbers of a student. Ids with an odd number at their end draw on until their numbers differ from those of both
    /// neighbours. Only the document decides, never the solver: a better model changes nobody's data.
    ///
    /// # Errors
    /// What is wrong with the scenario that they give.
    pub(super) fn own(&self, id: &StudentId) -> Result<Own, ScenarioError> {
        let others = id.neighbours().map(|ids| ids.map(|id| self.places(&id, 0)));
        let mut attempts = (0..ATTEMPTS).map(|attempt| self.places(id, attempt));
        let differs = |places: &Vec<u32>| others.iter().flatten().all(|other| other != places);
        let places = attempts.find(differs).unwrap_or_else(|| self.places(id, 0));
        self.with(&self.values(&places))
    }

    /// For each drawn input the place of a student's value among its values.
    fn places(&self, id: &StudentId, attempt: u32) -> Vec<u32> {
        let mut draws = Draws::new(&format!("own/{}", self.code), DRAW, attempt, id);
        let drawn = self.document.inputs.iter().filter_map(|input| input.drawn);
        drawn.map(|drawn| draws.below(drawn.count() as u32)).collect()
    }

    fn values(&self, places: &[u32]) -> Vec<f64> {
        let mut places = places.iter();
        let value = |(at, input): (usize, &super::Input)| match input.drawn {
            Some(drawn) => {
                let place = places.next().copied().unwrap_or(0);
                let value = drawn.from + f64::from(place) * drawn.step;
                parsed(&number(value, DIGITS)).unwrap_or(value)
            }
            None => self.inputs[at].value(&self.scenario).unwrap_or(f64::NAN),
        };
        self.document.inputs.iter().enumerate().map(value).collect()
    }

    /// The scenario with these values of the inputs, in their order.
    pub(super) fn with(&self, values: &[f64]) -> Result<Own, ScenarioError> {
        let mut scenario = self.scenario.clone();
        for ((input, own), &value) in self.inputs.iter().zip(&self.document.inputs).zip(values) {
            if own.drawn.is_none() && input.value(&scenario) == Some(value) {
                continue;
            }
            scenario = input.put(&scenario, value).ok_or_else(|| {
                ScenarioError::saying([format!("{} is {}", input.parameter.title, number(value, 6))])
            })?;
        }
        scenario.validate()?;
        Ok(Own { values: values.to_vec(), scenario })
    }

    /// Values at the ends of the ranges: everything at the least, everything at the greatest, and each input at its ends
    /// while the others are in the middle.
    pub(super) fn ends(&self) -> Vec<Vec<f64>> {
        let counts: Vec<u32> =
            self.document.inputs.iter().filter_map(|input| input.drawn).map(|d| d.count() as u32).collect();
        let middle: Vec<u32> = counts.iter().map(|count| count / 2).collect();
        let mut all = vec![middle.clone()];
        if !counts.is_empty() {
            all.push(vec![0; counts.len()]);
            all.push(counts.iter().map(|count| count - 1).collect());
        }
        for at in 0..counts.len() {
            for place in [0, counts[at] - 1] {
                let mut places = middle.clone();
                places[at] = place;
                all.push(places);
            }
        }
        all.iter().map(|places| self.values(places)).collect()
    }
}
