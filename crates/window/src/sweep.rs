//! One input against the window: for each of several values the usable share of the plane and the best reserve in it.

use crate::{Detail, closest, surface, window};
use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::document;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// An input that can be swept.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its title, unit and range.
    pub parameter: &'static Parameter,
    path: String,
    /// The setting that it is, where it is no single number of the document.
    axis: Option<Axis>,
}

/// Why an input cannot be swept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unswept {
    /// The scenario has no such number.
    Unknown,
    /// It spans the plane, so that the window does not depend on its value.
    Spans,
}

/// The window with the input at one value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Swept {
    /// The value, in edge units.
    pub value: f64,
    /// Usable share of the plane \[%\].
    pub usable_percent: Option<f64>,
    /// Best reserve: the margin of the nearest limit at the place of the plane where that margin is greatest. Negative
    /// if no place is usable.
    pub reserve: Option<f64>,
    /// The limit that is nearest there.
    pub limit: Option<Limit>,
    /// Where that is, in edge units.
    pub place: Option<[f64; 2]>,
    /// Why the plane cannot be computed with this value.
    pub problem: Option<String>,
}

impl Input {
    /// The input of a scenario at a path: a number of its document, `cavity.wall_thickness`, `cavity.gate_depth` or
    /// `setup.flow_rate`. `None` if there is no such number.
    pub fn at(scenario: &Scenario, path: &str) -> Option<Self> {
        let apart = |axis: &Axis| axis.parameter().path() == path && scenario.get(*axis).is_finite();
        let axis = Axis::ALL.into_iter().find(apart);
        let parameter = axis.map(Axis::parameter).or_else(|| catalogue::at(path))?;
        let input = Self { parameter, path: path.to_owned(), axis };
        input.value(scenario).is_some().then_some(input)
    }

    /// The same for an input that is to be swept.
    ///
    /// # Errors
    /// If there is no such number, or it spans the plane.
    pub fn of(scenario: &Scenario, path: &str) -> Result<Self, Unswept> {
        let input = Self::at(scenario, path).ok_or(Unswept::Unknown)?;
        let axis = input.axis;
        let sides = scenario.window.axes();
        let moved = scenario.moves(&sides.map(|side| (side, scenario.get(side))));
        let spans = moved.iter().any(|(moved, _)| moved == path)
            || axis.is_some_and(|axis| sides.iter().any(|side| side.moves_with(axis)));
        if spans { Err(Unswept::Spans) } else { Ok(input) }
    }

    /// Its value in a scenario, in edge units.
    pub fn value(&self, scenario: &Scenario) -> Option<f64> {
        match self.axis {
            Some(axis) => Some(scenario.get(axis)),
            None => document::tree(scenario).ok()?.pointer(&self.pointer())?.as_f64(),
        }
    }

    /// The scenario with another value, which need not be valid. `None` if that is no scenario.
    pub fn put(&self, scenario: &Scenario, value: f64) -> Option<Scenario> {
        if let Some(axis) = self.axis {
            let mut changed = scenario.clone();
            changed.set(axis, value);
            return Some(changed);
        }
        let mut tree = document::tree(scenario).ok()?;
        *tree.pointer_mut(&self.pointer())? = value.into();
        document::read(&tree.to_string()).ok()
    }

    fn pointer(&self) -> String {
        format!("/{}", self.path.replace('.', "/"))
    }

    /// Whether a range rises and is accepted.
    pub fn spans(&self, from: f64, to: f64) -> bool {
        to > from && from >= self.parameter.min && to <= self.parameter.max
    }

    /// So many values between two, with equal ratios if the greater is ten times the lesser or more, otherwise with equal
    /// steps. Whole numbers for a count, each once.
    pub fn values(&self, from: f64, to: f64, count: usize) -> Vec<f64> {
        let logarithmic = from > 0.0 && to / from >= 10.0;
        let at = |i: usize| {
            let share = i as f64 / (count.max(2) - 1) as f64;
            let value =
                if logarithmic { from * (to / from).power(share) } else { from + (to - from) * share };
            if self.parameter.whole { value.round() } else { value }
        };
        let mut values: Vec<f64> = (0..count.max(2)).map(at).collect();
        values.dedup();
        values
    }

