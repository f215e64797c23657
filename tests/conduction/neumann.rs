//! Setting with latent heat against Neumann's solution of the Stefan problem: a half space of melt whose
//! wall is suddenly cold sets to the depth s = 2λ√(αt).
//!
//! Between solid and melt of equal properties
//! [(T_s − T_w)/erf λ − (T_m − T_s)/erfc λ] exp(−λ²) = √π λ L/ρc; without superheat the middle term falls
//! away and √π λ exp(λ²) erf λ = c(T_s − T_w)/L, the Stefan number.

use gatefrost_core::case::Case;
use gatefrost_core::cavity::{Kind, Layers};
use gatefrost_core::feedstock::HeatContent;
use gatefrost_core::fill::March;
use gatefrost_core::fill::conduction::Section;
use gatefrost_core::pack::{self, HoldDrive};
use gatefrost_tests::build::{self, power_law};
use gatefrost_tests::numeric::{bisect, off, order, simpson};
use serde_json::json;
use std::f64::consts::PI;

/// k = 2 W/mK, ρc = 3e6 J/m³K, L = 6e7 J/m³; melt, setting and wall temperatures \[°C\].
const ALPHA: f64 = 2.0 / 3e6;
const LATENT: f64 = 6e7 / 3e6;
const MELT: f64 = 160.0;
const SETS: f64 = 60.0;
const WALL: f64 = 30.0;
/// Half gap \[m\]: in a second the cold gets a sixth as far.
const H: f64 = 5e-3;
/// Depth after a second, worked out apart from this code \[m\].
const DEPTH: f64 = 0.3241e-3;

fn erf(x: f64) -> f64 {
    2.0 / PI.sqrt() * simpson(|y| (-y * y).exp(), 0.0, x, 200)
}

/// λ of a melt `above` and a wall `below` the setting temperature \[K\], L/ρc = `latent` \[K\].
fn lambda(above: f64, below: f64, latent: f64) -> f64 {
    let excess = |l: f64| (below / erf(l) - above / (1.0 - erf(l))) * (-l * l).exp() - PI.sqrt() * l * latent;
    bisect(excess, 1e-3, 3.0)
}

/// Depth to which the section has set: what its layers lack of the latent heat, in half gaps. Where it
/// sets over a range, the middle of what is setting.
fn depth(layers: &Layers, temperature: &[f64], [solidus, liquidus]: [f64; 2]) -> f64 {
    let solid = |t: f64| ((liquidus - t) / (liquidus - solidus)).clamp(0.0, 1.0);
    temperature.iter().zip(&layers.area).map(|(&t, a)| a * solid(t - 273.15)).sum()
}

/// Depth after a Fourier number in equal steps \[half gaps\].
fn set(count: usize, steps: usize, fourier: f64, melt: f64, range: [f64; 2], latent: f64) -> f64 {
    let layers = Layers::new(Kind::Flat, count);
    let heat = HeatContent::new(range[0], range[1], latent);
    let section = Section {
        layers: &layers,
        heat: &heat,
        share: fourier / steps as f64,
        biot: 1e9,
        wall: WALL + 273.15,
        sink: 0.0,
    };
    let mut t = vec![melt + 273.15; count];
    let mut content: Vec<f64> = t.iter().map(|&t| heat.of(t)).collect();
    let mut scratch = vec![0.0; 4 * count];
    for _ in 0..steps {
        let right: Vec<f64> = content.iter().zip(&layers.area).map(|(c, a)| c * a).collect();
        section.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
    }
    depth(&layers, &t, range)
}

fn around(width: f64) -> [f64; 2] {
    [SETS - 0.5 * width, SETS + 0.5 * width]
}

#[test]
fn the_roots_are_the_worked_ones() {
    let two = lambda(MELT - SETS, SETS - WALL, LATENT);
    assert!((two - 0.19850).abs() < 5e-6, "{two}");
    assert!((2.0 * two * ALPHA.sqrt() - DEPTH).abs() < 5e-8);
    for (stefan, value) in [(0.1, 0.22002), (0.5, 0.46479), (1.0, 0.62006), (2.0, 0.80060)] {
        let one = lambda(0.0, stefan, 1.0);
        assert!((one - value).abs() < 5e-6, "Ste {stefan}: {one}");
        assert!(off(PI.sqrt() * one * (one * one).exp() * erf(one), stefan) < 1e-9);
    }
}

