//! Limits that the setting alone decides.

use super::fork::{COPIES, FAR_GATE, FAR_PLATE, FORK, Fork, RUNNER, SPRUE, Shape, absent_or, found};
use super::{Scale, check};
use gatefrost_after::plan::debinding_hours;
use gatefrost_core::limits::Limit;

use gatefrost_core::scenario::{DebindingStep, Leaves, Scenario, Thermal};
use gatefrost_tests::build::{self, merge};
use gatefrost_tests::numeric::{bisect, simpson};
use serde_json::{Value, json};

/// Volume of the path with all copies, in cm³, against the greatest shot.
#[test]
fn the_shot_is_the_volume_of_all_copies() {
    let volume = FORK.volume() * 1e6;
    for most in [0.95 * volume, 1.05 * volume] {
        let s = FORK.filled(100.0, &json!({ "machine": { "shot_volume": most } }));
        check(&found(&s, Limit::Shot), volume, most, Scale::AtMost, 1e-6);
    }
}

/// Volume of the path with all copies, in cm³, against a share of the greatest shot; a share of 0 asks for none.
#[test]
fn a_shot_is_a_usual_share_of_the_machine() {
    let volume = FORK.volume() * 1e6;
    for (most, share) in [(4.0 * volume, 20.0), (6.0 * volume, 20.0), (6.0 * volume, 10.0)] {
        let changes = json!({ "machine": { "shot_volume": most }, "limits": { "shot_share": share } });
        let m = found(&FORK.filled(100.0, &changes), Limit::SmallShot);
        check(&m, volume, most * share / 100.0, Scale::AtLeast, 1e-6);
    }
    let none = json!({ "machine": { "shot_volume": 100.0 * volume }, "limits": { "shot_share": 0 } });
    assert!(absent_or(&FORK.filled(100.0, &none), Limit::SmallShot).is_none());
}

/// The melt's set temperature against that of the melted binder and a reserve: feedstock at 112 °C of a binder whose backbone
/// melts at 168 °C is not melted. Where only the liquidus is known, it stands for it.
#[test]
fn no_set_point_lies_below_the_melted_backbone() {
    for (melt, melted, reserve) in
        [(112.0, 168.0, 5.0), (170.0, 168.0, 5.0), (174.0, 168.0, 5.0), (174.0, 168.0, 8.0)]
    {
        let changes = json!({
            "feedstock": { "melted_temperature": melted, "liquidus": 75 },
            "setup": { "melt_temperature": melt, "mould_temperature": melt }, "limits": { "melt_reserve": reserve }
        });
        let m = found(&FORK.filled(100.0, &changes), Limit::Melted);
        check(&m, melt, melted + reserve, Scale::Above(10.0), 1e-9);
    }
    let wax = json!({ "feedstock": { "liquidus": 75, "solidus": 45 }, "limits": { "melt_reserve": 5 } });
    check(&found(&FORK.filled(100.0, &wax), Limit::Melted), 160.0, 80.0, Scale::Above(10.0), 1e-9);
}

/// A powder of 55 vol% in a binder that its flow law was measured with.
fn filled(powder: &Value) -> Scenario {
    let mut changes =
        json!({ "feedstock": { "solids_loading": 55, "measured_loading": 55, "critical_loading": 64 } });
    merge(&mut changes, powder);
    FORK.filled(100.0, &changes)
}

#[test]
fn the_loading_keeps_its_distance_from_the_critical_one() {
    for (critical, gap) in [(58.0, 2.0), (56.0, 2.0), (58.0, 5.0)] {
        let s = filled(
            &json!({ "feedstock": { "critical_loading": critical }, "limits": { "loading_gap": gap } }),
        );
        check(&found(&s, Limit::Loading), 55.0, critical - gap, Scale::Below(1.0), 1e-9);
    }
    assert!(absent_or(&FORK.filled(100.0, &json!({})), Limit::Loading).is_none(), "a binder alone");
}

/// The shallower end of the shallowest gate, 0.7 mm, against grains: d90 as stated, or 2.2 d50.
#[test]
fn ten_coarse_grains_pass_the_shallowest_gate() {
    for (powder, grains, needed) in [
        (json!({ "particle_size_90": 60 }), 10.0, 0.6),
        (json!({ "particle_size_90": 80 }), 10.0, 0.8),
        (json!({ "particle_size_90": 80 }), 8.0, 0.64),
        (json!({ "particle_size": 30 }), 10.0, 0.66),
        (json!({ "particle_size": 40 }), 10.0, 0.88),
    ] {
        let s = filled(&json!({ "feedstock": powder, "limits": { "gate_grains": grains } }));
        check(&found(&s, Limit::GatePowder), 0.7, needed, Scale::AtLeast, 1e-9);
    }
    assert!(absent_or(&FORK.filled(100.0, &json!({})), Limit::GatePowder).is_none(), "a binder alone");
}

