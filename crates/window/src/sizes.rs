//! Toleranced sizes over a plane.
//!
//! The cavity is fixed: the size typed, or the one cut for the present set point. The mean of a size at a place follows from
//! the place's own evaluation. The standard deviation of ln(φ S) changes slowly over the plane: it is found at three by
//! three places on a rough model and interpolated linearly; for a coarse window at the set point alone.

use crate::Detail;
use crate::place::Place;
use gatefrost_after::plan::{CutSizes, SizesThere};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario};
use gatefrost_core::sizes::{filled, powder_deviation};

/// Fractions of a side at which the deviation is found. Beyond them it stays: corners are often short shots.
const AT: [f64; 3] = [0.1, 0.5, 0.9];

/// Limits that bound no window of a scenario: those that it leaves out, and that of sizes where none is named. No stage runs
/// for them.
pub fn left_out(scenario: &Scenario) -> Vec<Limit> {
    let mut left_out = scenario.ignored.clone();
    if scenario.sizes.dimensions.is_empty() && !left_out.contains(&Limit::Size) {
        left_out.push(Limit::Size);
    }
    left_out
}

/// How many numbers [`size_part`] has to find for a window; 0 where no size bounds it.
pub fn size_parts(scenario: &Scenario, detail: Detail) -> usize {
    if left_out(scenario).contains(&Limit::Size) {
        return 0;
    }
    match detail {
        Detail::Coarse => 2,
        Detail::Fine => 1 + AT.len() * AT.len(),
    }
}

/// One of the numbers that decide sizes over a plane. The first is S at the set point, the others are standard deviations of
/// ln(φ S), row by row. Several workers may find them side by side.
pub fn size_part(scenario: &Scenario, detail: Detail, part: usize) -> f64 {
    let scenario = &detail.scenario(scenario);
    match (part.checked_sub(1), detail) {
        (None, _) => filled(scenario),
        (Some(_), Detail::Coarse) => powder_deviation(scenario),
        (Some(k), Detail::Fine) => {
            let n = AT.len();
            let place = scenario.window.value([AT[k % n], AT[k / n % n]]);
            powder_deviation(&set(scenario, &scenario.window.axes(), &place))
        }
    }
}

/// All of them.
pub(crate) fn all_parts(scenario: &Scenario, detail: Detail) -> Vec<f64> {
    (0..size_parts(scenario, detail)).map(|part| size_part(scenario, detail, part)).collect()
}

/// A scenario with other values of some settings.
pub(crate) fn set(scenario: &Scenario, axes: &[Axis], values: &[f64]) -> Scenario {
    let mut there = scenario.clone();
    let settings: Vec<(Axis, f64)> = axes.iter().copied().zip(values.iter().copied()).collect();
    there.set_all(&settings);
    there
}

/// What decides sizes over a plane.
pub(crate) struct SizeRule<'a> {
    cut: CutSizes,
    deviations: &'a [f64],
}

impl<'a> SizeRule<'a> {
    /// From what [`size_part`] found; `None` if nothing was.
    pub fn of(scenario: &Scenario, parts: &'a [f64]) -> Option<Self> {
        let (&filled, deviations) = parts.split_first()?;
        let cut = CutSizes::of(scenario, filled)?;
        (!deviations.is_empty()).then_some(Self { cut, deviations })
    }

    /// The sizes of a scenario at a place.
    pub fn there(&self, scenario: &Scenario, place: Place) -> Option<SizesThere> {
        self.cut.there(scenario, self.deviation(place))
    }

    /// Standard deviation of ln(φ S) at a place.
    fn deviation(&self, place: Place) -> f64 {
        let n = AT.len();
        if self.deviations.len() < n * n {
            return self.deviations[0];
        }
        let [(i, u), (j, v)] = place.map(between);
        let row = |j: usize| {
            let at = |i: usize| self.deviations[j * n + i];
            at(i) + u * (at(i + 1) - at(i))
        };
        row(j) + v * (row(j + 1) - row(j))
    }
}

/// The stretch of [`AT`] that a fraction lies in, and how far in.
fn between(fraction: f64) -> (usize, f64) {
    let i = usize::from(fraction > AT[1]);
    (i, ((fraction - AT[i]) / (AT[i + 1] - AT[i])).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::{Dimension, demo};

    #[test]
    fn deviations_are_interpolated_and_stay_beyond_the_last_place() {
        let mut s = demo::default_demo().scenario();
        assert_eq!(size_parts(&s, Detail::Fine), 0, "without dimensions nothing is found");
        s.sizes.dimensions = vec![Dimension::default()];
        assert_eq!([Detail::Coarse, Detail::Fine].map(|detail| size_parts(&s, detail)), [2, 10]);
        let plane = |[x, y]: Place| 1e-3 * (1.0 + x + 2.0 * y);
        let mut parts = vec![0.99];
        parts.extend((0..9).map(|k| plane([AT[k % 3], AT[k / 3]])));
        let rule = SizeRule::of(&s, &parts).expect("a rule");
        for place in [[0.1, 0.1], [0.3, 0.7], [0.5, 0.5], [0.8, 0.2], [0.9, 0.9]] {
            assert!((rule.deviation(place) - plane(place)).abs() < 1e-12, "{place:?}");
        }
        assert!((rule.deviation([0.0, 1.0]) - plane([0.1, 0.9])).abs() < 1e-12);
        s.ignored = vec![Limit::Size];
        assert_eq!(size_parts(&s, Detail::Fine), 0);
    }
}