/// Superheated melt: the depth converges with the steps, with the layers, and as the range in which the
/// melt sets narrows to 1 K, the least that a scenario may have.
#[test]
fn superheated_melt_sets_as_deep_as_neumann_has_it() {
    let exact = 2.0 * lambda(MELT - SETS, SETS - WALL, LATENT) * ALPHA.sqrt() / H;
    let fourier = ALPHA / (H * H);
    let at = |count, steps, width| set(count, steps, fourier, MELT, around(width), LATENT);
    // Steps, layers and range in turn.
    let steps = [100, 200, 400, 800].map(|steps| at(120, steps, 1.0));
    let layers = [30, 60, 120, 240].map(|count| at(count, 800, 1.0));
    let ranges = [16.0, 8.0, 4.0, 2.0].map(|width| at(240, 800, width));
    let [by_steps, by_layers, by_range] = [steps, layers, ranges].map(|list| list.map(|d| d / exact - 1.0));
    let seen = order(steps[0], steps[1], steps[2]);
    assert!((seen - 1.0).abs() < 0.3, "backward Euler is of first order: {seen}, {by_steps:?}");
    assert!(by_layers.windows(2).all(|e| e[1].abs() < 0.5 * e[0].abs()), "{by_layers:?}");
    assert!(by_range.windows(2).all(|e| e[1].abs() < 0.6 * e[0].abs()), "{by_range:?}");
    assert!(by_layers[3].abs() < 1.5e-3 && by_range[3].abs() < 1e-3, "{by_layers:?}, {by_range:?}");
}

/// Melt at its setting temperature, over the Stefan numbers of moulding and beyond.
#[test]
fn melt_without_superheat_sets_as_deep_as_stefan_has_it() {
    for (stefan, value) in [(0.1, 0.22002), (0.5, 0.46479), (1.0, 0.62006), (2.0, 0.80060)] {
        // The front comes a third of the way.
        let depth: f64 = 0.3;
        let fourier = (depth / (2.0 * value)).powi(2);
        let latent = (SETS - WALL) / stefan;
        let found = [60, 120, 240].map(|count| {
            let run = |steps| set(count, steps, fourier, SETS, [SETS - 1.0, SETS], latent);
            2.0 * run(800) - run(400)
        });
        let errors = found.map(|d| d / depth - 1.0);
        assert!(errors[2].abs() < 1e-2, "Ste {stefan}: {errors:?}");
    }
}

/// The same through a scenario and its hold, on the hold's own steps. A front 6 % of the half gap away
/// from the wall is within six of 40 layers.
#[test]
fn the_hold_sets_as_deep_as_neumann_has_it() {
    let form = json!({ "strip": { "length": 20, "width": 50, "thickness": 2e3 * H } });
    let found = [40, 80, 120].map(|count| {
        let changes = json!({
            "feedstock": {
                "binder_density": 1500, "binder_heat_capacity": 2000, "binder_conductivity": 2,
                "latent_heat": 40, "solidus": SETS - 0.5, "liquidus": SETS + 0.5,
                "flow_law": power_law(100.0, 1.0, 30.0)
            },
            "setup": { "melt_temperature": MELT, "mould_temperature": WALL, "contact_conductance": 1e7 },
            "model": { "axial_cells": 4, "layers": count }
        });
        let passages = json!([{ "name": "path", "role": "part", "form": form }]);
        let case = Case::resolve(&build::scenario(passages, &changes));
        let drive = HoldDrive { convection: false, steps: vec![(1.0, 1e6)], ..case.hold.clone() };
        let start = March::new(&case.material, &case.cavity, case.drive);
        let mut found = 0.0;
        pack::hold_watched(&case.material, &case.cavity, &start, &drive, &mut |m| {
            if (m.time - 1.0).abs() < 1e-6 {
                found = depth(&case.cavity.flat, &m.temperature[..count], around(1.0));
            }
        });
        found * H
    });
    let errors = found.map(|d| d / DEPTH - 1.0);
    assert!(errors[0].abs() < 8e-2 && errors[1].abs() < 2.5e-2 && errors[2].abs() < 1e-2, "{errors:?}");
}
