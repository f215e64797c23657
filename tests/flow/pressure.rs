//! Pressure-dependent viscosity with a closed form, and the machine's limit.

use gatefrost_report::Outcome;
use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::{interpolate, off};
use serde_json::json;

/// A Newtonian melt of viscosity η = η(0) e^(bp): dp/ds = −G₀ e^(bp) gives p = −ln(1 − bG₀L)/b.
/// The Cross law with n = 1 is η₀/2, and its shift leaves A₂ + T − D₂ in the denominator alone, so
/// b = A₁D₃/(A₂ + T − D₂).
#[test]
fn an_exponential_pressure_coefficient() {
    let (a1, a2, d1, d2, t) = (22.0, 51.6, 8e9, 60.0, 160.0);
    for d3 in [0.05, 0.1, 0.25] {
        let b = a1 * d3 * 1e-6 / (a2 + t - d2);
        let viscosity = 0.5 * d1 * f64::exp(-a1 * (t - d2) / (a2 + t - d2));
        let (w, h, length, time) = (20e-3, 2e-3_f64, 60e-3, 1.0);
        let gradient = 12.0 * viscosity * (w * h * length / time) / (w * h.powi(3));
        let exact = -(1.0 - b * gradient * length).ln() / b;
        let found = [20, 40, 80].map(|cells| {
            let mut changes = isothermal();
            let law = json!({ "n": 1, "tau_star": 40, "d1": d1, "d2": d2, "d3": d3, "a1": a1, "a2": a2 });
            merge(
                &mut changes,
                &json!({
                    "feedstock": { "flow_law": { "cross_wlf": law } },
                    "setup": { "injection_time": time },
                    "model": { "axial_cells": cells }
                }),
            );
            let form = json!({ "strip": { "length": 60, "width": 20, "thickness": 2 } });
            let s = build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes);
            evaluate(&s).expect("valid").fill.required_pressure_mpa * 1e6
        });
        let errors = found.map(|p| off(p, exact));
        assert!(errors[2] < 1.5e-3 && errors[0] < 1e-2, "D3 {d3}: {errors:?}");
    }
}

/// At a constant pressure the front of an isothermal power-law strip obeys p_max = c s (ds/dt)^n:
/// s grows as t^(n/(n+1)) once the limit is reached.
#[test]
fn the_front_at_the_pressure_limit() {
    let (k, n, length) = (1000.0, 0.5, 0.1);
    let (w, h) = (20e-3, 2e-3);
    let p_max = 1e6;
    // The pressure on a length s at a front speed v.
    let pressure = |s: f64, v: f64| 2.0 * s / h * k * (2.0 * (2.0 * n + 1.0) / n * v / h).powf(n);
    let speed = 1.0;
    let reached = p_max / pressure(1.0, speed);
    assert!(reached > 0.1 * length && reached < 0.8 * length, "the case has to meet its limit: {reached}");
    // p_max = c s v^n: s^(1/n) ds = (p_max/c)^(1/n) dt.
    let c = pressure(1.0, 1.0);
    let e = 1.0 / n + 1.0;
    let slow = (length.powf(e) - f64::powf(reached, e)) / e / (p_max / c).powf(1.0 / n);
    let exact = reached / speed + slow;
    let time = |cells: usize| {
        let mut changes = isothermal();
        merge(
            &mut changes,
            &json!({
                "feedstock": { "flow_law": power_law(k, n, 0.0) },
                "setup": { "injection_time": length / speed, "hold_pressure": 0.5 },
                "window": { "y": { "from": 0.1, "to": 0.9 } },
                "machine": { "max_pressure": p_max / 1e6 },
                "model": { "axial_cells": cells, "layers": 40 }
            }),
        );
        let form = json!({ "strip": { "length": length * 1e3, "width": w * 1e3, "thickness": h * 1e3 } });
        let s = build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes);
        let r = evaluate(&s).expect("valid");
        assert_eq!(r.fill.outcome, Outcome::FullButSlow);
        let h = &r.fill.history;
        assert!(h.nozzle_mpa.iter().all(|&p| p <= p_max / 1e6 * (1.0 + 1e-6)));
        assert!(off(interpolate(&h.filled_percent, &h.time_s, 10.0), 0.1 * length / speed) < 1e-6);
        r.fill.fill_time_s
    };
    let errors = [50, 100, 200, 400].map(|cells| time(cells) / exact - 1.0);
    // The rate of a step is that of its start, and the limit is met at the end of one: of first order,
    // too fast, by an amount that depends on where in a cell the limit falls.
    assert!(errors.iter().all(|e| e.abs() < 1.2e-2), "{errors:?}");
    assert!(errors[3].abs() < 5e-3 && errors[3].abs() < 0.5 * errors[0].abs(), "{errors:?}");
}
