//! Limits that the setting alone decides.

use super::fork::{FORK, absent_or, found};
use super::{Scale, check};
use gatefrost_core::limits::Limit;
use gatefrost_tests::numeric::bisect;
use serde_json::json;

/// Volume of the path with all copies, in cm³, against the greatest shot.
#[test]
fn the_shot_is_the_volume_of_all_copies() {
    let volume = FORK.volume() * 1e6;
    for most in [0.95 * volume, 1.05 * volume] {
        let s = FORK.filled(100.0, &json!({ "machine": { "shot_volume": most } }));
        check(&found(&s, Limit::Shot), volume, most, Scale::AtMost, 1e-6);
    }
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

#[test]
fn without_a_switch_over_nothing_is_asked_of_the_hold_pressure() {
    let at = |share: f64| FORK.filled(100.0, &json!({ "setup": { "switch_over": share } }));
    assert!(absent_or(&at(100.0), Limit::SwitchOver).is_none());
    assert!(absent_or(&at(99.0), Limit::SwitchOver).is_some());
}
