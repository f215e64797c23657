//! Numbers of the report on the same path, by hand.

use super::fork::{COPIES, FAR_GATE, FAR_PLATE, FORK, NEAR_PLATE, RUNNER, SPRUE, TIME};
use gatefrost_report::{Outcome, Phase, Report, evaluate, moments};
use gatefrost_tests::build::{self, merge, power_law};
use gatefrost_tests::numeric::{bisect, off};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Viscosity \[Pa s\].
const ETA: f64 = 200.0;

fn report(changes: &Value) -> Report {
    let mut all = json!({ "model": { "axial_cells": 160, "layers": 8 } });
    merge(&mut all, changes);
    evaluate(&FORK.filled(ETA, &all)).expect("valid")
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!(off(found, expected) < within, "{found} against {expected}");
}

#[test]
fn sizes_of_the_path() {
    let c = report(&json!({})).cavity;
    near(c.volume_cm3, FORK.volume() * 1e6, 1e-9);
    near(c.part_volume_cm3, (NEAR_PLATE.volume() + COPIES * FAR_PLATE.volume()) * 1e6, 1e-9);
    let outlines = RUNNER.outline() + FORK.near.outline() + NEAR_PLATE.outline();
    let far = COPIES * (FORK.far.outline() + FAR_PLATE.outline());
    near(c.projected_area_cm2, (outlines + far + SPRUE.volume() / SPRUE.length()) * 1e4, 1e-4);
    near(c.flow_length_mm, 30.0 + 20.0 + 3.0 + 40.0, 1e-9);
    near(c.thickest_mm, 2.0, 1e-9);
    let [sprue, _, near_gate, _, far_gate, far_plate] = &c.passages[..] else { panic!("six passages") };
    near(far_plate.start_mm, 53.0, 1e-9);
    assert_eq!((near_gate.start_mm, far_gate.start_mm, sprue.start_mm), (50.0, 50.0, 0.0));
    assert_eq!((far_gate.feeder, near_gate.feeder, sprue.feeder), (Some(1), Some(1), None));
    assert_eq!(
        (sprue.role.as_str(), sprue.shape.as_str(), far_plate.role.as_str()),
        ("sprue", "tube", "part")
    );
    near(far_gate.thickness_mm[0], 1.0, 1e-9);
    near(far_gate.thickness_mm[1], 0.7, 1e-9);
    near(far_gate.width_mm[1], 3.0, 1e-9);
    near(far_plate.length_mm, 40.0, 1e-9);
    near(far_plate.volume_cm3, COPIES * FAR_PLATE.volume() * 1e6, 1e-9);
    assert_eq!(far_plate.copies, 2);
}

