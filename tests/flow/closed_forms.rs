//! Newtonian and power-law flow in slit, tube and disc.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_report::Report;
use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Consistency and exponent of the worked values.
const K: f64 = 1000.0;
const N: f64 = 0.4;
/// Flow rate of the worked values \[m³/s\].
const Q: f64 = 1e-5;

fn path(form: Value, volume: f64, law: Value, layers: usize, cells: usize) -> Scenario {
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": { "flow_law": law },
            "setup": { "injection_time": volume / Q },
            "model": { "layers": layers, "axial_cells": cells }
        }),
    );
    build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes)
}

fn report(form: Value, volume: f64, law: Value, layers: usize, cells: usize) -> Report {
    evaluate(&path(form, volume, law, layers, cells)).expect("valid")
}

fn slit() -> (Value, f64) {
    (json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } }), 50e-3 * 20e-3 * 2e-3)
}

fn tube() -> (Value, f64) {
    (json!({ "tube": { "length": 50, "diameter": 4 } }), PI * 4e-6 * 50e-3)
}

fn disc() -> (Value, f64) {
    (
        json!({ "disc": { "inner_radius": 1, "outer_radius": 25, "thickness": 2 } }),
        PI * (625e-6 - 1e-6) * 2e-3,
    )
}

/// Shear rate at the wall of a slit (w, h) and a tube (R).
fn slit_rate(n: f64, w: f64, h: f64) -> f64 {
    (2.0 * n + 1.0) / (3.0 * n) * 6.0 * Q / (w * h * h)
}

fn tube_rate(n: f64, r: f64) -> f64 {
    (3.0 * n + 1.0) / (4.0 * n) * 4.0 * Q / (PI * r.powi(3))
}

/// Pressure drop \[Pa\] of a slit, a tube and a disc: 2Lτ/h, 2Lτ/R, and the slit's gradient integrated
/// over r, on which the wall stress falls as r^−n.
fn drops(k: f64, n: f64) -> [f64; 3] {
    let stress = |rate: f64| k * rate.powf(n);
    let slit = 2.0 * 50e-3 * stress(slit_rate(n, 20e-3, 2e-3)) / 2e-3;
    let tube = 2.0 * 50e-3 * stress(tube_rate(n, 2e-3)) / 2e-3;
    let rim = stress(slit_rate(n, 2.0 * PI * 25e-3, 2e-3)) * 25e-3_f64.powf(n);
    let reach =
        if n == 1.0 { 25.0_f64.ln() } else { (25e-3_f64.powf(1.0 - n) - 1e-3_f64.powf(1.0 - n)) / (1.0 - n) };
    [slit, tube, 2.0 / 2e-3 * rim * reach]
}

/// The worked values: slit 1125 1/s, 16.61 kPa, 0.8307 MPa; tube 2188 1/s, 1.0840 MPa; disc
/// 0.2595 MPa; here the closed forms above reproduce them to their last digit.
#[test]
fn the_closed_forms_give_the_worked_values() {
    let [slit, tube, disc] = drops(K, N);
    assert!((slit_rate(N, 20e-3, 2e-3) - 1125.0).abs() < 0.5);
    assert!((tube_rate(N, 2e-3) - 2188.0).abs() < 0.6);
    for (found, value) in [(slit, 0.8307e6), (tube, 1.0840e6), (disc, 0.2595e6)] {
        assert!((found - value).abs() < 51.0, "{found} {value}");
    }
}

/// A stress known in closed form, a fluidity taken layer by layer at its centroid: of second order in
/// the layers for n < 1, exact for n = 1.
#[test]
fn pressure_converges_to_the_closed_form_at_second_order() {
    for n in [0.25, N, 0.7, 1.0] {
        for (i, (form, volume)) in [slit(), tube(), disc()].into_iter().enumerate() {
            let exact = drops(K, n)[i];
            let error = |layers| {
                let r = report(form.clone(), volume, power_law(K, n, 30.0), layers, 48);
                r.fill.required_pressure_mpa * 1e6 / exact - 1.0
            };
            let errors = [10, 20, 40].map(error);
            if n == 1.0 {
                assert!(errors.iter().all(|e| e.abs() < 2e-5), "shape {i}, Newtonian: {errors:?}");
                continue;
            }
            assert!(errors[1].abs() < 4e-3 && errors[2].abs() < 1e-3, "shape {i}, n {n}: {errors:?}");
            let order = (errors[1] / errors[2]).abs().log2();
            assert!((order - 2.0).abs() < 0.25, "shape {i}, n {n}: order {order}, {errors:?}");
        }
    }
}

