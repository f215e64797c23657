//! Limits that hold and cooling decide.

use super::fork::{FORK, SPRUE, TIME, found};
use super::{Scale, check};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use gatefrost_tests::build::merge;
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};

/// Melt that flows easily \[Pa s\].
const ETA: f64 = 20.0;

/// Cycle \[s\]: closing, opening and ejecting, filling, holding, and the longer of cooling and metering, with every time set.
fn cycle(idle: f64, held: f64, cooling: f64, dosing: f64) -> f64 {
    idle + TIME + held + f64::max(cooling, FORK.volume() * 1e6 / dosing)
}

/// All that is in the barrel over a shot, times the cycle; borne is 30 min exp[(E/R)(1/T − 1/T_r)].
#[test]
fn the_barrel_holds_so_many_shots_of_all_copies() {
    let borne = |melt: f64| 30.0 * (80e3 / 8.314_462_618 * (1.0 / (melt + 273.15) - 1.0 / 443.15_f64)).exp();
    for (cooling, dosing) in [(10.0, 8.0), (1.0, 0.4)] {
        let cycle = cycle(3.0, 1.5, cooling, dosing);
        let governs = if cooling > 5.0 {
            3.0 + TIME + 1.5 + cooling
        } else {
            3.0 + TIME + 1.5 + FORK.volume() * 1e6 / dosing
        };
        assert!(off(cycle, governs) < 1e-12, "either governs once");
        for (melt, nearer) in [(160.0, 0.95), (160.0, 1.05), (175.0, 0.95), (175.0, 1.05)] {
            // So many shots that the time in the barrel lies just on either side of what is borne.
            let shots = nearer * borne(melt) * 60.0 / cycle;
            let changes = json!({
                "feedstock": { "barrel_time": 30, "barrel_reference": 170, "barrel_energy": 80 },
                "machine": {
                    "shot_volume": shots * FORK.volume() * 1e6 / 1.6, "barrel_shots": 1.6, "idle_time": 3, "dosing_rate": dosing
                },
                "setup": { "melt_temperature": melt, "mould_temperature": melt, "hold_time": 1.5, "cooling_time": cooling }
            });
            let m = found(&FORK.filled(ETA, &changes), Limit::Residence);
            check(&m, shots * cycle / 60.0, borne(melt), Scale::AtMost, 1e-6);
        }
    }
}

/// What shrinks less than it is pressed together, cold walls and a long cooling: the shot leaves all its heat, ρc_p V ΔT, in
/// the mould, over the cycle of set times, and the water's flow takes it.
#[test]
fn the_water_takes_the_heat_of_all_copies() {
    let heat = 3.38e6 * FORK.volume() * (160.0 - 40.0);
    let rise = heat / cycle(4.0, 1.0, 60.0, 8.0) / (2e-3 / 60.0 * 4.16e6);
    for allowed in [0.95 * rise, 1.05 * rise] {
        let changes = cold(&json!({
            "setup": { "cooling_time": 60 }, "mould": { "water_flow": 2 }, "limits": { "water_rise": allowed }
        }));
        check(&found(&FORK.filled(ETA, &changes), Limit::CoolingWater), rise, allowed, Scale::AtMost, 1e-2);
    }
}

/// Walls at 40 °C, and a melt that hardly shrinks, so that next to nothing is packed in.
fn cold(changes: &Value) -> Value {
    let mut all = json!({
        "feedstock": { "binder_expansion": 0, "binder_compressibility": 0.01 },
        "setup": { "mould_temperature": 40 }
    });
    merge(&mut all, changes);
    all
}

/// Where the mould opens at a set time, the thickest section is the sprue's wide end: by the cylinder's first term (Carslaw and
/// Jaeger, from memory), (4/λ²) exp(−λ² α t/R²) with λ = 2.4048. Where it waits, only a wall too warm never lets the part set.
#[test]
fn the_hottest_section_decides_when_the_mould_opens() {
    let radius = 0.5 * SPRUE.depth(1.0);
    let fourier = 1.6 / 3.38e6 * 9.0 / (radius * radius);
    let lambda = 2.404_826_f64;
    let expected = 40.0 + 120.0 * 4.0 / (lambda * lambda) * (-lambda * lambda * fourier).exp();
    assert!(expected > 45.0, "{expected}");
    for allowed in [expected - 1.0, expected + 1.0] {
        let changes = cold(&json!({
            "feedstock": { "ejection_temperature": allowed },
            "setup": { "contact_conductance": 1e7, "injection_time": 0.05, "cooling_time": 8 },
            "model": { "axial_cells": 200, "layers": 40 }
        }));
        check(
            &found(&FORK.filled(ETA, &changes), Limit::Ejection),
            expected,
            allowed,
            Scale::Below(10.0),
            8e-3,
        );
    }
    let waits = |wall: f64| {
        let mut s = FORK.filled(ETA, &cold(&json!({ "setup": { "mould_temperature": wall }, "feedstock": { "ejection_temperature": 55 } })));
        s.setup.cooling_time = None;
        found(&s, Limit::Ejection)
    };
    for wall in [50.0, 58.0] {
        check(&waits(wall), wall, 55.0, Scale::Below(10.0), 1e-9);
    }
}

