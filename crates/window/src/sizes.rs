//! Toleranced sizes over a plane.
//!
//! The cavity is fixed: the size typed, or the one cut for the present set point. The mean of a size at a place follows from
//! the place's own evaluation. The standard deviation of ln(φ S) changes slowly over the plane: it is found at two by two
//! places on a rough model and interpolated linearly; for a coarse window at the set point alone. Over the planes of the
//! demos, scatter of the density included, that is within 0.5 % for half of the places. It is rough where a shot is short
//! or the hold ends before the gate is frozen, and so would be a denser grid.

use crate::Detail;
use crate::place::Place;
use gatefrost_after::plan::{CutSizes, SizesThere};
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Axis, Scenario};
use gatefrost_core::sizes::{filled, powder_deviation};
use gatefrost_numerics::elementary::Elementary;

/// Fractions of a side at which the deviation is found. Beyond them it stays: corners are often short shots.
const AT: [f64; 2] = [0.25, 0.75];

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
#[derive(Debug, Clone)]
pub(crate) struct SizeRule {
    cut: CutSizes,
    deviations: Vec<f64>,
}

impl SizeRule {
    /// From what [`size_part`] found; `None` if nothing was.
    pub fn of(scenario: &Scenario, parts: &[f64]) -> Option<Self> {
        let (&filled, deviations) = parts.split_first()?;
        let cut = CutSizes::of(scenario, filled)?;
        (!deviations.is_empty()).then(|| Self { cut, deviations: deviations.to_vec() })
    }

    /// The sizes of a scenario at a place.
    pub fn there(&self, scenario: &Scenario, place: Place) -> Option<SizesThere> {
        self.cut.there(scenario, self.deviation(place))
    }

    /// Standard deviation of ln(φ S) at a place.
    fn deviation(&self, place: Place) -> f64 {
        let &[a, b, c, d] = &self.deviations[..] else { return self.deviations[0] };
        let [u, v] = place.map(|fraction| ((fraction - AT[0]) / (AT[1] - AT[0])).clamp(0.0, 1.0));
        let (below, above) = (a + u * (b - a), c + u * (d - c));
        below + v * (above - below)
    }
}

/// Margins of the limit of sizes over the plane of a scenario, from ln S.
#[derive(Debug, Clone)]
pub(crate) struct SizeMargins {
    rule: SizeRule,
    scenario: Scenario,
}

impl SizeMargins {
    /// From what [`size_part`] found; `None` if nothing was.
    pub fn of(scenario: &Scenario, parts: &[f64]) -> Option<Self> {
        Some(Self { rule: SizeRule::of(scenario, parts)?, scenario: scenario.clone() })
    }

    /// The margin at a place where the green parts fill the share S of their cavities.
    pub fn margin(&self, place: Place, log_filled: f64) -> f64 {
        let axes = self.scenario.window.axes();
        // No other setting of a plane changes what follows the mould.
        let there = axes
            .contains(&Axis::SolidsLoading)
            .then(|| set(&self.scenario, &axes, &self.scenario.window.value(place)));
        let sizes = self.rule.there(there.as_ref().unwrap_or(&self.scenario), place);
        sizes.map_or(limits::UNBROKEN, |sizes| limits::size_margin(&sizes, log_filled.exponential()))
    }
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
        assert_eq!([Detail::Coarse, Detail::Fine].map(|detail| size_parts(&s, detail)), [2, 5]);
        let plane = |[x, y]: Place| 1e-3 * (1.0 + x + 2.0 * y);
        let mut parts = vec![0.99];
        parts.extend((0..4).map(|k| plane([AT[k % 2], AT[k / 2]])));
        let rule = SizeRule::of(&s, &parts).expect("a rule");
        for place in [[0.25, 0.25], [0.3, 0.7], [0.5, 0.5], [0.7, 0.4], [0.75, 0.75]] {
            assert!((rule.deviation(place) - plane(place)).abs() < 1e-12, "{place:?}");
        }
        assert!((rule.deviation([0.0, 1.0]) - plane([0.25, 0.75])).abs() < 1e-12);
        s.ignored = vec![Limit::Size];
        assert_eq!(size_parts(&s, Detail::Fine), 0);
    }
}