/// Gate where the melt leaves it over plate where it enters: 0.9/2.0 near, 0.7/1.8 far; turned, the far one is 1.0/1.8.
#[test]
fn the_thickest_gate_for_its_wall_is_told() {
    for (far, expected) in [(FAR_GATE, 45.0), (FAR_GATE.turned(), 100.0 / 1.8)] {
        for allowed in [expected - 2.0, expected + 2.0] {
            let s = Fork { far, ..FORK }.filled(100.0, &json!({ "limits": { "gate_wall": allowed } }));
            check(&found(&s, Limit::GateWall), expected, allowed, Scale::AtMost, 1e-9);
        }
    }
    // A tube into the middle of a disc, and a part without a gate, have no wall behind a gate.
    let pin = json!({ "name": "pin", "role": "gate", "form": { "tube": { "length": 1, "diameter": 3 } } });
    let disc = json!({ "name": "disc", "role": "part", "form": { "disc": { "inner_radius": 1.5, "outer_radius": 9, "thickness": 2 } } });
    assert!(absent_or(&build::scenario(json!([pin, disc]), &json!({})), Limit::GateWall).is_none());
    assert!(absent_or(&build::scenario(json!([disc]), &json!({})), Limit::GateWall).is_none());
}

/// Σ (a/H)² γ̇ t on the way to the far end: the strain of each slice is its apparent shear rate times the time that the flow
/// takes through it, whatever the flow. The rate of injection changes nothing, the square of the grain size does: powder of
/// 60 µm does not mould like powder of 10 µm.
#[test]
fn grains_migrate_by_the_strain_of_the_way() {
    let index = |q: f64, a: f64| {
        let way = [(SPRUE, q), (RUNNER, q), (FAR_GATE, q / COPIES), (FAR_PLATE, q / COPIES)];
        let slice = |(shape, q): (Shape, f64)| {
            let at = |x: f64| (2.0 * a / shape.depth(x)).powi(2) * shape.shear_rate(q, x) * shape.area(x) / q;
            shape.length() * simpson(at, 0.0, 1.0, 400)
        };
        way.map(slice).iter().sum::<f64>()
    };
    let d90 = |d50: f64| 2.2e-6 * d50;
    for (d50, time) in [(10.0, 0.5), (60.0, 0.5), (60.0, 0.05)] {
        let expected = index(FORK.volume() / time, 0.5 * d90(d50));
        for allowed in [0.9 * expected, 1.1 * expected] {
            let s = filled(&json!({
                "feedstock": { "particle_size": d50 }, "setup": { "injection_time": time },
                "limits": { "migration": allowed }, "model": { "axial_cells": 200 }
            }));
            check(&found(&s, Limit::Migration), expected, allowed, Scale::AtMost, 2e-3);
        }
    }
    let usual =
        |d50: f64| found(&filled(&json!({ "feedstock": { "particle_size": d50 } })), Limit::Migration).g;
    assert!(usual(10.0) > 0.0 && usual(60.0) < 0.0, "{} {}", usual(10.0), usual(60.0));
    assert!(absent_or(&FORK.filled(100.0, &json!({})), Limit::Migration).is_none(), "a binder alone");
}

/// Volume over injection time, in cm³/s, against the usable share of the greatest rate.
#[test]
fn the_rate_is_volume_over_time() {
    let rate = FORK.rate() * 1e6;
    for (most, usable) in [(rate, 105.0 / 1.1), (rate, 90.0), (2.0 * rate, 60.0), (2.0 * rate, 45.0)] {
        let s =
            FORK.filled(100.0, &json!({ "machine": { "max_rate": most }, "limits": { "rate_use": usable } }));
        check(&found(&s, Limit::Rate), rate, most * usable / 100.0, Scale::AtMost, 1e-6);
    }
}

/// Viscosity of air at 40 °C \[Pa s\] (fluids 1.3.1, ATMOSPHERE_1976) and its gas constant \[J/kg K\].
const AIR: (f64, f64) = (1.907_574e-5, 287.05);
const AMBIENT: f64 = 101_325.0;

