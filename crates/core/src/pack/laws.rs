//! What packing must obey whatever the numbers.

use crate::case::Case;
use crate::pack::Hold;
use crate::scenario::{Scenario, demo};

fn held(scenario: &Scenario) -> Hold {
    Case::resolve(scenario).evaluate().hold.expect("the part is full")
}

#[test]
fn behind_a_frozen_gate_the_nozzle_matters_no_more() {
    for d in demo::DEMOS {
        let mut scenario = d.scenario();
        let frozen = held(&scenario).gate_freeze().expect("the gates freeze");
        // Melt that creeps goes on for up to a fifth of the time until the gate is shut.
        scenario.setup.hold_time = 1.3 * frozen;
        let short = held(&scenario);
        scenario.setup.hold_time = 30.0;
        let long = held(&scenario);
        assert!((short.part_mass / long.part_mass - 1.0).abs() < 1e-6, "{}", d.name);
        assert!((short.opening_force / long.opening_force - 1.0).abs() < 1e-6, "{}", d.name);
        for (a, b) in short.ends.iter().zip(&long.ends) {
            assert!((a.sealed_pressure / b.sealed_pressure - 1.0).abs() < 1e-6, "{}", d.name);
            // The steps differ from where the pressure is let off.
            assert!((a.shrinkage - b.shrinkage).abs() < 1e-4, "{}", d.name);
        }
        // A shut cavity only cools: its pressure falls, and does not jump when the hold ends.
        for (end, trace) in short.ends.iter().zip(&short.history.end) {
            let after = short.history.time.iter().zip(trace).filter(|(t, _)| **t > 1.35 * frozen);
            let pressures: Vec<f64> = after.map(|(_, p)| *p).collect();
            assert!(pressures.windows(2).all(|p| p[1] <= p[0]), "{} {}: {pressures:?}", d.name, end.passage);
        }
        // What a shut gate has sealed in stays.
        let masses = short.history.time.iter().zip(&short.history.part_mass);
        let kept: Vec<f64> = masses.filter(|(t, _)| **t > 1.3 * frozen).map(|(_, m)| *m).collect();
        let part = |m: f64| (m / short.part_mass - 1.0).abs();
        assert!(kept.iter().all(|&m| part(m) < 1e-4), "{}: {kept:?}, {}", d.name, short.part_mass);
    }
}

/// Between neighbouring settings nothing jumps: where flow keeps a gate warm for long, when it freezes must
/// not hang on where the steps fall.
#[test]
fn what_the_hold_leaves_follows_the_settings_smoothly() {
    for name in ["guide", "yoke"] {
        let mut scenario = demo::find(name).expect("is a demo").scenario();
        scenario.setup.hold_time *= 1.5;
        let pressure = scenario.setup.hold_pressure;
        let found: Vec<[f64; 2]> = (0..40)
            .map(|k| {
                scenario.setup.hold_pressure = pressure * (0.8 + 5e-3 * f64::from(k));
                let hold = held(&scenario);
                [hold.gate_freeze().expect("freezes").ln(), hold.sink.shrinkage]
            })
            .collect();
        for at in found.windows(3) {
            let [freeze, shrinkage] = [0, 1].map(|i| (at[0][i] - 2.0 * at[1][i] + at[2][i]).abs());
            assert!(freeze < 4e-3 && shrinkage < 8e-5, "{name}: {freeze}, {shrinkage} in {at:?}");
        }
    }
}

#[test]
fn shrinkage_is_continuous_where_the_gate_ceases_to_freeze() {
    for d in demo::DEMOS {
        let mut scenario = d.scenario();
        let mut at = |mould: f64| {
            scenario.setup.mould_temperature = scenario.feedstock.no_flow_temperature + mould;
            held(&scenario).sink.shrinkage
        };
        let (freezes, never) = (at(-0.02), at(0.02));
        assert!((freezes - never).abs() < 3e-3, "{}: {freezes} against {never}", d.name);
    }
}

#[test]
fn nothing_jumps_where_the_wall_passes_the_ejection_temperature() {
    for d in demo::DEMOS {
        let mut scenario = d.scenario();
        let mut at = |mould: f64| {
            scenario.setup.mould_temperature = scenario.feedstock.ejection_temperature + mould;
            held(&scenario)
        };
        let (cools, never) = (at(-0.02), at(0.02));
        assert!(cools.ejected_after.is_some() && never.ejected_after.is_none(), "{}", d.name);
        let [below, above] = [&cools, &never].map(|hold| &hold.opened);
        assert!((below.residual - above.residual).abs() < 2e6, "{}: {below:?} {above:?}", d.name);
        assert!((below.time / above.time).ln().abs() < 0.2, "{}: {below:?} {above:?}", d.name);
    }
}

#[test]
fn beyond_the_machine_nothing_else_blows_up() {
    let mut scenario = demo::default_demo().scenario();
    scenario.setup.injection_time = 20.0;
    let case = Case::resolve(&scenario);
    let point = case.evaluate();
    let machine = case.drive.max_pressure;
    assert!(point.fill.need > machine && !point.fill.full, "a fill of 20 s freezes on the way");
    assert!(point.hold.is_none());
    assert!(point.fill.end.hottest <= case.drive.melt + 15.0, "{}", point.fill.end.hottest);
    let sealed = case.hold_after(&point.fill);
    let sealed = sealed.ends.iter().map(|e| e.sealed_pressure);
    assert!(sealed.clone().all(|p| (0.0..machine).contains(&p)), "{:?}", sealed.collect::<Vec<_>>());
    let area: f64 = case.cavity.cells.iter().map(|c| c.projected_area).sum();
    assert!(point.fill.opening_force <= machine * area);
}

#[test]
fn melt_bears_no_tension() {
    for d in demo::DEMOS {
        let mut scenario = d.scenario();
        scenario.setup.hold_pressure = 0.0;
        // Without a hold pressure nothing is filled after the switch-over.
        scenario.setup.switch_over = 100.0;
        let hold = held(&scenario);
        assert!(hold.history.end.iter().flatten().all(|&p| p >= 0.0), "{}", d.name);
        // Without pressure the parts shrink by all that cooling from their freezing takes away.
        assert!(hold.ends.iter().all(|e| e.shrinkage > 0.01), "{}: {:?}", d.name, hold.ends);
        let shares = &hold.opened.void_share;
        assert!(shares.iter().all(|s| (0.0..0.2).contains(s)), "{}: {shares:?}", d.name);
    }
}
