//! What packing must obey whatever the numbers.

use crate::case::Case;
use crate::pack;
use crate::scenario::{Scenario, demo};

fn shrinkage(scenario: &Scenario) -> f64 {
    let case = Case::resolve(scenario);
    let hold = case.evaluate().hold;
    pack::shrinkage(&case.material, hold.sealed_pressure, hold.sealed_temperature)
}

#[test]
fn behind_a_frozen_gate_the_nozzle_matters_no_more() {
    let mut scenario = demo::default_demo().scenario();
    let held = |scenario: &Scenario| Case::resolve(scenario).evaluate().hold;
    scenario.setup.hold_time = 1.0;
    let short = held(&scenario);
    let frozen = short.gate_freeze.expect("the gate freezes");
    assert!(frozen < 1.0, "{frozen}");
    scenario.setup.hold_time = 30.0;
    let long = held(&scenario);
    assert!((short.sealed_pressure / long.sealed_pressure - 1.0).abs() < 1e-6);
    assert!((short.opening_force / long.opening_force - 1.0).abs() < 1e-6);
    // A shut cavity only cools: its pressure falls, and does not jump when the hold ends.
    let after = short.history.time.iter().zip(&short.history.end).filter(|(t, _)| **t > 1.05 * frozen);
    let pressures: Vec<f64> = after.map(|(_, p)| *p).collect();
    assert!(pressures.windows(2).all(|p| p[1] <= p[0]), "{pressures:?}");
    let at_release = |h: &pack::Hold| {
        let i = h.history.time.iter().position(|&t| t > 1.1).expect("goes on cooling");
        h.history.end[i]
    };
    assert!(at_release(&short) > 0.3 * short.sealed_pressure);
}

#[test]
fn shrinkage_is_continuous_where_the_gate_ceases_to_freeze() {
    let mut scenario = demo::default_demo().scenario();
    scenario.setup.hold_time = 1.0;
    scenario.setup.mould_temperature = scenario.feedstock.no_flow_temperature - 0.5;
    let freezes = shrinkage(&scenario);
    scenario.setup.mould_temperature = scenario.feedstock.no_flow_temperature + 0.5;
    let never = shrinkage(&scenario);
    assert!((freezes - never).abs() < 1e-3, "{freezes} against {never}");
}

#[test]
fn beyond_the_machine_nothing_else_blows_up() {
    let mut scenario = demo::default_demo().scenario();
    scenario.setup.injection_time = 20.0;
    let case = Case::resolve(&scenario);
    let point = case.evaluate();
    let machine = case.drive.max_pressure;
    assert!(point.fill.peak > machine, "a fill of 20 s freezes on the way");
    assert!(point.fill.end.hottest <= case.drive.melt + 15.0, "{}", point.fill.end.hottest);
    assert!(point.hold.sealed_pressure < machine, "{}", point.hold.sealed_pressure);
    let area: f64 = case.cavity.cells.iter().map(|c| c.projected_area).sum();
    assert!(point.fill.opening_force <= machine * area);
}