/// Pressure \[Pa\] at which air of 40 °C leaves a slit as fast as it comes, found from the flow itself: the mass that
/// friction lets through between the pressure inside and that at the end of the land, and the mass that a nozzle lets
/// out at its end (ISO 6358 with the critical ratio 0, contraction 0.8), are the mass that comes in.
fn air_pressure(q: f64, [w, h, l]: [f64; 3]) -> f64 {
    let (mu, r) = AIR;
    let t = 313.15;
    let mass = |p: f64| p * q / (r * t);
    // p₁ at the end of the land, from m = w h³ (p² − p₁²)/(24 μ L R T).
    let end = |p: f64| p * p - 24.0 * mu * l * r * t * mass(p) / (w * h.powi(3));
    // Greatest mass flow out at p: C_d A p √(γ/RT) (2/(γ+1))³, and m = of it √(1 − (p₀/p₁)²).
    let sonic = |p: f64| 0.8 * w * h * p * (1.4_f64 / (r * t)).sqrt() * (2.0_f64 / 2.4).powi(3);
    // p₁² = p₀² + (p q/Q_c)²: what p₁ must be for that mass to leave.
    let wanted = |p: f64| AMBIENT.powi(2) + (p * mass(p) / sonic(p)).powi(2);
    bisect(|p| end(p) - wanted(p), AMBIENT, 100.0 * AMBIENT)
}

/// The rate is that of all copies; depth and land of the vents count by their own powers.
#[test]
fn the_air_leaves_at_the_rate_of_all_copies() {
    let scenario = |mm: [f64; 3], allowed: f64| {
        let changes = json!({
            "setup": { "mould_temperature": 40, "melt_temperature": 160 },
            "mould": { "vent_width": mm[0], "vent_depth": mm[1], "vent_land": mm[2] },
            "limits": { "air_pressure": allowed }
        });
        FORK.filled(100.0, &changes)
    };
    for mm in [[50.0, 0.01, 1.0], [25.0, 0.012, 1.5], [20.0, 0.02, 3.0]] {
        let expected = air_pressure(FORK.rate(), mm.map(|v| v * 1e-3)) / 1e6;
        assert!(expected > 0.11, "{expected} MPa is no test of the vents");
        for allowed in [0.97 * expected, 1.03 * expected] {
            check(&found(&scenario(mm, allowed), Limit::Venting), expected, allowed, Scale::AtMost, 1e-4);
        }
    }
    // Beyond five times the allowed pressure the value stands for all that is more.
    let shut = found(&scenario([50.0, 0.001, 1.0], 0.3), Limit::Venting);
    assert!((shut.value - 1.5).abs() < 1e-9 && shut.beyond_reckoning && shut.g < -1.6, "{}", shut.sentence);
    assert!(!found(&scenario([50.0, 0.01, 1.0], 0.3), Limit::Venting).beyond_reckoning);
}

/// A catalytic oven alone: a front of 1.5 mm/h through a plate that one face reaches takes its thickness over that speed,
/// whatever the machine does. Without a time that is accepted there is no limit.
#[test]
fn debinding_takes_as_long_as_its_front() {
    let part = json!({ "name": "oxymethylene", "share": 100, "leaves": "catalyst" });
    let at = |longest: Value, speed: f64| {
        let steps = json!([{ "catalytic": { "speed": speed } }]);
        let changes = json!({ "debinding": { "parts": [part], "steps": steps, "longest": longest } });
        FORK.filled(100.0, &changes)
    };
    let s = at(json!(10.0), 1.5);
    let thickest = debinding_hours(&s).expect("a wall") * 1.5;
    assert!(thickest > 0.0);
    for longest in [0.9 * thickest / 1.2, 1.1 * thickest / 1.2] {
        let m = found(&at(json!(longest), 1.2), Limit::Debinding);
        check(&m, thickest / 1.2, longest, Scale::AtMost, 1e-9);
    }
    assert!(absent_or(&at(Value::Null, 1.2), Limit::Debinding).is_none());
    // A furnace too cold for its binder never ends: the value stands for anything longer.
    let mut never = at(json!(10.0), 1.5);
    never.debinding.parts[0].leaves = Leaves::Heat;
    never.debinding.steps =
        vec![DebindingStep::Thermal(Thermal { end_temperature: 100.0, ..Thermal::default() })];
    let m = found(&never, Limit::Debinding);
    assert!(m.beyond_reckoning && m.g < -4.0 && m.g.is_finite(), "{}", m.sentence);
}

#[test]
fn without_a_switch_over_nothing_is_asked_of_the_hold_pressure() {
    let at = |share: f64| FORK.filled(100.0, &json!({ "setup": { "switch_over": share } }));
    assert!(absent_or(&at(100.0), Limit::SwitchOver).is_none());
    assert!(absent_or(&at(99.0), Limit::SwitchOver).is_some());
}
