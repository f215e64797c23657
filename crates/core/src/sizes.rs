//! How the parts fill their cavities, how that scatters from shot to shot, and what it makes of toleranced sizes.
//!
//! The size of a sintered part follows from the volume of powder in its cavity, φ S. Each cause is disturbed by one standard
//! deviation to both sides and carried through fill and hold: the change of ln(φ S) is half the difference. Causes are
//! independent, so the variances add up. To first order in the scatter.

use crate::case::Case;
use crate::scenario::{Axis, DISTURBED, Scenario};
use crate::stages::{Point, Reached};
use gatefrost_after::plan::{CutSizes, SizesThere};
use gatefrost_numerics::elementary::Elementary;

/// Cells and layers that are enough for slopes.
const ROUGH: [u32; 2] = [8, 6];

/// What a shot differs in from the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// A setting, or the loading.
    Setting(Axis),
    /// The viscosity of the lot.
    Lot,
}

impl Case {
    /// S of all parts: mass of the green parts over that of cold mixture in their cavities. `None` before the hold.
    pub fn filled(&self, reached: Reached<'_>) -> Option<f64> {
        reached.hold.map(|hold| hold.filled_when_cold(&self.cavity, &self.cavity.parts().concat()))
    }
}

/// S of a scenario. After a short shot it is that of the full path, so that it is continuous there.
pub fn filled(scenario: &Scenario) -> f64 {
    let case = Case::resolve(scenario);
    case.evaluate().carried_on(|reached| case.filled(reached)).unwrap_or(0.0)
}

/// Change of ln(φ S) for one standard deviation of each cause that scatters. A side that no scenario can have is left out:
/// then the whole difference to the other side counts.
pub fn powder_scatter(scenario: &Scenario) -> Vec<(Cause, f64)> {
    let mut all = Vec::new();
    for axis in DISTURBED {
        let value = scenario.get(axis);
        let sigma = scenario.scatter_of(axis, value);
        if sigma > 0.0 {
            let moved = |side: f64| {
                let mut other = scenario.clone();
                other.set(axis, value + side * sigma);
                other
            };
            all.push((Cause::Setting(axis), change(scenario, moved)));
        }
    }
    let lots = scenario.lots();
    if !lots.numbers.is_empty() {
        let moved = |side: f64| lots.draw(scenario, &vec![side; lots.numbers.len()]);
        all.push((Cause::Lot, change(scenario, moved)));
    }
    all
}

/// Half the difference of ln(φ S) between the two sides.
fn change(scenario: &Scenario, moved: impl Fn(f64) -> Scenario) -> f64 {
    let of = |side: f64| Some(moved(side)).filter(|other| other.validate().is_ok()).map(|s| powder(&s));
    match [1.0, -1.0].map(of) {
        [Some(above), Some(below)] => 0.5 * (above - below),
        [Some(above), None] => above - powder(scenario),
        [None, Some(below)] => powder(scenario) - below,
        [None, None] => 0.0,
    }
}

/// ln(φ S); of a feedstock without powder ln S.
fn powder(scenario: &Scenario) -> f64 {
    let phi = scenario.feedstock.solids_loading;
    (filled(scenario) * if phi > 0.0 { phi } else { 1.0 }).max(1e-9).logarithm()
}

/// Runs of the two-level design: as many as its causes and one more.
const RUNS: usize = DISTURBED.len() + 2;