/// Where nothing freezes and the mould opens under the last step's pressure, that pressure is what is left, in all parts.
#[test]
fn what_is_left_is_the_last_pressure_of_the_hold() {
    for (steps, left) in
        [(json!([]), 14.0), (json!([]), 17.0), (json!([{ "pressure": 12, "time": 1 }]), 12.0)]
    {
        let first = if steps == json!([]) { left } else { 40.0 };
        let changes = json!({
            "setup": { "hold_pressure": first, "hold_time": 1, "further_hold": steps, "cooling_time": 0 },
            "limits": { "residual_pressure": 15 }
        });
        check(&found(&FORK.filled(ETA, &changes), Limit::Residual), left, 15.0, Scale::Below(5.0), 2e-3);
    }
}

/// Behind a gate that never freezes the melt runs back and the part comes to the wall's temperature without pressure: with a
/// binder alone it shrinks by 1 − 1/(1 + β(T_w − 23 °C)), everywhere.
#[test]
fn a_part_that_is_never_sealed_shrinks_by_its_expansion() {
    for (expansion, wall) in [(2.0, 160.0), (1.0, 160.0), (2.0, 100.0)] {
        let shrinkage = 100.0 * (1.0 - 1.0 / (1.0 + expansion * 1e-4 * (wall - 23.0)));
        for allowed in [0.9 * shrinkage, 1.1 * shrinkage] {
            let changes = json!({
                "feedstock": { "binder_expansion": expansion },
                "setup": { "melt_temperature": 160, "mould_temperature": wall },
                "limits": { "shrinkage": allowed }
            });
            check(
                &found(&FORK.filled(ETA, &changes), Limit::Sink),
                shrinkage,
                allowed,
                Scale::Below(1.0),
                1e-3,
            );
        }
    }
}

/// All steps of the hold together, against the gate that freezes last: the far one, second in the list, that melt has warmed
/// to the end of filling. When it freezes stands in the report.
#[test]
fn the_hold_has_to_outlast_the_last_gate() {
    let scenario = |first: f64, further: &Value, cover: f64| {
        let changes = json!({
            "setup": {
                "mould_temperature": 40, "hold_pressure": 30, "hold_time": first, "further_hold": further, "cooling_time": 10
            },
            "limits": { "hold_cover": cover }
        });
        FORK.filled(ETA, &changes)
    };
    let freeze = |s: &Scenario| {
        let gates = evaluate(s).expect("valid").hold.expect("the part is full").gates;
        let times: Vec<f64> = gates.iter().map(|g| g.freeze_s.expect("freezes")).collect();
        assert_eq!(times.len(), 2);
        assert!(times[1] > 1.1 * times[0], "melt flows through the far gate to the last: {times:?}");
        times[1]
    };
    let none = json!([]);
    let long = freeze(&scenario(20.0, &none, 115.0));
    for (share, cover) in [(1.3, 115.0), (1.3, 140.0), (2.0, 190.0), (2.0, 210.0)] {
        let s = scenario(share * long, &none, cover);
        check(&found(&s, Limit::HoldCover), share * long, freeze(&s) * cover / 100.0, Scale::AtLeast, 1e-9);
    }
    // A further step counts too.
    let s = scenario(0.8 * long, &json!([{ "pressure": 10, "time": long }]), 115.0);
    check(&found(&s, Limit::HoldCover), 1.8 * long, freeze(&s) * 1.15, Scale::AtLeast, 1e-9);
    // A gate that never freezes asks for ten times the hold, of a tenth of a second at least.
    for (held, asked) in [(2.0, 20.0), (0.05, 1.0)] {
        let s = FORK.filled(ETA, &json!({ "setup": { "hold_time": held }, "limits": { "hold_cover": 115 } }));
        check(&found(&s, Limit::HoldCover), held, asked * 1.15, Scale::AtLeast, 1e-9);
    }
}
