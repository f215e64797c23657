//! The budget of sizes against Monte Carlo: shots whose settings, loading, viscosity and density are drawn, each filled,
//! packed and sintered by the whole chain.

use gatefrost_after::plan::plan;
use gatefrost_core::scenario::{Axis, Scenario, demo};
use gatefrost_numerics::points::normals;
use gatefrost_report::evaluate;
use gatefrost_safety::from_mould;

/// Shots. The standard deviation of so many is known to 4 %, one standard error.
const SHOTS: usize = 300;

/// A hold in which pressure and time reach the mass: much scatter, and a gate that only just freezes.
fn unsteady() -> Scenario {
    let mut s = demo::find("latch").expect("a demo").scenario();
    s.scatter.melt_temperature = 3.0;
    s.scatter.mould_temperature = 3.0;
    s.scatter.hold_pressure = 4.0;
    s.sizes.density_scatter = 0.1;
    s.sizes.measuring_scatter = 0.0;
    s
}

/// One shot's length over that of the cavity.
fn length(s: &Scenario, z: &[f64]) -> f64 {
    let mut shot = s.clone();
    let c = &s.scatter;
    for (axis, sigma, z) in [
        (Axis::MeltTemperature, c.melt_temperature, z[0]),
        (Axis::MouldTemperature, c.mould_temperature, z[1]),
        (Axis::InjectionTime, c.injection_time / 100.0 * s.setup.injection_time, z[2]),
        (Axis::HoldPressure, c.hold_pressure, z[3]),
        (Axis::HoldTime, c.hold_time, z[4]),
        (Axis::SolidsLoading, c.solids_loading, z[5]),
    ] {
        shot.set(axis, s.get(axis) + sigma * z);
    }
    let report = evaluate(&shot).expect("valid");
    let filled = report.after.cavity_filled_percent.expect("a part") / 100.0;
    let density = (s.feedstock.sintered_density + s.sizes.density_scatter * z[6]) / 100.0;
    (shot.feedstock.solids_loading / 100.0 * filled / density).cbrt()
}

#[test]
fn the_scatter_of_a_length_is_that_of_many_shots() {
    let mut s = unsteady();
    // The lot is the same for all shots of a run.
    s.scatter.viscosity = 0.0;
    let mould = from_mould(&s).expect("valid").expect("a part");
    let told = plan(&s, Some(&mould)).sizes.expect("sizes").scatter_percent / 100.0;
    let lengths: Vec<f64> = normals(7, SHOTS).iter().map(|z| length(&s, z).ln()).collect();
    let mean = lengths.iter().sum::<f64>() / SHOTS as f64;
    let variance = lengths.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (SHOTS - 1) as f64;
    let found = variance.sqrt();
    // Three standard errors of the sampled deviation.
    let error = 3.0 / (2.0 * SHOTS as f64).sqrt();
    assert!((told / found - 1.0).abs() < error, "{told} by the budget, {found} of {SHOTS} shots");
    // What the mould does is seen in it: without it the scatter would be clearly less.
    let of_mould: f64 = mould
        .scatter
        .iter()
        .filter(|x| x.cause != gatefrost_after::plan::LOADING)
        .map(|x| (x.relative / 3.0).powi(2))
        .sum();
    assert!(of_mould.sqrt() > 0.15 * told, "{} of {told}", of_mould.sqrt());
}
