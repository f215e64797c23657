//! The set point that withstands the largest disturbance of all settings at once.

mod failing;
mod search;
mod seen;
mod space;

pub use failing::Failing;
use search::AMPLE;
use space::SearchSpace;

use super::surrogate::ask;
use super::{DISTURBED, SET, Values, bounds, standing};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError};
use serde::{Deserialize, Serialize};

/// Larger disturbances, in standard deviations, are not considered.
const MOST: f64 = 30.0;
/// The fine search is skipped if the coarse estimate is below this fraction of the target.
const DOUBTED: f64 = 0.4;
/// A place is at the edge of the box within this share of its width.
const EDGE: f64 = 0.1;

/// The set point that withstands the largest disturbance.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Best {
    /// What would be set: setting and value, in edge units.
    pub settings: Vec<(Axis, f64)>,
    /// How far from the present set point was searched, in edge units: the box follows a place at its edge,
    /// a few times.
    pub within: Vec<(Axis, f64)>,
    /// Settings in which the best set point lies at the edge of the searched box, so that a better one may lie
    /// beyond.
    pub at_edge: Vec<(Axis, f64)>,
    /// Largest disturbance that it withstands, in standard deviations of all settings at once. Negative if it lies
    /// outside; then no set point nearby is inside.
    pub bears: f64,
    /// Whether this is ample, so that the search stopped.
    pub ample: bool,
    /// The same for the present set point.
    pub present_bears: f64,
    /// What fails first at the best set point, nearest first.
    pub failing: Vec<Failing>,
    /// The same at the present one.
    pub present_failing: Vec<Failing>,
}

/// Searches the settings for the point x where min over the limits of g(x)/‖σ ∂g/∂x‖ is largest: there the
/// largest ellipsoid of disturbances touches the nearest limit. A surrogate of the margins proposes candidates and
/// is refined by evaluations around the best of them. At the end each distance is corrected with the model's own
/// margins at the place where the limit should be reached, the nearest ones twice.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn best(scenario: &Scenario) -> Result<Best, ScenarioError> {
    Ok(Best::of(scenario, found(scenario)?, present(scenario)?))
}

/// A set point and what fails first there: half of the work, for several workers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Tried {
    place: Values,
    /// How far from the present set point was searched.
    within: Values,
    failing: Vec<Failing>,
}

/// The set point that the search finds.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn found(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    Ok(SearchSpace::new(scenario, standing(scenario)).find(MOST, f64::NEG_INFINITY))
}

/// The present one.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn present(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    Ok(tried_at(scenario, standing(scenario)))
}

/// A set point that withstands this much by the scenario's own model: the best near the present one, the present
/// one itself, or one that a shorter search finds from a place found for another gate.
pub(super) fn place_that_bears(scenario: &Scenario, enough: f64, from: Option<Values>) -> Option<Values> {
    let here = standing(scenario);
    let search = SearchSpace::new(scenario, from.unwrap_or(here));
    let inside = |place: Values| search.least(&ask(scenario, &[place])[0]) >= 0.0;
    let bears = |place: Values| inside(place) && search.tried(place).bears() >= enough;
    if from.is_some_and(bears) {
        return from;
    }
    let tried = search.find(enough, DOUBTED * enough);
    if tried.bears() >= enough {
        return Some(tried.place);
    }
    bears(here).then_some(here)
}

/// What fails first at a place that need not be the set point.
pub(super) fn tried_at(scenario: &Scenario, place: Values) -> Tried {
    SearchSpace::new(scenario, place).tried(place)
}

impl Tried {
    /// Largest disturbance that it withstands, in standard deviations; negative outside.
    pub fn bears(&self) -> f64 {
        self.failing.first().map_or(MOST, |f| f.at)
    }

    /// The limit that fails first, within 30 standard deviations.
    pub(super) fn first_limit(&self) -> Option<Limit> {
        self.failing.first().map(|f| f.limit)
    }
}

impl Best {
    /// The better of what was found and what is there.
    pub fn of(scenario: &Scenario, found: Tried, present: Tried) -> Self {
        let present_bears = present.bears();
        // The surrogate's best may turn out no better than the present set point.
        let (within, better) = (found.within, found.bears() > present_bears);
        let best = if better { found } else { present.clone() };
        let (standing, computable) = (standing(scenario), bounds(scenario));
        let at_edge = |k: &usize| {
            let there = (best.place[*k] - standing[*k]).abs() >= (1.0 - EDGE) * within[*k];
            there && computable[*k].iter().all(|edge| (best.place[*k] - edge).abs() > EDGE * within[*k])
        };
        Self {
            settings: settings(&best.place),
            within: settings(&within),
            at_edge: (0..SET).filter(at_edge).map(|k| (DISTURBED[k], best.place[k])).collect(),
            bears: best.bears(),
            ample: best.bears() >= AMPLE,
            present_bears,
            failing: best.failing,
            present_failing: present.failing,
        }
    }
}

pub(super) fn settings(x: &Values) -> Vec<(Axis, f64)> {
    DISTURBED.into_iter().zip(*x).take(SET).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::document;
    use gatefrost_core::scenario::demo;

    /// Computed in two halves that were written and read in between, it is the same to the last bit.
    #[test]
    fn two_halves_are_the_whole() {
        let mut scenario = demo::default_demo().scenario();
        scenario.model = scenario.model.at_most(10, 5);
        let sent = |tried: Tried| -> Tried {
            let text = document::write(&tried).expect("plain data");
            document::read(&text).expect("the same")
        };
        let (found, present) = (found(&scenario).expect("valid"), present(&scenario).expect("valid"));
        assert!(!present.failing.is_empty());
        let best = best(&scenario).expect("valid");
        assert_eq!(Best::of(&scenario, sent(found), sent(present)), best);
    }
}