/// At the end of filling the whole flow goes through sprue and runner, and half of it through each far gate and plate.
#[test]
fn the_flow_in_each_passage() {
    let r = report(&json!({}));
    let fill = &r.fill;
    assert_eq!(fill.outcome, Outcome::Full);
    near(fill.filled_percent, 100.0, 1e-9);
    near(fill.fill_time_s, TIME, 1e-9);
    near(fill.rate_cm3_s, FORK.rate() * 1e6, 1e-9);
    let q = FORK.rate();
    let each = q / COPIES;
    let drops = [
        SPRUE.drop(ETA, q, 0.0, 1.0),
        RUNNER.drop(ETA, q, 0.0, 1.0),
        FAR_GATE.drop(ETA, each, 0.0, 1.0),
        FAR_PLATE.drop(ETA, each, 0.0, 1.0),
    ];
    let nozzle = drops.iter().sum::<f64>() / 1e6;
    near(fill.required_pressure_mpa, nozzle, 2e-3);
    near(fill.nozzle_pressure_mpa, nozzle, 2e-3);
    near(fill.gate_pressure_mpa, (drops[2] + drops[3]) / 1e6, 3e-3);
    for (index, shape, flow, drop) in [
        (0, SPRUE, q, drops[0]),
        (1, RUNNER, q, drops[1]),
        (4, FAR_GATE, each, drops[2]),
        (5, FAR_PLATE, each, drops[3]),
    ] {
        let p = &fill.passages[index];
        let ends = |f: &dyn Fn(f64) -> f64| f64::max(f(0.0), f(1.0));
        near(p.apparent_shear_rate_1_s, ends(&|x| shape.shear_rate(flow, x)), 1e-6);
        near(p.velocity_m_s, ends(&|x| flow / shape.area(x)), 1e-6);
        near(p.pressure_drop_mpa, drop / 1e6, 3e-3);
        // Newtonian: the wall's stress is viscosity times rate. Cells have their middle a little way in, those of a gate a twelfth of its length.
        near(p.wall_stress_kpa, ETA * ends(&|x| shape.shear_rate(flow, x)) / 1e3, 0.16);
        assert!(p.greatest_shear_rate_1_s < p.apparent_shear_rate_1_s, "{p:?}");
        assert!(p.greatest_shear_rate_1_s > 0.75 * p.apparent_shear_rate_1_s, "{p:?}");
    }
    // The near branch is full and stands still.
    assert_eq!(fill.passages[2].pressure_drop_mpa, 0.0);
    assert_eq!(fill.passages[3].pressure_drop_mpa, 0.0);
    let history = &fill.history;
    assert!(history.rate_cm3_s.iter().all(|v| off(*v, q * 1e6) < 1e-9));
    near(*history.time_s.last().expect("steps"), TIME, 1e-9);
    near(*history.filled_percent.last().expect("steps"), 100.0, 1e-9);
    near(*history.front_mm.last().expect("steps"), 93.0, 1e-9);
    near(*history.nozzle_mpa.last().expect("steps"), nozzle, 2e-3);
    near(*history.gate_mpa.last().expect("steps"), fill.gate_pressure_mpa, 1e-9);
    assert!(history.front_temperature_c.iter().all(|t| (t - 160.0).abs() < 1e-6));
    near(fill.front_temperature_min_c, 160.0, 1e-9);
    assert!(fill.viscous_rise_k.abs() < 1e-9 && (fill.melt_temperature_max_c - 160.0).abs() < 1e-9);
}

/// Along the way to the far end, which fills last: pressures and shear rates at every place of the plate.
#[test]
fn the_way_to_the_last_end() {
    let r = report(&json!({}));
    let [last, first] = &r.fill.paths[..] else { panic!("two ends") };
    assert_eq!((last.index, first.index), (5, 3));
    near(last.filled_after_s.expect("fills"), TIME, 1e-9);
    assert!(first.filled_after_s.expect("fills") < 0.9 * TIME);
    let each = FORK.rate() / COPIES;
    let mut seen = 0;
    for (i, mm) in last.distance_mm.iter().enumerate().filter(|(_, mm)| **mm > 54.0 && **mm < 90.0) {
        let x = (mm - 53.0) / 40.0;
        near(last.pressure_mpa[i], FAR_PLATE.drop(ETA, each, x, 1.0) / 1e6, 5e-3);
        near(last.shear_rate_1_s[i], FAR_PLATE.shear_rate(each, x), 1e-6);
        near(last.mean_temperature_c[i], 160.0, 1e-9);
        near(last.centre_temperature_c[i], 160.0, 1e-9);
        assert_eq!(last.frozen_percent[i], 0.0);
        seen += 1;
    }
    assert!(seen > 20);
    let sprue = last.distance_mm.iter().position(|mm| (10.0..15.0).contains(mm)).expect("is there");
    near(last.shear_rate_1_s[sprue], SPRUE.shear_rate(FORK.rate(), last.distance_mm[sprue] / 30.0), 1e-6);
}