/// Rates and stress at the wall. The greatest rate is taken at the outermost layer's centroid, half
/// a layer from the wall: first order in its width, 0.2 % of the gap on 40 layers.
#[test]
fn wall_rates_and_stress_of_the_slit_and_the_tube() {
    for ((form, volume), stress, rate, apparent) in [
        (slit(), 16.61, slit_rate(N, 20e-3, 2e-3), 6.0 * Q / (20e-3 * 4e-6)),
        (tube(), 21.68, tube_rate(N, 2e-3), 4.0 * Q / (PI * 8e-9)),
    ] {
        let r = report(form, volume, power_law(K, N, 0.0), 40, 24);
        let flow = &r.fill.passages[0];
        assert!(off(flow.wall_stress_kpa, stress) < 1e-3, "{} kPa", flow.wall_stress_kpa);
        assert!(off(flow.apparent_shear_rate_1_s, apparent) < 1e-12);
        assert!(off(flow.greatest_shear_rate_1_s, rate) < 8e-3, "{} 1/s", flow.greatest_shear_rate_1_s);
    }
}

/// Disc of the worked values: opening force 0.1375 kN with the inner circle under the peak pressure,
/// whose mean is (1−n)/(3−n) of the peak for r₁ ≪ r₂. The ring's force is a sum over cells of
/// midpoint pressures: of second order in them.
#[test]
fn opening_force_of_the_disc() {
    let (form, volume) = disc();
    let peak = drops(K, N)[2];
    let hub = PI * 1e-6 * peak / 1e3;
    let force =
        |cells| report(form.clone(), volume, power_law(K, N, 0.0), 40, cells).fill.opening_force_kn + hub;
    let found = [24, 48, 96].map(force);
    assert!((found[2] - 0.1375).abs() < 1e-4, "{found:?}");
    let ratio = (found[0] - found[1]) / (found[1] - found[2]);
    assert!((ratio - 4.0).abs() < 0.5, "second order: {found:?}");
    // The limit is approached as (r₁/r₂)^(1−n), here 0.145.
    let reach = 1.0 - 0.04_f64.powf(1.0 - N);
    let share = found[2] * 1e3 / (PI * 25e-3_f64.powi(2)) / peak;
    assert!(off(share * reach, (1.0 - N) / (3.0 - N)) < 3e-3, "{share}");
}

/// Tapering tube, K = 16e3 Pa·sⁿ, n = 0.3, R from 1.5 to 3 mm over 60 mm, 10 cm³/s: 290 MPa/m at the
/// inlet and 8.96 MPa (university fluid mechanics notes, 2008; read and reproduced).
#[test]
fn a_tapering_tube() {
    let (k, n) = (16e3, 0.3);
    let form = json!({ "tube": { "length": 60, "diameter": 3, "diameter_end": 6 } });
    let volume = PI / 3.0 * 60e-3 * (1.5e-3_f64.powi(2) + 1.5e-3 * 3e-3 + 9e-6);
    let gradient = |r: f64| 2.0 * k * tube_rate(n, r).powf(n) / r;
    // ∫dp = ∫ gradient(r) dr/(dr/ds), gradient ∝ r^(−3n−1).
    let slope = 1.5e-3 / 60e-3;
    let drop = gradient(1.5e-3) * 1.5e-3 / (3.0 * n * slope) * (1.0 - 0.5_f64.powf(3.0 * n));
    assert!(off(gradient(1.5e-3), 290e6) < 5e-3 && off(drop, 8.96e6) < 1e-3, "{} {drop}", gradient(1.5e-3));
    for cells in [4, 48] {
        let r = report(form.clone(), volume, power_law(k, n, 0.0), 40, cells);
        assert!(off(r.fill.required_pressure_mpa, drop / 1e6) < 2e-3, "{} MPa", r.fill.required_pressure_mpa);
    }
    let fine = &report(form, volume, power_law(k, n, 0.0), 40, 600).fill.paths[0];
    let between = |list: &[f64]| list[0] - list[1];
    let inlet = between(&fine.pressure_mpa) / -between(&fine.distance_mm) * 1e9;
    assert!(off(inlet, gradient(1.5e-3)) < 5e-3, "{inlet} Pa/m");
}