/// Standard deviation of ln(φ S) by all causes together, to first order, on a model that is good enough for slopes.
///
/// Each run of a two-level design moves every cause by one standard deviation up or down. The columns of signs are
/// orthogonal, so the variance of the runs is the sum of the squares of the linear effects (Parseval; the design of eight
/// runs for seven factors is that of Plackett and Burman, Biometrika 33 (1946) 305, from memory). Where a run cannot be
/// computed, causes are moved one by one.
pub fn powder_deviation(scenario: &Scenario) -> f64 {
    let [cells, layers] = ROUGH;
    let rough = Scenario { model: scenario.model.at_most(cells, layers), ..scenario.clone() };
    let lots = rough.lots();
    let by_lot = [1.0, -1.0].map(|side| lots.draw(&rough, &vec![side; lots.numbers.len()]));
    let runs: Option<Vec<f64>> = (0..RUNS).map(|run| run_of_design(&rough, &by_lot, run)).collect();
    match runs {
        Some(runs) => {
            let mean = runs.iter().sum::<f64>() / RUNS as f64;
            runs.iter().map(|y| y - mean).fold(0.0, Elementary::hypotenuse) / (RUNS as f64).sqrt()
        }
        None => powder_scatter(&rough).iter().map(|(_, change)| *change).fold(0.0, Elementary::hypotenuse),
    }
}

/// ln(φ S) of one run; `None` if it cannot be computed. `by_lot` is the scenario with a thicker and with a thinner lot.
fn run_of_design(rough: &Scenario, by_lot: &[Scenario; 2], run: usize) -> Option<f64> {
    // Column k of a Hadamard matrix in Sylvester's order.
    let down = |column: usize| ((column + 1) & run).count_ones() % 2 == 1;
    let mut shot = by_lot[usize::from(down(DISTURBED.len()))].clone();
    for (k, axis) in DISTURBED.into_iter().enumerate() {
        let value = rough.get(axis);
        let sigma = rough.scatter_of(axis, value);
        shot.set(axis, if down(k) { value - sigma } else { value + sigma });
    }
    shot.validate().is_ok().then(|| powder(&shot))
}

/// The toleranced sizes at the set point itself, with cavities cut for it where none is typed. `None` without dimensions.
pub fn here(scenario: &Scenario, point: &Point<'_>) -> Option<SizesThere> {
    if scenario.sizes.dimensions.is_empty() {
        return None;
    }
    let filled = point.case.filled(point.reached())?;
    CutSizes::of(scenario, filled)?.there(scenario, powder_deviation(scenario))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::demo;

    /// More hold pressure packs more powder in, by about the compressibility of the mixture: (1 − φ) κ Δp (closed form for a
    /// part that seals at once), and less than that for one that loses some of it on the way.
    #[test]
    fn the_hold_pressure_scatters_the_mass_by_the_compressibility() {
        let s = demo::default_demo().scenario();
        let all = powder_scatter(&s);
        let of = |axis: Axis| all.iter().find(|x| x.0 == Cause::Setting(axis)).expect("a cause").1;
        let most = 0.4 * s.feedstock.binder_compressibility * 1e-3 * s.scatter.hold_pressure;
        let found = of(Axis::HoldPressure);
        assert!(found > 0.3 * most && found < 1.1 * most, "{found} of {most}");
        // The loading itself, and the little that it changes the hold by.
        let by_loading = s.scatter.solids_loading / s.feedstock.solids_loading;
        let found = of(Axis::SolidsLoading);
        assert!((found / by_loading - 1.0).abs() < 0.1, "{found} against {by_loading}");
        // A hotter mould packs less at the same pressure.
        assert!(of(Axis::MeltTemperature).abs() < 1e-3 && of(Axis::HoldTime).abs() < 1e-4);
    }

    /// Eight runs on the rough model tell what causes moved one by one on the scenario's own model do, to 5 %; where a run
    /// cannot be computed, the causes are moved one by one.
    #[test]
    fn a_few_rough_runs_tell_the_deviation() {
        let both = |s: &Scenario| {
            let own = powder_scatter(s).iter().map(|x| x.1).fold(0.0, Elementary::hypotenuse);
            let rough = powder_deviation(s);
            assert!((rough / own - 1.0).abs() < 0.05, "{}: {rough} against {own}", s.name);
        };
        for d in demo::DEMOS {
            both(&d.scenario());
        }
        let mut s = demo::default_demo().scenario();
        s.setup.hold_pressure = s.machine.max_pressure;
        both(&s);
    }
}
