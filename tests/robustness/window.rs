//! Windows whose boundaries are known in closed form: isothermal strips at random with a power-law melt, in
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
use gatefrost_tests::random::Random;
use gatefrost_window::{Detail, Window, trace};
use serde_json::json;

/// Loading at which the consistency holds.
const PHI: f64 = 0.55;

/// Sides of the plane: injection time \[s\] on a logarithmic scale, loading.
const TIME: [f64; 2] = [0.05, 5.0];
const LOADING: [f64; 2] = [0.50, 0.64];

/// A strip, its melt and where its limits lie, in SI.
struct Strip {
    size: [f64; 3],
    consistency: f64,
    n: f64,
    critical: f64,
    /// Allowed pressure, shear rate and rate.
    pressure: f64,
    shear: f64,
    rate: f64,
}

impl Strip {
    /// One whose three lines cross the plane somewhere.
    fn random(random: &mut Random) -> Self {
        let size = [[0.05, 0.15], [0.01, 0.04], [1e-3, 3e-3]].map(|[a, b]| random.between(a, b));
        let mut strip = Self {
            size,
            consistency: random.between(4e3, 2e4),
            n: random.between(0.3, 0.7),
            critical: random.between(0.65, 0.72),
            pressure: 1.0,
            shear: 6.0 * size[0] / (size[2] * random.between(0.08, 0.4)),
            rate: size.iter().product::<f64>() / random.between(0.08, 0.4),
        };
        strip.pressure = strip.needs(random.between(0.3, 1.0), random.between(0.54, 0.6));
        strip
    }

    fn some() -> Vec<Self> {
        let mut random = Random::new(41);
        (0..4).map(|_| Self::random(&mut random)).collect()
    }

    fn volume(&self) -> f64 {
        self.size.iter().product()
    }

    fn scenario(&self) -> Scenario {
        let Self { size: [length, width, thickness], consistency, n, critical, .. } = *self;
        let mut changes = isothermal();
        merge(
            &mut changes,
            &json!({
                "feedstock": {
                    "solids_loading": 55, "measured_loading": 100.0 * PHI, "critical_loading": 100.0 * critical,
                    "loading_law": "power", "loading_exponent": 2, "flow_law": power_law(consistency, n, 0.0),
                    "burn_onset": 600, "ejection_temperature": 399
                },
                "machine": {
                    "max_pressure": self.pressure / 1e6 / 0.9, "max_rate": self.rate * 1e6 / 0.9,
                    "shot_volume": 2.5e6 * self.volume(), "clamp_force": 1e5
                },
                "mould": { "vent_depth": 0.1 },
                "setup": { "hold_pressure": 5, "injection_time": 1 },
                "limits": { "shear_rate": self.shear, "viscosity": 1e6, "binder_loss": 50, "soft_loss": 20, "wall_stress": 100, "loading_gap": 0, "hold_cover": 0 },
                "window": {
                    "x": { "axis": "injection_time", "from": TIME[0], "to": TIME[1] },
                    "y": { "axis": "solids_loading", "from": 100.0 * LOADING[0], "to": 100.0 * LOADING[1] }
                },
                "model": { "axial_cells": 6, "layers": 24 }
            }),
        );
        let form = json!({ "strip": { "length": length * 1e3, "width": width * 1e3, "thickness": thickness * 1e3 } });
        build::scenario(json!([{ "name": "strip", "role": "part", "form": form }]), &changes)
    }

    /// Pressure that filling in `t` takes at a loading.
    fn needs(&self, t: f64, loading: f64) -> f64 {
        let thinner = (1.0 - PHI / self.critical) / (1.0 - loading / self.critical);
        self.needs_as_measured(t) * thinner.powf(2.0 * self.n)
    }

    fn needs_as_measured(&self, t: f64) -> f64 {
        let ([length, _, thickness], n) = (self.size, self.n);
        let rate = (2.0 * n + 1.0) / (3.0 * n) * 6.0 * length / (thickness * t);
        2.0 * length / thickness * self.consistency * rate.powf(n)
    }

