//! How much powder a part holds, and how that scatters from shot to shot.
//!
//! The size of the sintered part follows from the volume of powder in its cavity, φ S. Each cause is disturbed by one
//! standard deviation to both sides and carried through fill and hold: the change of ln(φ S) is half the difference.

use crate::lots::lots;
use crate::{DISTURBED, scatter};
use gatefrost_after::plan::{FromMould, LOADING, PowderScatter};
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_report::{Report, evaluate};

/// What the mould hands on at the set point. `None` where no part comes out of it whose size is known; the report says why.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn from_mould(scenario: &Scenario) -> Result<Option<FromMould>, ScenarioError> {
    let report = evaluate(scenario)?;
    let (Some(filled), Some(hold)) = (report.after.cavity_filled_percent, &report.hold) else {
        return Ok(None);
    };
    Ok(Some(FromMould {
        filled: filled / 100.0,
        density_kg_m3: report.feedstock.density_kg_m3,
        mass_g: hold.part_mass_g,
        shrinkage_spread_percent: hold.shrinkage_spread_percent,
        scatter: powder_scatter(scenario, &report),
    }))
}

/// Scatter of the powder by cause. A cause without scatter, or one whose disturbance leaves no part of a known size, is left
/// out on that side.
fn powder_scatter(scenario: &Scenario, here: &Report) -> Vec<PowderScatter> {
    let sigma = scatter(scenario);
    let mut all: Vec<PowderScatter> = DISTURBED
        .iter()
        .zip(sigma)
        .filter(|(_, sigma)| *sigma > 0.0)
        .map(|(&axis, sigma)| {
            let moved = |side: f64| {
                let mut other = scenario.clone();
                other.set(axis, scenario.get(axis) + side * sigma);
                other
            };
            PowderScatter { cause: cause(axis).to_owned(), relative: change(scenario, here, moved) }
        })
        .collect();
    let lots = lots(scenario);
    if !lots.numbers.is_empty() {
        let moved = |side: f64| lots.draw(scenario, &vec![side; lots.numbers.len()]);
        all.push(PowderScatter {
            cause: "viscosity of the lot".to_owned(),
            relative: change(scenario, here, moved),
        });
    }
    all
}

/// Half the difference of ln(φ S) between the two sides; the whole difference to one side where the other has no part.
fn change(scenario: &Scenario, here: &Report, moved: impl Fn(f64) -> Scenario) -> f64 {
    let of = |side: f64| {
        let other = moved(side);
        let report = evaluate(&other).ok()?;
        Some(powder(&other, &report)?.logarithm())
    };
    let here = powder(scenario, here).map_or(0.0, Elementary::logarithm);
    match (of(1.0), of(-1.0)) {
        (Some(above), Some(below)) => 0.5 * (above - below),
        (Some(above), None) => above - here,
        (None, Some(below)) => here - below,
        (None, None) => 0.0,
    }
}

/// φ S of all parts together.
fn powder(scenario: &Scenario, report: &Report) -> Option<f64> {
    let filled = report.after.cavity_filled_percent?;
    Some(scenario.feedstock.solids_loading / 100.0 * filled / 100.0).filter(|powder| *powder > 0.0)
}

/// The cause in words.
fn cause(axis: Axis) -> &'static str {
    match axis {
        Axis::MeltTemperature => "melt temperature",
        Axis::MouldTemperature => "mould temperature",
        Axis::InjectionTime | Axis::FlowRate => "injection time",
        Axis::HoldPressure => "hold pressure",
        Axis::HoldTime => "hold time",
        Axis::SolidsLoading => LOADING,
        Axis::GateDepth => "gate depth",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    /// More hold pressure packs more powder in, by about the compressibility of the mixture: (1 − φ) κ Δp (closed form for a
    /// part that seals at once), and less than that for one that loses some of it on the way.
    #[test]
    fn the_hold_pressure_scatters_the_mass_by_the_compressibility() {
        let s = demo::default_demo().scenario();
        let mould = from_mould(&s).expect("valid").expect("a part");
        let of = |cause: &str| mould.scatter.iter().find(|x| x.cause == cause).expect("a cause").relative;
        let most = 0.4 * s.feedstock.binder_compressibility * 1e-3 * s.scatter.hold_pressure;
        assert!(
            of("hold pressure") > 0.3 * most && of("hold pressure") < 1.1 * most,
            "{} of {most}",
            of("hold pressure")
        );
        // The loading itself, and the little that it changes the hold by.
        let by_loading = s.scatter.solids_loading / s.feedstock.solids_loading;
        assert!((of(LOADING) / by_loading - 1.0).abs() < 0.1, "{} against {by_loading}", of(LOADING));
        // A hotter mould packs less at the same pressure.
        assert!(of("melt temperature").abs() < 1e-3 && of("hold time").abs() < 1e-4);
    }

    #[test]
    fn a_short_shot_hands_nothing_on() {
        let mut s = demo::default_demo().scenario();
        s.machine.max_pressure = 5.0;
        s.setup.hold_pressure = 4.0;
        assert_eq!(from_mould(&s), Ok(None));
    }
}
