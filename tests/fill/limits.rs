//! Limits of the fill that have classical solutions: the Graetz problem (heat lost by fully
//! developed Newtonian flow to a cold wall) and Brinkman's viscous heating.
//!
//! A path several thermal lengths long is filled slowly, so that well behind the front the transient
//! fill has become the steady solution.

use gatefrost_core::case::Case;
use gatefrost_core::fill;
use gatefrost_tests::build;
use gatefrost_tests::numeric::{bisect, extrapolate, interpolate, simpson};
use serde_json::{Value, json};

/// Half gap or radius \[m\], conductivity \[W/mK\] and ρc_p \[J/m³K\] of every path here.
const H: f64 = 1e-3;
const K: f64 = 1.6;
const RHO_CP: f64 = 3.38e6;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Shape {
    Slit,
    Tube,
}

impl Shape {
    /// Power of y in the area element.
    fn power(self) -> i32 {
        i32::from(self == Self::Tube)
    }

    /// Greatest over mean velocity of Newtonian flow.
    fn peak(self) -> f64 {
        if self == Self::Slit { 1.5 } else { 2.0 }
    }

    fn passage(self, length: f64) -> Value {
        let form = match self {
            Self::Slit => json!({ "strip": { "length": length * 1e3, "width": 20, "thickness": 2e3 * H } }),
            Self::Tube => json!({ "tube": { "length": length * 1e3, "diameter": 2e3 * H } }),
        };
        json!([{ "name": "path", "role": "part", "form": form }])
    }
}

/// Eigenfunction of y^−p (y^p Y')' + λ²(1 − y²) Y = 0, Y(0) = 1, Y'(0) = 0, by the classical
/// Runge–Kutta method: Y(1), and ∫(1−y²)Y y^p dy and ∫(1−y²)Y² y^p dy.
fn eigenfunction(shape: Shape, lambda2: f64) -> [f64; 3] {
    let p = f64::from(shape.power());
    let slope = |y: f64, s: [f64; 4]| {
        // Y'/y tends to Y''(0) at the axis; there (1+p)Y'' = −λ²Y.
        let turn = if y == 0.0 { -lambda2 * s[0] * p / (1.0 + p) } else { p * s[1] / y };
        let weight = (1.0 - y * y) * y.powi(shape.power());
        [s[1], -lambda2 * (1.0 - y * y) * s[0] - turn, weight * s[0], weight * s[0] * s[0]]
    };
    let add = |s: [f64; 4], d: [f64; 4], h: f64| [0, 1, 2, 3].map(|i| s[i] + h * d[i]);
    let n = 1000;
    let h = 1.0 / f64::from(n);
    let mut s = [1.0, 0.0, 0.0, 0.0];
    for i in 0..n {
        let y = f64::from(i) * h;
        let a = slope(y, s);
        let b = slope(y + 0.5 * h, add(s, a, 0.5 * h));
        let c = slope(y + 0.5 * h, add(s, b, 0.5 * h));
        let d = slope(y + h, add(s, c, h));
        s = [0, 1, 2, 3].map(|j| s[j] + h / 6.0 * (a[j] + 2.0 * b[j] + 2.0 * c[j] + d[j]));
    }
    [s[0], s[2], s[3]]
}

/// λ² of the first ten eigenfunctions: changes of sign of Y(1), then bisection.
fn eigenvalues(shape: Shape) -> Vec<f64> {
    let end = |l: f64| eigenfunction(shape, l * l)[0];
    let mut found = Vec::new();
    let mut l = 0.5;
    while found.len() < 10 {
        if end(l) * end(l + 0.5) < 0.0 {
            found.push(bisect(end, l, l + 0.5).powi(2));
        }
        l += 0.5;
    }
    found
}

/// Mixing-cup temperature (1 at the inlet, 0 at the wall) of the Graetz problem at x* = αx/UH².
fn graetz(shape: Shape, eigenvalues: &[f64], x: f64) -> f64 {
    let flow = simpson(|y| (1.0 - y * y) * y.powi(shape.power()), 0.0, 1.0, 50);
    let term = |&lambda2: &f64| {
        let [_, first, second] = eigenfunction(shape, lambda2);
        first * first / second / flow * (-lambda2 * x / shape.peak()).exp()
    };
    eigenvalues.iter().map(term).sum()
}