    /// Loading at which filling in `t` needs just the allowed pressure.
    fn loading_at(&self, t: f64) -> f64 {
        let relative = (self.pressure / self.needs_as_measured(t)).powf(1.0 / self.n);
        self.critical * (1.0 - (1.0 - PHI / self.critical) / relative.sqrt())
    }
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
    for strip in Strip::some() {
        let s = strip.scenario();
        let window = trace(&s, Detail::Fine).expect("valid");
        // Across the line: the height difference over the slope's hypotenuse.
        let height = |x: f64| up(strip.loading_at(time_at(x)));
        let pressure = worst(&window, Limit::ShortShot, |x, y| {
            let slope = (height(x + 1e-4) - height(x - 1e-4)) / 2e-4;
            (height(x) - y) / slope.hypot(1.0)
        });
        assert!(pressure < 0.01, "pressure line off by {pressure}\n{}", s.to_json());
        let separation = across(6.0 * strip.size[0] / (strip.size[2] * strip.shear));
        let found = worst(&window, Limit::Separation, |x, _| x - separation);
        assert!(found < 0.01, "separation off by {found}\n{}", s.to_json());
        let rate = across(strip.volume() / strip.rate);
        let found = worst(&window, Limit::Rate, |x, _| x - rate);
        assert!(found < 0.01, "rate off by {found}\n{}", s.to_json());
        // The usable share: right of both vertical lines, below the curve.
        let share = simpson(|x| height(x).clamp(0.0, 1.0), separation.max(rate), 1.0, 1000);
        let found = window.usable_share;
        assert!((found - share).abs() < 0.01, "{found} against {share}\n{}", s.to_json());
        assert_eq!(window.outlines.len(), 1, "{}", s.to_json());
    }
}

/// On the line that the tracer draws, the report's own margin is next to nothing.
#[test]
fn the_margin_vanishes_on_the_traced_line() {
    for strip in Strip::some() {
        let s = strip.scenario();
        let window = trace(&s, Detail::Fine).expect("valid");
        for line in &window.lines {
            for [x, y] in line.pieces.concat() {
                let mut there = s.clone();
                there.set(s.window.x.axis, x);
                there.set(s.window.y.axis, y);
                let r = gatefrost_report::evaluate(&there).expect("valid");
                let g = r.margins.iter().find(|m| m.limit == line.limit).expect("is reported").g;
                // The time axis spans ln 100 = 4.6; margins here are logarithms of at most its first power.
                assert!(g.abs() < 0.05, "{}: g = {g} at {x}, {y}\n{}", line.label, s.to_json());
            }
        }
    }
}

/// The same plane over the flow rate: volume over injection time, right to left.
#[test]
fn a_window_over_the_rate_is_that_over_the_time_reversed() {
    for strip in Strip::some() {
        let s = strip.scenario();
        let volume = strip.volume() * 1e6;
        let mut turned = s.clone();
        turned.window.x = Span { axis: Axis::FlowRate, from: volume / TIME[1], to: volume / TIME[0] };
        let windows = [&s, &turned].map(|s| trace(s, Detail::Fine).expect("valid"));
        assert!((windows[0].usable_share - windows[1].usable_share).abs() < 5e-3, "{}", s.to_json());
        let [_, width, thickness] = strip.size;
        let parts = strip.shear * width * thickness.powi(2) / 6.0;
        for (limit, rate) in [(Limit::Rate, strip.rate), (Limit::Separation, parts)] {
            let line = windows[1].lines.iter().find(|l| l.limit == limit).expect("crosses the plane");
            for [x, _] in line.pieces.concat() {
                let off = across(volume / x) - across(volume / (rate * 1e6));
                assert!(off.abs() < 0.01, "{limit:?} at {x} cm³/s\n{}", s.to_json());
            }
        }
    }
}