/// Pressure against time while a slit fills at a constant rate: proportional to the length filled.
#[test]
fn pressure_rises_with_the_front() {
    let (form, volume) = slit();
    let r = report(form, volume, power_law(K, N, 0.0), 20, 40);
    let h = &r.fill.history;
    let last = h.time_s.len() - 1;
    for i in 1..=last {
        let share = h.front_mm[i] / 50.0;
        assert!((h.nozzle_mpa[i] / h.nozzle_mpa[last] - share).abs() < 1e-9, "step {i}");
        assert!((h.time_s[i] * Q / volume - share).abs() < 1e-9, "step {i}");
    }
}

/// N copies at N times the flow are one, with heat exchanged as well as without.
#[test]
fn copies_share_the_flow_equally() {
    for base in [isothermal(), json!({ "setup": { "melt_temperature": 170, "mould_temperature": 40 } })] {
        let run = |copies: usize| {
            let part = json!({ "disc": { "inner_radius": 1, "outer_radius": 15, "thickness": 1.5 } });
            let gate = json!({ "strip": { "length": 2, "width": 3, "thickness": 0.8 } });
            let passages = json!([
                { "name": "gate", "role": "gate", "form": gate, "copies": copies },
                { "name": "part", "role": "part", "form": part, "copies": copies }
            ]);
            let mut changes = base.clone();
            merge(
                &mut changes,
                &json!({ "setup": { "injection_time": 0.3 }, "model": { "axial_cells": 30 } }),
            );
            evaluate(&build::scenario(passages, &changes)).expect("valid")
        };
        let (one, six) = (run(1), run(6));
        assert!(off(six.fill.rate_cm3_s, 6.0 * one.fill.rate_cm3_s) < 1e-12);
        assert!(off(six.fill.required_pressure_mpa, one.fill.required_pressure_mpa) < 1e-9);
        assert!(off(six.fill.opening_force_kn, 6.0 * one.fill.opening_force_kn) < 1e-9);
        assert!((six.fill.front_temperature_min_c - one.fill.front_temperature_min_c).abs() < 1e-9);
        let shrinkage = |r: &Report| r.hold.as_ref().expect("the part is full").ends[0].shrinkage_percent;
        assert!((shrinkage(&six) - shrinkage(&one)).abs() < 1e-6);
        let rate = |r: &Report| r.fill.passages[1].apparent_shear_rate_1_s;
        assert!(off(rate(&six), rate(&one)) < 1e-12);
    }
}

/// A narrow strip against power-law flow in a rectangular duct, solved in two dimensions
/// (`tests/reference/duct.py`), within 1 %. Without side walls it would be a fifth too little at h/w = 0.27.
#[test]
fn a_strip_with_side_walls_takes_the_pressure_of_a_duct() {
    let table: Value = serde_json::from_str(include_str!("../reference/duct.json")).expect("JSON");
    let cases = table["cases"].as_array().expect("a list");
    assert_eq!(cases.len(), 16);
    for case in cases {
        let number = |name: &str| case[name].as_f64().expect("a number");
        let (ratio, n) = (number("thickness_over_width"), number("n"));
        let width = 2.0 / ratio;
        let form = json!({ "strip": { "length": 50, "width": width, "thickness": 2 } });
        // As thin as the worked fluid at its rate, so that the machine's pressure suffices.
        let law = power_law(K * 1e3_f64.powf(N - n), n, 0.0);
        let mut s = path(form, 50e-3 * width * 1e-3 * 2e-3, law, 40, 20);
        let at = |s: &Scenario| evaluate(s).expect("valid").fill.nozzle_pressure_mpa;
        let slit = at(&s);
        s.model.side_walls = true;
        let found = at(&s) / slit;
        assert!(off(found, number("factor")) < 0.01, "{ratio} {n}: {found} against {}", number("factor"));
    }
}