    /// The window with the input at a value.
    pub fn swept(&self, scenario: &Scenario, value: f64, detail: Detail) -> Swept {
        let mut found =
            Swept { value, usable_percent: None, reserve: None, limit: None, place: None, problem: None };
        let Some(changed) = self.put(scenario, value) else {
            found.problem = Some("this value is not accepted".to_owned());
            return found;
        };
        let traced =
            surface(&changed, detail).and_then(|surface| Ok((surface, closest(&detail.scenario(&changed))?)));
        match traced {
            Err(error) => found.problem = error.problems.first().map(ToString::to_string),
            Ok((surface, best)) => {
                found.usable_percent = Some(100.0 * window(&changed, &surface).usable_share);
                found.reserve = best.as_ref().map(|best| best.worst.g);
                found.limit = best.as_ref().map(|best| best.worst.limit);
                found.place = best.map(|best| best.place);
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trace;
    use gatefrost_core::scenario::demo;

    fn scenario() -> Scenario {
        let mut scenario = demo::default_demo().scenario();
        scenario.model = scenario.model.at_most(12, 6);
        scenario
    }

    #[test]
    fn at_its_present_value_an_input_has_the_window_that_is_drawn() {
        let scenario = scenario();
        let drawn = trace(&scenario, Detail::Coarse).expect("valid");
        let best = closest(&Detail::Coarse.scenario(&scenario)).expect("valid").expect("limits apply");
        for path in ["machine.max_pressure", "cavity.wall_thickness", "setup.hold_time"] {
            let input = Input::of(&scenario, path).expect("an input");
            let value = input.value(&scenario).expect("a value");
            let swept = input.swept(&scenario, value, Detail::Coarse);
            let share = swept.usable_percent.expect("computed");
            assert!((share - 100.0 * drawn.usable_share).abs() < 1e-6, "{path}: {share}");
            assert_eq!((swept.reserve, swept.limit), (Some(best.worst.g), Some(best.worst.limit)), "{path}");
        }
    }

    /// More clamp force loses nothing, because it only allows a greater opening force.
    #[test]
    fn more_clamp_force_does_not_narrow_the_window() {
        let scenario = scenario();
        let input = Input::of(&scenario, "machine.clamp_force").expect("an input");
        let shares: Vec<f64> = input
            .values(20.0, 60.0, 3)
            .into_iter()
            .filter_map(|value| input.swept(&scenario, value, Detail::Coarse).usable_percent)
            .collect();
        assert_eq!(shares.len(), 3);
        assert!(shares.windows(2).all(|pair| pair[1] >= pair[0] - 1e-6) && shares[2] <= 100.0, "{shares:?}");
    }

    #[test]
    fn what_spans_the_plane_or_does_not_exist_is_refused() {
        let scenario = scenario();
        for path in ["setup.melt_temperature", "setup.injection_time", "setup.flow_rate"] {
            assert_eq!(Input::of(&scenario, path), Err(Unswept::Spans), "{path}");
        }
        for path in ["setup.colour", "name", "cavity.passages.99.form.tube.diameter", ""] {
            assert_eq!(Input::of(&scenario, path), Err(Unswept::Unknown), "{path}");
        }
        // A value that cannot be computed says why, and has no numbers.
        let input = Input::of(&scenario, "setup.mould_temperature").expect("an input");
        let hot = input.swept(&scenario, 300.0, Detail::Coarse);
        assert!(hot.usable_percent.is_none() && hot.reserve.is_none() && hot.problem.is_some(), "{hot:?}");
    }

    #[test]
    fn values_are_evenly_spread_and_counts_are_whole() {
        let scenario = scenario();
        let input = Input::of(&scenario, "setup.hold_time").expect("an input");
        assert_eq!(input.values(1.0, 3.0, 3), [1.0, 2.0, 3.0]);
        let wide = input.values(0.1, 10.0, 3);
        assert!((wide[1] - 1.0).abs() < 1e-12, "{wide:?}");
        let copies = Input::of(&scenario, "cavity.passages.0.copies").expect("an input");
        assert_eq!(copies.values(1.0, 3.0, 9), [1.0, 2.0, 3.0]);
    }
}