/// The mixing-cup temperature the fill leaves at x*, on a path of 4 thermal lengths.
fn filled(shape: Shape, cells: usize, layers: usize, places: &[f64]) -> Vec<f64> {
    let length = 0.1;
    let time = 4.0 * H * H * RHO_CP / K;
    let changes = json!({
        "feedstock": {
            "flow_law": build::power_law(10.0, 1.0, 0.0),
            "no_flow_temperature": 20
        },
        "setup": {
            "melt_temperature": 160, "mould_temperature": 40, "contact_conductance": 1e7, "injection_time": time
        },
        "model": { "axial_cells": cells, "layers": layers, "viscous_heating": false }
    });
    let case = Case::resolve(&build::scenario(shape.passage(length), &changes));
    let fill = fill::unlimited(&case.material, &case.cavity, case.drive);
    let layers = case.cavity.layers(0);
    // Share of Newtonian flow in each layer, in closed form.
    let inside = |y: f64| match shape {
        Shape::Slit => 1.5 * (y - y.powi(3) / 3.0),
        Shape::Tube => 2.0 * y * y - y.powi(4),
    };
    let share: Vec<f64> = layers.faces.windows(2).map(|f| inside(f[1]) - inside(f[0])).collect();
    let x: Vec<f64> =
        case.cavity.cells.iter().map(|c| 4.0 * (c.distance + 0.5 * c.length) / length).collect();
    let cup: Vec<f64> = (0..case.cavity.cells.len())
        .map(|i| {
            let t = fill.end.layer_temperatures(i);
            t.iter().zip(&share).map(|(t, s)| (t - 313.15) / 120.0 * s).sum()
        })
        .collect();
    // What leaves a cell downstream has its mixing-cup temperature: upwind values stand at the exit.
    places.iter().map(|&place| interpolate(&x, &cup, place)).collect()
}

/// λ₁² = 2.8278 (slit) and 7.3136 (tube), from memory; they give the fully developed Nusselt numbers
/// 7.541 and 3.657 of the heat-transfer textbooks.
#[test]
fn the_graetz_problem_behind_the_front() {
    for (shape, first) in [(Shape::Slit, 2.8278), (Shape::Tube, 7.3136)] {
        let eigenvalues = eigenvalues(shape);
        assert!((eigenvalues[0] - first).abs() < 1e-4, "{shape:?}: {}", eigenvalues[0]);
        let places = [0.1, 0.2, 0.4, 0.8];
        let grids =
            [(150, 20), (300, 20), (300, 40)].map(|(cells, layers)| filled(shape, cells, layers, &places));
        for (i, &x) in places.iter().enumerate() {
            let exact = graetz(shape, &eigenvalues, x);
            let found = extrapolate(grids[0][i], grids[1][i], 1.0) + 4.0 / 3.0 * (grids[2][i] - grids[1][i]);
            assert!((found - exact).abs() < 8e-4, "{shape:?} at {x}: {found} against {exact}");
        }
    }
}

/// Rise over the wall where conduction carries off all that power-law flow dissipates: with
/// u' = γ̇_w ŷ^(1/n), k T'' = −K γ̇_w^(n+1) ŷ^(1/n+1) in a slit gives
/// (K γ̇_w^(n+1) H²/k) (1 − ŷ^(1/n+3))/((1/n+2)(1/n+3)); in a tube (1/n+3)² stands below.
/// (Bird, Stewart and Lightfoot, Transport Phenomena, treat n = 1; from memory, derived again here.)
#[test]
fn viscous_heating_of_developed_flow() {
    for (shape, n) in [(Shape::Slit, 1.0), (Shape::Slit, 0.4), (Shape::Tube, 1.0), (Shape::Tube, 0.4)] {
        let length = 0.1;
        let time = 8.0 * H * H * RHO_CP / K;
        let mean = length / time;
        let wall_rate = match shape {
            Shape::Slit => (2.0 * n + 1.0) / n * mean / H,
            Shape::Tube => (3.0 * n + 1.0) / n * mean / H,
        };
        let e = 1.0 / n;
        let divisor = if shape == Shape::Slit { (e + 2.0) * (e + 3.0) } else { (e + 3.0) * (e + 3.0) };
        let consistency = 2.0 * K * divisor / (H * H) / wall_rate.powf(n + 1.0);
        let rise = |y: f64| 2.0 * (1.0 - y.powf(e + 3.0));
        let worst = |layers: usize| {
            let changes = json!({
                "feedstock": {
                    "flow_law": build::power_law(consistency, n, 0.0),
                    "no_flow_temperature": 20
                },
                "setup": {
                    "melt_temperature": 160, "mould_temperature": 160, "contact_conductance": 1e7,
                    "injection_time": time
                },
                "model": { "axial_cells": 80, "layers": layers }
            });
            let mut case = Case::resolve(&build::scenario(shape.passage(length), &changes));
            // Developed heating takes more pressure than machines have; past it the solver adds no heat.
            case.drive.max_pressure = f64::INFINITY;
            let fill = fill::unlimited(&case.material, &case.cavity, case.drive);
            let faces = &case.cavity.layers(0).faces;
            let found = fill.end.layer_temperatures(45);
            found
                .iter()
                .zip(faces.windows(2))
                .map(|(t, f)| (t - 433.15 - rise(0.5 * (f[0] + f[1]))).abs() / 2.0)
                .fold(0.0, f64::max)
        };
        let errors = [10, 20, 40].map(worst);
        assert!(errors[2] < 2e-3, "{shape:?} {n}: {errors:?}");
        assert!(errors[1] < errors[0] / 2.5, "{shape:?} {n}: {errors:?}");
    }
}
