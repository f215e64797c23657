//! Monotone laws of the window: more machine never shrinks it, a stricter threshold never widens it.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_window::{Detail, margins_here, trace};

fn usable(s: &Scenario) -> f64 {
    trace(s, Detail::Coarse).expect("valid").usable_share
}

/// Changes a demo by each value in turn; the usable share must not fall along the list. Beyond the machine's pressure
/// the fill is computed without heat that no machine could put in; lines that run on there feel it by a millionth.
fn never_falls(what: &str, values: &[f64], change: impl Fn(&mut Scenario, f64)) {
    for d in demo::DEMOS {
        let share = |v: f64| {
            let mut s = d.scenario();
            change(&mut s, v);
            usable(&s)
        };
        let shares: Vec<f64> = values.iter().map(|&v| share(v)).collect();
        assert!(shares.windows(2).all(|w| w[1] >= w[0] - 2e-6), "{what}, {}: {shares:?}", d.name);
    }
}

#[test]
fn a_stronger_machine_never_shrinks_the_window() {
    never_falls("max pressure", &[1.0, 1.3, 2.0], |s, v| s.machine.max_pressure *= v);
    never_falls("clamp force", &[10.0, 40.0, 150.0], |s, v| s.machine.clamp_force = v);
    never_falls("wider vents", &[5.0, 50.0], |s, v| s.mould.vent_width = v);
    never_falls("more water", &[0.1, 3.0], |s, v| s.mould.water_flow = v);
    never_falls("max rate", &[5.0, 20.0, 80.0], |s, v| s.machine.max_rate = v);
}

/// What filling at the set rate needs is a matter of the fill: the hold pressure comes after it.
#[test]
fn the_hold_pressure_does_not_change_what_filling_needs() {
    let short_shot = Limit::ALL.iter().position(|&l| l == Limit::ShortShot).expect("is a limit");
    for d in demo::DEMOS {
        let needs = |hold: f64| {
            let mut s = d.scenario();
            s.setup.injection_time = 0.09;
            s.setup.melt_temperature = 130.0;
            s.setup.hold_pressure = hold;
            margins_here(&s)[short_shot]
        };
        let low = needs(30.0);
        for hold in [50.0, 70.0, 80.0] {
            assert!(
                (needs(hold) - low).abs() < 1e-9,
                "{}: {} at {hold} MPa, {low} at 30",
                d.name,
                needs(hold)
            );
        }
    }
}

#[test]
fn a_stricter_threshold_never_widens_the_window() {
    never_falls("pressure use", &[40.0, 90.0], |s, v| s.limits.pressure_use = v);
    never_falls("rate use", &[20.0, 90.0], |s, v| s.limits.rate_use = v);
    never_falls("clamp use", &[20.0, 85.0], |s, v| s.limits.clamp_use = v);
    never_falls("gate viscosity", &[100.0, 1000.0], |s, v| s.limits.gate_viscosity = v);
    never_falls("shear rate", &[5e3, 1e5], |s, v| s.limits.shear_rate = v);
    never_falls("speed of a strand", &[0.5, 2.0], |s, v| s.limits.jet_speed = v);
    never_falls("time in the barrel", &[3.0, 30.0], |s, v| s.feedstock.barrel_time = v);
    never_falls("air pressure", &[0.12, 0.3], |s, v| s.limits.air_pressure = v);
    never_falls("rise of the water", &[0.1, 0.25, 3.0], |s, v| s.limits.water_rise = v);
    never_falls("burn reserve", &[30.0, 5.0], |s, v| s.limits.burn_reserve = v);
    never_falls("cold front", &[60.0, 30.0], |s, v| s.limits.cold_front_reserve = v);
    never_falls("shrinkage", &[0.5, 2.0], |s, v| s.limits.shrinkage = v);
}
