//! Two limit lines that the conduction series know, in the plane of hold time and mould temperature: a slab of
//! uniform melt whose walls are suddenly cold and keep their temperature, nothing flowing in.
//!
//! With F = αt/H² and β_n = (n + ½)π, (T − T_w)/(T_m − T_w) = Σ 2(−1)ⁿ/β_n cos(β_n y/H) exp(−β_n² F), and its
//! mean Σ 2/β_n² exp(−β_n² F) (Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed., ch. 3, from memory).
//!
//! - ejection: the mean is at its limit when the mould opens, a fixed time after the hold: a line T_w(t);
//! - hold too short: the fluidity ∫ y² a(T) dy of the Newtonian melt has fallen to a thousandth when the hold
//!   ends: a line t(T_w).

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, Span};
use gatefrost_tests::build::{self, power_law};
use gatefrost_tests::numeric::{bisect, simpson};
use gatefrost_window::{Detail, trace};
use serde_json::json;
use std::f64::consts::PI;

/// Half gap \[m\], diffusivity \[m²/s\], cooling time \[s\].
const H: f64 = 1.5e-3;
const ALPHA: f64 = 1.6 / 3.38e6;
const COOLING: f64 = 2.0;
/// Melt, no-flow and ejection temperatures \[°C\]; flow activation energy \[J/mol\].
const MELT: f64 = 160.0;
const NO_FLOW: f64 = 90.0;
const EJECTION: f64 = 50.0;
const ENERGY: f64 = 30e3;
/// Sides of the plane: hold time \[s\] on a logarithmic scale, mould temperature \[°C\].
const TIME: [f64; 2] = [1.0, 10.0];
const WALL: [f64; 2] = [20.0, 60.0];

/// Distance of a place from a curve, in shares of the axes.
type Distance<'a> = &'a dyn Fn(f64, f64) -> f64;

fn scenario() -> Scenario {
    let changes = json!({
        "feedstock": {
            "flow_law": power_law(100.0, 1.0, ENERGY / 1e3),
            "no_flow_temperature": NO_FLOW, "ejection_temperature": EJECTION,
            "binder_expansion": 0, "binder_compressibility": 0.01
        },
        "setup": {
            "melt_temperature": MELT, "mould_temperature": 40, "contact_conductance": 1e7,
            "injection_time": 0.005, "hold_pressure": 1, "cooling_time": COOLING
        },
        "limits": { "hold_cover": 100 },
        "model": { "axial_cells": 4, "layers": 40, "viscous_heating": false },
        "window": {
            "x": { "axis": "hold_time", "from": TIME[0], "to": TIME[1] },
            "y": { "axis": "mould_temperature", "from": WALL[0], "to": WALL[1] }
        }
    });
    let form = json!({ "strip": { "length": 20, "width": 20, "thickness": 2e3 * H } });
    let mut s = build::scenario(json!([{ "name": "slab", "role": "part", "form": form }]), &changes);
    s.ignored = Limit::ALL.into_iter().filter(|l| !matches!(l, Limit::Ejection | Limit::HoldCover)).collect();
    s
}

fn terms(time: f64, of: impl Fn(usize, f64) -> f64) -> f64 {
    let fourier = ALPHA * time / (H * H);
    let term = |n: usize| {
        let beta = (n as f64 + 0.5) * PI;
        of(n, beta) * (-beta * beta * fourier).exp()
    };
    (0..8).map(term).sum()
}

/// Wall temperature at which the mean reaches the ejection temperature at a time.
fn wall_at(time: f64) -> f64 {
    let mean = terms(time, |_, beta| 2.0 / (beta * beta));
    (EJECTION - mean * MELT) / (1.0 - mean)
}

/// When a gate with such a wall has lost all but a thousandth of its fluidity; it falls off as
/// exp(−((T_nf − T)/1 K)²) below the no-flow temperature.
fn freeze_at(wall: f64) -> f64 {
    let mobility = |t: f64| {
        let energy = ENERGY / 8.314_462_618 * (1.0 / (MELT + 273.15) - 1.0 / (t + 273.15));
        let below = (NO_FLOW - t).max(0.0);
        (energy - below * below).exp()
    };
    let fluidity = |time: f64| {
        let at = |y: f64| {
            let sign = |n: usize| if n.is_multiple_of(2) { 2.0 } else { -2.0 };
            wall + (MELT - wall) * terms(time, |n, beta| sign(n) / beta * (beta * y).cos())
        };
        3.0 * simpson(|y| mobility(at(y)) * y * y, 0.0, 1.0, 80)
    };
    bisect(|time| (fluidity(time) / 1e-3).ln(), 0.5, 20.0)
}

#[test]
fn lines_of_conduction_are_traced_to_one_per_cent_of_the_axes() {
    let s = scenario();
    let window = trace(&s, Detail::Fine).expect("valid");
    let Span { from, to, .. } = s.window.x;
    assert_eq!([from, to], TIME);
    let across = |time: f64| (time / TIME[0]).ln() / (TIME[1] / TIME[0]).ln();
    let time_at = |x: f64| TIME[0] * (TIME[1] / TIME[0]).powf(x);
    let up = |wall: f64| (wall - WALL[0]) / (WALL[1] - WALL[0]);
    // Across the line: the distance along one axis over the hypotenuse of the slope.
    let ejection = |x: f64, y: f64| {
        let exact = |x: f64| up(wall_at(time_at(x) + COOLING));
        (exact(x) - y) / ((exact(x + 1e-4) - exact(x - 1e-4)) / 2e-4).hypot(1.0)
    };
    let cover = |x: f64, y: f64| {
        let exact = |y: f64| across(freeze_at(WALL[0] + y * (WALL[1] - WALL[0])));
        (exact(y) - x) / ((exact(y + 1e-3) - exact(y - 1e-3)) / 2e-3).hypot(1.0)
    };
    let known: [(Limit, Distance<'_>); 2] = [(Limit::Ejection, &ejection), (Limit::HoldCover, &cover)];
    for (limit, distance) in known {
        let line = window.lines.iter().find(|l| l.limit == limit).expect("crosses the plane");
        assert_eq!(line.pieces.len(), 1, "{limit:?} is one line");
        let places: Vec<[f64; 2]> = line.pieces[0].iter().map(|p| [across(p[0]), up(p[1])]).collect();
        let middles = places.windows(2).map(|w| [0.5 * (w[0][0] + w[1][0]), 0.5 * (w[0][1] + w[1][1])]);
        let all = middles.chain(places.iter().copied());
        let worst = all.map(|[x, y]| distance(x, y).abs()).fold(0.0, f64::max);
        assert!(worst < 0.01, "{limit:?} off by {worst}");
    }
    // Usable: past the freezing of the gate, below the wall that still lets the part set.
    let share = simpson(
        |y| {
            let wall = WALL[0] + y * (WALL[1] - WALL[0]);
            let set = if wall < EJECTION {
                bisect(|time| wall_at(time) - wall, 0.5, 60.0) - COOLING
            } else {
                f64::INFINITY
            };
            1.0 - across(set.max(freeze_at(wall))).clamp(0.0, 1.0)
        },
        0.0,
        1.0,
        60,
    );
    assert!((window.usable_share - share).abs() < 0.01, "{} against {share}", window.usable_share);
}
