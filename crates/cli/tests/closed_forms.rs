//! Isothermal power-law flow through one passage, as the program states it, against the closed
//! forms for slit, tube and disc (Bird, Armstrong & Hassager, Dynamics of Polymeric Liquids, vol. 1,
//! from memory).

mod common;

use common::{isothermal, run_on};
use serde_json::{Value, json};
use std::f64::consts::PI;

const K: f64 = 1000.0;
const N: f64 = 0.4;
/// Flow rate [m³/s].
const Q: f64 = 10e-6;

fn report(form: Value, volume: f64) -> Value {
    run_on(&["report", "-"], isothermal(form, volume / Q).to_string().as_bytes()).json()
}

/// Filling pressure [MPa] of a passage of that volume [m³].
fn pressure(form: Value, volume: f64) -> f64 {
    report(form, volume)["fill"]["required_pressure_mpa"].as_f64().expect("a number")
}

/// The quadrature over the default 20 layers leaves about 5e-5; 2e-4 is asked for. `printed` is the
/// value worked out beforehand, to four decimals.
fn agree(found: f64, exact: f64, printed: f64) {
    assert!((exact - printed).abs() < 5e-5, "the closed form gives {exact}, the table {printed}");
    assert!((found / exact - 1.0).abs() < 2e-4, "{found} MPa against {exact} MPa");
}

#[test]
fn a_strip_needs_the_pressure_of_a_slit() {
    let (w, h, l) = (20e-3, 2e-3, 50e-3_f64);
    let rate = 6.0 * Q / (w * h * h) * (2.0 * N + 1.0) / (3.0 * N);
    let exact = 2.0 * K * rate.powf(N) * l / h / 1e6;
    let form = json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } });
    agree(pressure(form, w * h * l), exact, 0.8307);
}

#[test]
fn a_tube_needs_the_pressure_of_a_capillary() {
    let (r, l) = (2e-3_f64, 50e-3);
    let rate = 4.0 * Q / (PI * r.powi(3)) * (3.0 * N + 1.0) / (4.0 * N);
    let exact = 2.0 * K * rate.powf(N) * l / r / 1e6;
    let form = json!({ "tube": { "length": 50, "diameter": 4 } });
    agree(pressure(form, PI * r * r * l), exact, 1.0840);
}

#[test]
fn a_disc_needs_the_pressure_of_radial_flow() {
    let (h, inner, outer) = (2e-3_f64, 1e-3_f64, 25e-3_f64);
    let rate = |r: f64| 6.0 * Q / (2.0 * PI * r * h * h) * (2.0 * N + 1.0) / (3.0 * N);
    let exact =
        2.0 * K / h * rate(1.0).powf(N) * (outer.powf(1.0 - N) - inner.powf(1.0 - N)) / (1.0 - N) / 1e6;
    let form = json!({ "disc": { "inner_radius": 1, "outer_radius": 25, "thickness": 2 } });
    agree(pressure(form, PI * (outer * outer - inner * inner) * h), exact, 0.2595);
}

/// Half the force that the inlet pressure would make over the whole area: p falls linearly.
#[test]
fn the_opening_force_of_a_strip_is_its_mean_pressure_over_its_area() {
    let form = json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } });
    let fill = &report(form, 2e-6)["fill"];
    let force = fill["opening_force_kn"].as_f64().expect("a number");
    let peak = fill["required_pressure_mpa"].as_f64().expect("a number");
    assert!((force / (0.5 * peak) - 1.0).abs() < 1e-3, "{force} kN over 10 cm² at {peak} MPa");
}

#[test]
fn a_chosen_grid_is_used_and_refining_it_converges() {
    let error = |layers: u32| {
        let form = json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } });
        let mut scenario = isothermal(form, 0.2);
        scenario["model"]["layers"] = layers.into();
        let found = run_on(&["report", "-"], scenario.to_string().as_bytes()).json();
        (found["fill"]["required_pressure_mpa"].as_f64().expect("a number") - 0.830_674_757).abs()
    };
    assert!(error(4) > 3.0 * error(8), "second order: {} and {}", error(4), error(8));
}