/// Cold walls and a long cooling at set times: the cycle by its parts, what the mould takes up, and the mass of the parts, which
/// hold what the melt's density is at the end.
#[test]
fn the_cycle_and_its_heat() {
    let r = report(&json!({
        "feedstock": { "binder_expansion": 0, "binder_compressibility": 0.01, "ejection_temperature": 60 },
        "setup": { "mould_temperature": 40, "cooling_time": 60, "hold_time": 1.5 },
        "machine": { "idle_time": 3, "dosing_rate": 0.5 }
    }));
    let dosing = FORK.volume() * 1e6 / 0.5;
    let parts: Vec<(&str, f64, bool)> =
        r.cool.cycle.iter().map(|p| (p.name.as_ref(), p.seconds, p.inside)).collect();
    let expected = [
        ("close", 1.5, false),
        ("fill", TIME, false),
        ("hold", 1.5, false),
        ("cool", 60.0, false),
        ("plasticise", dosing, true),
        ("open and eject", 1.5, false),
    ];
    assert_eq!(parts.len(), expected.len());
    for (found, wanted) in parts.iter().zip(expected) {
        assert_eq!((found.0, found.2), (wanted.0, wanted.2));
        near(found.1, wanted.1, 1e-9);
    }
    let cycle = 3.0 + TIME + 1.5 + 60.0;
    near(r.cool.cycle_s.expect("cools"), cycle, 1e-9);
    near(r.cool.plasticising_s, dosing, 1e-9);
    near(r.cool.heat_w.expect("cools"), 3.38e6 * FORK.volume() * 120.0 / cycle, 1e-2);
    assert!(r.cool.governed_by.contains("that is set"), "{}", r.cool.governed_by);
    let hold = r.hold.as_ref().expect("the part is full");
    near(hold.held_s, 1.5, 1e-9);
    near(hold.part_mass_g, 2600.0 * 1e3 * (NEAR_PLATE.volume() + COPIES * FAR_PLATE.volume()), 1e-3);
    // The far plate, 1.8 mm, cools last by the hand formula if it is the thickest; here it is the near one of 2 mm.
    assert_eq!(r.cool.section, "near plate");
    let hand = 1e-6 / (1.6 / 3.38e6) * 4.0 / (PI * PI) * (8.0 / (PI * PI) * (120.0_f64 / 20.0)).ln();
    near(r.cool.hand_s.expect("cools"), hand, 1e-6);
    let gate = hold.gates.iter().find(|g| g.name == "far gate").expect("is there");
    let slab = |factor: f64| 0.25e-6 / (1.6 / 3.38e6) * 4.0 / (PI * PI) * (factor * (120.0_f64 / 30.0)).ln();
    near(gate.hand_mean_s.expect("freezes"), slab(8.0 / (PI * PI)), 1e-6);
    near(gate.hand_centre_s.expect("freezes"), slab(4.0 / PI), 1e-6);
}

/// What the cycle waits for where no cooling time is set: the part or sprue and runner, metering, or the hold.
#[test]
fn what_the_cycle_waits_for() {
    let governed = |hold: f64, dosing: f64, ejection: f64| {
        let mut s = FORK.filled(
            ETA,
            &json!({
                "feedstock": { "ejection_temperature": ejection },
                "setup": { "mould_temperature": 40, "hold_time": hold }, "machine": { "dosing_rate": dosing }
            }),
        );
        s.setup.cooling_time = None;
        let r = evaluate(&s).expect("valid");
        let (part, runner) = (r.cool.cooling_time_s.expect("cools"), r.cool.runner_time_s.expect("cools"));
        assert!(runner > part, "the sprue is the thickest");
        let metered = hold + FORK.volume() * 1e6 / dosing;
        let opens = metered.max(runner).max(hold);
        near(r.cool.cycle_s.expect("cools"), 4.0 + TIME + opens, 2e-2);
        r.cool.governed_by
    };
    assert_eq!(governed(1.0, 50.0, 55.0), "cooling of sprue and runners");
    assert!(governed(1.0, 0.05, 55.0).starts_with("plasticising"));
    assert!(governed(60.0, 50.0, 55.0).starts_with("the hold"));
}

