//! A window whose boundaries are known in closed form: an isothermal strip with a power-law melt, in
//! the plane of injection time and solids loading.
//!
//! - pressure: p = (2L/h) K(φ) γ̇_w^n with γ̇_w = ((2n+1)/3n) 6L/(ht), K(φ) = K₁ ((1−φ₁/φc)/(1−φ/φc))^(2n):
//!   a line φ(t);
//! - separation: 6Q/wh² = 6L/(ht) at its threshold: a vertical line;
//! - rate: V/t at its threshold: another.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario, Span};
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::simpson;
use gatefrost_window::{Detail, Window, trace};
use serde_json::json;

const L: f64 = 0.1;
const W: f64 = 0.02;
const H: f64 = 2e-3;
const K: f64 = 8000.0;
const N: f64 = 0.4;
/// Loading at which K holds, and critical loading.
const PHI: f64 = 0.55;
const PHI_C: f64 = 0.65;
/// Allowed pressure \[Pa\], shear rate \[1/s\] and rate \[m³/s\].
const PRESSURE: f64 = 18e6;
const SHEAR: f64 = 2000.0;
const RATE: f64 = 16e-6;

/// Sides of the plane: injection time \[s\] on a logarithmic scale, loading.
const TIME: [f64; 2] = [0.05, 5.0];
const LOADING: [f64; 2] = [0.50, 0.64];

fn scenario() -> Scenario {
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": {
                "solids_loading": 55, "measured_loading": 100.0 * PHI, "critical_loading": 100.0 * PHI_C,
                "loading_law": "power", "loading_exponent": 2, "flow_law": power_law(K, N, 0.0),
                "burn_onset": 600, "ejection_temperature": 399
            },
            "machine": {
                "max_pressure": PRESSURE / 1e6 / 0.9, "max_rate": RATE * 1e6 / 0.9, "shot_volume": 10
            },
            "mould": { "vent_depth": 0.1 },
            "setup": { "hold_pressure": 5, "injection_time": 1 },
            "limits": { "shear_rate": SHEAR, "gate_viscosity": 1e6, "shrinkage": 20, "hold_cover": 0 },
            "window": {
                "x": { "axis": "injection_time", "from": TIME[0], "to": TIME[1] },
                "y": { "axis": "solids_loading", "from": 100.0 * LOADING[0], "to": 100.0 * LOADING[1] }
            },
            "model": { "axial_cells": 6, "layers": 24 }
        }),
    );
    let form = json!({ "strip": { "length": L * 1e3, "width": W * 1e3, "thickness": H * 1e3 } });
    build::scenario(json!([{ "name": "strip", "role": "part", "form": form }]), &changes)
}

/// Loading at which filling in `t` needs just the allowed pressure.
fn loading_at(t: f64) -> f64 {
    let rate = (2.0 * N + 1.0) / (3.0 * N) * 6.0 * L / (H * t);
    let at_measured = 2.0 * L / H * K * rate.powf(N);
    let relative = (PRESSURE / at_measured).powf(1.0 / N);
    PHI_C * (1.0 - (1.0 - PHI / PHI_C) / relative.sqrt())
}

fn across(t: f64) -> f64 {
    (t / TIME[0]).ln() / (TIME[1] / TIME[0]).ln()
}

fn up(phi: f64) -> f64 {
    (phi - LOADING[0]) / (LOADING[1] - LOADING[0])
}

fn time_at(x: f64) -> f64 {
    TIME[0] * (TIME[1] / TIME[0]).powf(x)
}

/// Distance of a limit's line from a curve y(x), in shares of the axes, at vertices and between them.
fn worst(window: &Window, limit: Limit, distance: impl Fn(f64, f64) -> f64) -> f64 {
    let line = window.lines.iter().find(|l| l.limit == limit).expect("crosses the plane");
    assert_eq!(line.pieces.len(), 1, "{limit:?} is one line");
    let places: Vec<[f64; 2]> = line.pieces[0].iter().map(|p| [across(p[0]), up(p[1] / 100.0)]).collect();
    let middles = places.windows(2).map(|w| [0.5 * (w[0][0] + w[1][0]), 0.5 * (w[0][1] + w[1][1])]);
    middles.chain(places.iter().copied()).map(|[x, y]| distance(x, y).abs()).fold(0.0, f64::max)
}

#[test]
fn known_boundaries_are_traced_to_one_per_cent_of_the_axes() {
    let window = trace(&scenario(), Detail::Fine).expect("valid");
    // Across the line: the height difference over the slope's hypotenuse.
    let pressure = worst(&window, Limit::ShortShot, |x, y| {
        let slope = (up(loading_at(time_at(x + 1e-4))) - up(loading_at(time_at(x - 1e-4)))) / 2e-4;
        (up(loading_at(time_at(x))) - y) / slope.hypot(1.0)
    });
    assert!(pressure < 0.01, "pressure line off by {pressure}");
    let separation = across(6.0 * L / (H * SHEAR));
    let found = worst(&window, Limit::Separation, |x, _| x - separation);
    assert!(found < 0.01, "separation off by {found}");
    let rate = across(L * W * H / RATE);
    let found = worst(&window, Limit::Rate, |x, _| x - rate);
    assert!(found < 0.01, "rate off by {found}");
    // The usable share: right of both vertical lines, below the curve.
    let left = separation.max(rate);
    let share = simpson(|x| up(loading_at(time_at(x))).clamp(0.0, 1.0), left, 1.0, 1000);
    assert!((window.usable_share - share).abs() < 0.01, "{} against {share}", window.usable_share);
    assert_eq!(window.outlines.len(), 1);
}

/// On the line that the tracer draws, the report's own margin is next to nothing.
#[test]
fn the_margin_vanishes_on_the_traced_line() {
    let s = scenario();
    let window = trace(&s, Detail::Fine).expect("valid");
    for line in &window.lines {
        for [x, y] in line.pieces.concat() {
            let mut there = s.clone();
            there.set(s.window.x.axis, x);
            there.set(s.window.y.axis, y);
            let r = gatefrost_report::evaluate(&there).expect("valid");
            let g = r.margins.iter().find(|m| m.limit == line.limit).expect("is reported").g;
            // The time axis spans ln 100 = 4.6; margins here are logarithms of at most its first power.
            assert!(g.abs() < 0.05, "{}: g = {g} at {x}, {y}", line.label);
        }
    }
}

/// The same plane over the flow rate: volume over injection time, right to left.
#[test]
fn a_window_over_the_rate_is_that_over_the_time_reversed() {
    let s = scenario();
    let volume = L * W * H * 1e6;
    let mut turned = s.clone();
    turned.window.x = Span { axis: Axis::FlowRate, from: volume / TIME[1], to: volume / TIME[0] };
    let windows = [&s, &turned].map(|s| trace(s, Detail::Fine).expect("valid"));
    assert!((windows[0].usable_share - windows[1].usable_share).abs() < 5e-3);
    for (limit, rate) in [(Limit::Rate, RATE), (Limit::Separation, SHEAR * W * H * H / 6.0)] {
        let line = windows[1].lines.iter().find(|l| l.limit == limit).expect("crosses the plane");
        for [x, _] in line.pieces.concat() {
            assert!(
                (across(volume / x) - across(volume / (rate * 1e6))).abs() < 0.01,
                "{limit:?} at {x} cm³/s"
            );
        }
    }
}
