//! Limits that hold and cooling decide.

use super::fork::{FORK, SPRUE, TIME, found};
use super::{Scale, check};
use gatefrost_core::case::Case;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, merge};
use gatefrost_tests::numeric::{bisect, off, simpson};
use serde_json::{Value, json};
use std::f64::consts::PI;

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

/// Specific volume of a binder of expansion β \[1/K\] at a temperature \[°C\], relative to that at 23 °C.
fn volume(beta: f64, t: f64) -> f64 {
    1.0 + beta * (t - 23.0)
}

/// Melt that never comes under pressure and cools only after the fill: all of it contracts from melt to no-flow temperature
/// with nothing fed, 1 − v(T_nf)/v(T_m), everywhere. What it loses as a solid below that is left out.
#[test]
fn soft_melt_without_pressure_loses_its_contraction() {
    for (expansion, no_flow) in [(2.0, 70.0), (5.0, 70.0), (5.0, 110.0)] {
        let beta = expansion * 1e-4;
        let expected = 100.0 * (1.0 - volume(beta, no_flow) / volume(beta, 160.0));
        for allowed in [0.9 * expected, 1.1 * expected] {
            let changes = json!({
                "feedstock": {
                    "binder_expansion": expansion, "binder_compressibility": 0.01, "no_flow_temperature": no_flow,
                    "flow_law": build::power_law(2000.0, 1.0, 300.0)
                },
                "setup": {
                    "mould_temperature": 60, "contact_conductance": 60, "hold_pressure": 0, "hold_time": 0.01,
                    "cooling_time": 200
                },
                "limits": { "soft_loss": allowed }
            });
            // So stiff as it cools that hardly any is drawn in from the nozzle.
            check(
                &found(&FORK.filled(ETA, &changes), Limit::Sink),
                expected,
                allowed,
                Scale::Below(1.0),
                4e-2,
            );
        }
    }
}

/// A block of 6 mm behind a gate so shallow that it freezes at once, or one so deep that it feeds the block until it sets.
fn block(gate: f64, pressure: f64, allowed: f64) -> Scenario {
    let strip = |length: f64, width: f64, thickness: f64| json!({ "strip": { "length": length, "width": width, "thickness": thickness } });
    let passages = json!([
        { "name": "gate", "role": "gate", "form": strip(1.0, 3.0, gate) },
        { "name": "block", "role": "part", "form": strip(20.0, 10.0, 6.0) }
    ]);
    let changes = json!({
        "feedstock": {
            "flow_law": build::power_law(1.0, 1.0, 0.0), "no_flow_temperature": 70, "binder_expansion": 10,
            "binder_compressibility": 0.5
        },
        "setup": {
            "melt_temperature": 160, "mould_temperature": 40, "contact_conductance": 1e7, "injection_time": 0.1,
            "hold_pressure": pressure, "hold_time": 40, "cooling_time": 20
        },
        "limits": { "soft_loss": allowed },
        "model": { "axial_cells": 24, "layers": 60 }
    });
    build::scenario(passages, &changes)
}

/// What is sealed at a pressure contracts until it has none: (1 + β(T̄ − 23)) falls by 1 − κp. From then on the layers above
/// the no-flow temperature lose 1 − v(T_nf)/v(T), with the profile of a slab (cosine series) at that mean temperature.
/// The shell that has set by then contracts too, and does not count.
#[test]
fn a_block_behind_a_tiny_gate_sinks_by_what_is_soft_when_its_pressure_is_gone() {
    const BETA: f64 = 1e-3;
    for pressure in [20.0, 40.0] {
        let s = block(0.2, pressure, 1.0);
        let case = Case::resolve(&s);
        let hold = case.evaluate().hold.expect("the part is full");
        let end = &hold.ends[0];
        assert!(end.sealed_pressure > 0.5e6 * pressure, "{end:?}");
        let sealed = volume(BETA, end.sealed_temperature - 273.15) * (1.0 - 0.5e-9 * end.sealed_pressure);
        let mean = 23.0 + (sealed - 1.0) / BETA;
        let term = |k: i32, fourier: f64| (-f64::from(2 * k + 1).powi(2) * PI * PI * fourier / 4.0).exp();
        let mean_at = |fourier: f64| {
            let sum: f64 = (0..60).map(|k| term(k, fourier) / f64::from(2 * k + 1).powi(2)).sum();
            40.0 + 120.0 * 8.0 / (PI * PI) * sum
        };
        let fourier = bisect(|x| mean_at(x) - mean, 1e-4, 1.0);
        let at = |y: f64| {
            let sum = |k: i32| {
                let m = f64::from(2 * k + 1);
                let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                sign / m * (0.5 * m * PI * y).cos() * term(k, fourier)
            };
            40.0 + 120.0 * 4.0 / PI * (0..60).map(sum).sum::<f64>()
        };
        let lost = |y: f64| (1.0 - volume(BETA, 70.0) / volume(BETA, at(y))).max(0.0);
        let expected = 100.0 * simpson(lost, 0.0, 1.0, 400);
        assert!(expected < 0.75 * 100.0 * hold.sink.shrinkage, "the rest makes the part smaller: {hold:?}");
        for allowed in [0.9 * expected, 1.1 * expected] {
            check(
                &found(&block(0.2, pressure, allowed), Limit::Sink),
                expected,
                allowed,
                Scale::Below(1.0),
                4e-2,
            );
        }
    }
    // Fed until it has set, it loses nothing while soft, however much it shrinks as a solid.
    let fed = found(&block(4.0, 60.0, 0.5), Limit::Sink);
    assert!(fed.value < 0.05 && fed.g > 0.0, "{}", fed.sentence);
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
    // A gate that never freezes has the margin of one that freezes after ten times the hold, of a tenth of a second at
    // least. No time is told that would be enough.
    for (held, asked) in [(2.0, 20.0), (0.05, 1.0)] {
        let s = FORK.filled(ETA, &json!({ "setup": { "hold_time": held }, "limits": { "hold_cover": 115 } }));
        let m = found(&s, Limit::HoldCover);
        check(&m, held, asked * 1.15, Scale::AtLeast, 1e-9);
        assert!(m.out_of_reach && m.sentence.contains("never freezes"), "{}", m.sentence);
        assert!(!m.sentence.contains("at least") && m.remedy.contains("colder mould"), "{}", m.sentence);
        assert!(!m.remedy.contains("longer hold"), "{}", m.remedy);
    }
    // A gate that freezes later than that is told with its own time, at that margin.
    let short = 0.02 * long;
    let m = found(&scenario(short, &none, 115.0), Limit::HoldCover);
    let freeze = freeze(&scenario(short, &none, 115.0));
    assert!(freeze > 10.0 * short && (m.threshold / (1.15 * freeze) - 1.0).abs() < 1e-9, "{m:?}");
    let floor = (1.15 * 10.0 * short.max(0.1) / short).ln();
    assert!((m.g + floor).abs() < 1e-9 && !m.out_of_reach, "{m:?}");
}
