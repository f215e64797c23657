//! What the mould hands on at a set point, with the scatter of the powder that a part holds.

use gatefrost_after::plan::{FromMould, LOADING, PowderScatter};
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError};
use gatefrost_core::sizes::{Cause, powder_scatter};
use gatefrost_report::{Report, evaluate};

/// What the mould hands on at the set point. `None` where no part comes out of it whose size is known; the report says why.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn from_mould(scenario: &Scenario) -> Result<Option<FromMould>, ScenarioError> {
    let by = |(cause, relative): (Cause, f64)| PowderScatter { cause: words(cause).to_owned(), relative };
    let scatter = || powder_scatter(scenario).into_iter().map(by).collect();
    Ok(handed_on(&evaluate(scenario)?, scatter))
}

/// What the mould of a report hands on, with the scatter of the powder in a part. `None` as in [`from_mould`].
pub fn handed_on(report: &Report, scatter: impl FnOnce() -> Vec<PowderScatter>) -> Option<FromMould> {
    let hold = report.hold.as_ref()?;
    Some(FromMould {
        filled: report.after.cavity_filled_percent? / 100.0,
        density_kg_m3: report.feedstock.density_kg_m3,
        mass_g: hold.part_mass_g,
        shrinkage_spread_percent: hold.shrinkage_spread_percent,
        scatter: scatter(),
    })
}

/// The cause in words.
fn words(cause: Cause) -> &'static str {
    match cause {
        Cause::Lot => "viscosity of the lot",
        Cause::Setting(Axis::MeltTemperature) => "melt temperature",
        Cause::Setting(Axis::MouldTemperature) => "mould temperature",
        Cause::Setting(Axis::InjectionTime | Axis::FlowRate) => "injection time",
        Cause::Setting(Axis::HoldPressure) => "hold pressure",
        Cause::Setting(Axis::HoldTime) => "hold time",
        Cause::Setting(Axis::SolidsLoading) => LOADING,
        Cause::Setting(Axis::GateDepth) => "gate depth",
        Cause::Setting(Axis::WallThickness) => "wall thickness",
        Cause::Setting(Axis::ClampForce) => "clamp force",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    #[test]
    fn a_short_shot_hands_nothing_on() {
        let mut s = demo::default_demo().scenario();
        s.machine.max_pressure = 5.0;
        s.setup.hold_pressure = 4.0;
        assert_eq!(from_mould(&s), Ok(None));
    }
}
