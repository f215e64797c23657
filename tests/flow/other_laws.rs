//! Carreau–Yasuda and Herschel–Bulkley flow against integrals of their shear rate over the section.

use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, isothermal, merge};
use gatefrost_tests::numeric::{bisect, off, simpson};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Length of every path, half gap or radius, width of the slit \[m\].
const L: f64 = 30e-3;
const H: f64 = 1e-3;
const W: f64 = 10e-3;

fn found(round: bool, law: &Value, time: f64, layers: usize) -> f64 {
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": { "flow_law": law },
            "setup": { "injection_time": time },
            "model": { "axial_cells": 8, "layers": layers }
        }),
    );
    let form = if round {
        json!({ "tube": { "length": L * 1e3, "diameter": 2e3 * H } })
    } else {
        json!({ "strip": { "length": L * 1e3, "width": W * 1e3, "thickness": 2e3 * H } })
    };
    let s = build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes);
    evaluate(&s).expect("valid").fill.required_pressure_mpa * 1e6
}

/// Pressure over the length at which Q = 2w∫yγ̇dy (πR³-form: π∫r²γ̇dr) fills it in `time`; γ̇ is zero
/// up to the stress `yield_stress`, where the integral starts.
fn exact(round: bool, rate: &dyn Fn(f64) -> f64, yield_stress: f64, time: f64) -> f64 {
    let area = if round { PI * H * H } else { 2.0 * H * W };
    let flow = |wall: f64| {
        let from = (yield_stress / wall).min(1.0);
        // y = from + (1 − from) s² smooths the start of a power.
        let local = |s: f64| {
            let y = from + (1.0 - from) * s * s;
            let weight = if round { PI * y * y * H.powi(3) } else { 2.0 * W * y * H * H };
            weight * rate(y * wall) * 2.0 * (1.0 - from) * s
        };
        simpson(local, 0.0, 1.0, 100)
    };
    let wall = bisect(|log| flow(log.exp()) - area * L / time, 0.0, 20.0).exp();
    wall * L / H * if round { 2.0 } else { 1.0 }
}

/// η = η₀ (1 + (λγ̇)^a)^((n−1)/a) from plateau to power law; shear rate at a stress by bisection.
#[test]
fn a_carreau_yasuda_melt() {
    let (eta0, lambda, a, n) = (2000.0, 0.02, 1.5, 0.4);
    let law = json!({ "carreau_yasuda": {
        "eta0": eta0, "relaxation_time": lambda, "transition": a, "n": n,
        "activation_energy": 30, "reference_temperature": 160
    } });
    let stress = |rate: f64| eta0 * rate * (1.0 + (lambda * rate).powf(a)).powf((n - 1.0) / a);
    let rate = |tau: f64| {
        if tau > 0.0 { bisect(|log| (stress(log.exp()) / tau).ln(), -40.0, 40.0).exp() } else { 0.0 }
    };
    for round in [false, true] {
        for time in [50.0, 0.5, 0.02] {
            let exact = exact(round, &rate, 0.0, time);
            let errors = [20, 40].map(|layers| off(found(round, &law, time, layers), exact));
            assert!(errors[0] < 3e-3 && errors[1] < 1e-3, "round {round}, {time} s: {errors:?}");
        }
    }
}

/// τ = τ_y + K γ̇ⁿ, with Papanastasiou's regularisation sharp enough (m γ̇ ≫ 1) to stand for a yield
/// stress. A plug moves in the middle; the pressure never falls below τ_y L/H.
#[test]
fn a_melt_with_a_yield_stress() {
    let (k, n) = (2000.0, 0.45);
    for kilopascal in [0.0, 5.0, 20.0, 50.0, 100.0, 200.0, 1000.0] {
        let law = json!({ "herschel_bulkley": {
            "yield_stress": kilopascal, "consistency": k, "n": n, "regularisation": 1000,
            "activation_energy": 30, "reference_temperature": 160
        } });
        let yield_stress = kilopascal * 1e3;
        let rate = |tau: f64| ((tau - yield_stress).max(0.0) / k).powf(1.0 / n);
        for round in [false, true] {
            for time in [2.0, 0.3] {
                let exact = exact(round, &rate, yield_stress, time);
                let p = found(round, &law, time, 40);
                assert!(
                    off(p, exact) < 1e-2,
                    "{kilopascal} kPa, round {round}, {time} s: {p} against {exact} Pa"
                );
            }
        }
    }
}