/// Slip at the wall adds a plug: Q = Q₀(τ_w) + A u_s (τ_w/100 kPa)^s, with Q₀ of a slit and of a tube.
#[test]
fn slip_adds_a_plug_to_the_flow() {
    for (form, volume, area, flow) in [
        (
            slit().0,
            slit().1,
            40e-6,
            (|k: f64, t: f64| 20e-3 * 4e-6 / 2.0 * N / (2.0 * N + 1.0) * (t / k).powf(1.0 / N))
                as fn(f64, f64) -> f64,
        ),
        (tube().0, tube().1, PI * 4e-6, |k, t| PI * 8e-9 * N / (3.0 * N + 1.0) * (t / k).powf(1.0 / N)),
    ] {
        let mut s = path(form.clone(), volume, power_law(K, N, 0.0), 40, 20);
        (s.feedstock.slip_velocity, s.feedstock.slip_exponent) = (1e3, 1.5);
        let report = evaluate(&s).expect("valid");
        // By the force balance of the whole length: τ_w = Δp h/2L and Δp R/2L, both with 1 mm/L.
        let stress = report.fill.nozzle_pressure_mpa * 1e6 * 1e-3 / 50e-3;
        let found = flow(K, stress) + area * (stress / 1e5).powf(1.5);
        assert!(off(found, Q) < 0.01, "{form}: {found:e} of {Q:e}");
        // The limit on the wall stress judges the stress of this flow.
        let limit = |r: &Report| {
            let told = r.margins.iter().find(|m| m.limit == Limit::WallStress);
            told.expect("a part").value * 1e6
        };
        assert!(off(limit(&report), stress) < 0.01, "{form}: {} against {stress}", limit(&report));
        let stuck = evaluate(&path(form, volume, power_law(K, N, 0.0), 40, 20)).expect("valid");
        assert!(report.fill.nozzle_pressure_mpa < 0.97 * stuck.fill.nozzle_pressure_mpa);
        assert!(limit(&report) < 0.97 * limit(&stuck));
    }
}

/// Melt that sets slips no more: slip opens a gate that closes by as much as flow does, so that it freezes when it did.
#[test]
fn slip_does_not_keep_a_gate_open() {
    for (name, velocity) in [("rocker", 0.1), ("rocker", 10.0), ("hinge", 0.1), ("latch", 10.0)] {
        let mut s = demo::find(name).expect("a demo").scenario();
        let at = |s: &Scenario| {
            let report = evaluate(s).expect("valid");
            let freeze = report.hold.expect("full").gate_freeze_s.expect("freezes");
            (freeze, report.fill.passages.iter().map(|p| p.slip_percent).fold(0.0, f64::max))
        };
        let (stuck, none) = at(&s);
        s.feedstock.slip_velocity = velocity;
        let (slips, share) = at(&s);
        assert!(none == 0.0 && share > 0.1, "{name}: {share} % slips");
        assert!(off(slips, stuck) < 0.05, "{name}, {velocity} mm/s: {slips} s against {stuck} s");
    }
}

/// Bagley: a tube takes Δp = 2τ_w (L/R + e), a slit Δp = τ_w (L/H + e).
#[test]
fn the_entrance_takes_the_pressure_of_its_length() {
    for ((form, volume), half) in [(slit(), 1e-3), (tube(), 2e-3)] {
        let mut s = path(form, volume, power_law(K, N, 0.0), 20, 20);
        let at = |s: &Scenario| evaluate(s).expect("valid").fill.nozzle_pressure_mpa;
        let bare = at(&s);
        s.feedstock.entrance_correction = 4.0;
        let found = at(&s) / bare;
        let exact = 1.0 + 4.0 * half / 50e-3;
        assert!(off(found, exact) < 1e-3, "{found} against {exact}");
    }
}