/// Depth of what is below the no-flow temperature in a slab that begins to cool at once: the place where the series
/// (4/π) Σ (−1)^k cos((2k+1)πy/2H) exp(−(2k+1)²π²Fo/4)/(2k+1) has come down to it.
#[test]
fn the_frozen_share_follows_the_series() {
    let strip = json!({ "strip": { "length": 30, "width": 10, "thickness": 3 } });
    let changes = json!({
        "feedstock": {
            "flow_law": power_law(1.0, 1.0, 0.0), "no_flow_temperature": 90, "binder_expansion": 0,
            "binder_compressibility": 0.01
        },
        "setup": {
            "melt_temperature": 160, "mould_temperature": 40, "contact_conductance": 1e7, "injection_time": 0.005,
            "hold_pressure": 1, "hold_time": 1, "cooling_time": 20
        },
        "model": { "axial_cells": 10, "layers": 80 }
    });
    let s = build::scenario(json!([{ "name": "plate", "role": "part", "form": strip }]), &changes);
    let all = moments(&s).expect("valid");
    let fourier = |t: f64| 1.6 / 3.38e6 * t / (1.5e-3 * 1.5e-3);
    let frozen = |t: f64| {
        let at = |y: f64| {
            let term = |k: i32| {
                let m = f64::from(2 * k + 1);
                let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                sign * (0.5 * m * PI * y).cos() * (-m * m * PI * PI * fourier(t) / 4.0).exp() / m
            };
            40.0 + 120.0 * 4.0 / PI * (0..40).map(term).sum::<f64>()
        };
        1.0 - bisect(|y| 90.0 - at(y), 0.0, 1.0)
    };
    let mut seen = 0;
    for m in all.moments.iter().filter(|m| m.stage != Phase::Fill && (0.2..1.8).contains(&m.time_s)) {
        let expected = 100.0 * frozen(m.time_s);
        assert!(
            (m.frozen_percent[8] - expected).abs() < 1.0,
            "{} s: {} against {expected}",
            m.time_s,
            m.frozen_percent[8]
        );
        seen += 1;
    }
    assert!(seen >= 5, "{seen}");
}

/// 60 vol% of powder of 7950 kg/m³ in 40 vol% of binder of 880 kg/m³; curves of a power law at three temperatures.
#[test]
fn the_feedstock_by_its_shares() {
    let melt = |no_flow: f64| {
        report(&json!({ "feedstock": {
            "solids_loading": 60, "measured_loading": 60, "powder_density": 7950, "binder_density": 880,
            "flow_law": power_law(1000.0, 0.4, 0.0), "no_flow_temperature": no_flow
        } }))
        .feedstock
    };
    let f = melt(70.0);
    let powder = 0.6 * 7950.0;
    near(f.density_kg_m3, powder + 0.4 * 880.0, 1e-9);
    near(f.powder_mass_percent, 100.0 * powder / (powder + 0.4 * 880.0), 1e-9);
    near(f.diffusivity_mm2_s, 1e6 * f.conductivity_w_mk / (f.density_kg_m3 * f.heat_capacity_j_kgk), 1e-9);
    near(f.viscosity_at_1000_pa_s, 1000.0 * 1000_f64.powf(-0.6), 1e-6);
    let temperatures = |f: &gatefrost_report::FeedstockReport| {
        f.curves.iter().map(|c| c.temperature_c).collect::<Vec<f64>>()
    };
    for (found, expected) in
        [(temperatures(&f), [120.0, 160.0, 180.0]), (temperatures(&melt(130.0)), [130.0, 160.0, 180.0])]
    {
        assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
    }
    let curve = &f.curves[1];
    near(curve.shear_rate_1_s[0], 1.0, 1e-9);
    near(curve.shear_rate_1_s[30], 1000.0, 1e-9);
    near(*curve.shear_rate_1_s.last().expect("points"), 1e6, 1e-9);
    near(curve.viscosity_pa_s[30], 1000.0 * 1000_f64.powf(-0.6), 1e-6);
}

/// What is remarked of the powder begins beyond the bounds of common practice, and not on them.
#[test]
fn remarks_begin_beyond_their_bounds() {
    let said = |changes: Value, word: &str| {
        report(&json!({ "feedstock": changes })).remarks.iter().any(|r| r.contains(word))
    };
    for (size, coarse) in [(19.0, false), (20.0, false), (20.1, true), (45.0, true)] {
        assert_eq!(said(json!({ "particle_size": size }), "coarser"), coarse, "{size}");
    }
    for (times, differ) in [(19.0, false), (20.0, false), (21.0, true), (60.0, true)] {
        let k = json!({ "binder_conductivity": 0.25, "powder_conductivity": 0.25 * times });
        assert_eq!(said(k, "rules differ"), differ, "{times}");
    }
    for (loading, near) in [(50.0, false), (58.0, false), (58.1, true), (59.0, true)] {
        let phi = json!({ "critical_loading": 60, "solids_loading": loading, "measured_loading": loading });
        assert_eq!(said(phi, "below the critical"), near, "{loading}");
    }
}
