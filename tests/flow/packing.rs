//! Packing at one temperature against the diffusion of pressure.
//!
//! A Newtonian melt of compressibility κ in a closed path obeys ∂p/∂t = D ∂²p/∂x² with D = h²/(12ηκ) in a
//! strip and R²/(8ηκ) in a tube. A pressure p₀ put on the nozzle at once leaves, at a distance x from it,
//! p/p₀ = 1 − (4/π) Σ sin((2k+1)πx/2L) exp(−(2k+1)²π²Dt/4L²)/(2k+1): the series of a slab (Carslaw and
//! Jaeger, §3.4, from memory) read with pressure for temperature.

use gatefrost_core::case::Case;
use gatefrost_core::fill::March;
use gatefrost_core::pack::{self, HoldDrive};
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::{off, order};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Viscosity \[Pa s\], compressibility \[1/Pa\], length and half gap or radius \[m\], nozzle pressure \[Pa\]: so
/// little of both that the density is a line.
const ETA: f64 = 1000.0;
const KAPPA: f64 = 1e-11;
const LENGTH: f64 = 80e-3;
const H: f64 = 1e-3;
const P0: f64 = 1e6;

/// A path filled and without pressure, at one temperature for good.
fn case(form: &Value, cells: usize, compressibility: f64) -> Case {
    path(json!([{ "name": "path", "role": "part", "form": form }]), cells, compressibility)
}

fn path(passages: Value, cells: usize, compressibility: f64) -> Case {
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": {
                "flow_law": power_law(ETA, 1.0, 0.0), "pvt": "linear",
                "binder_expansion": 0, "binder_compressibility": compressibility * 1e9
            },
            "model": { "axial_cells": cells, "layers": 20 }
        }),
    );
    Case::resolve(&build::scenario(passages, &changes))
}

/// Pressure along the path relative to the nozzle's at Dt/L² = `ends`, and what has come in by then
/// relative to what comes in at last, in equal steps.
fn packed(case: &Case, diffusivity: f64, ends: f64, steps: usize) -> (Vec<f64>, f64) {
    let time = ends * LENGTH * LENGTH / diffusivity;
    let drive = HoldDrive {
        // The hold lands on every change of the nozzle pressure, also on one that changes nothing.
        steps: (1..=steps).map(|k| (time * k as f64 / steps as f64, P0)).collect(),
        ..case.hold.clone()
    };
    let start = March::new(&case.material, &case.cavity, case.drive);
    let mut last = Vec::new();
    let hold = pack::hold_watched(&case.material, &case.cavity, &start, &drive, &mut |m| {
        if m.time <= time * (1.0 + 1e-9) {
            last = m.pressure.iter().map(|p| p / P0).collect();
        }
    });
    assert!(hold.history.time.len() >= steps, "every step is taken: {}", hold.history.time.len());
    assert!(off(hold.history.time[hold.history.time.len() - 1], time) < 1e-9, "nothing else is waited for");
    assert!(hold.balance.mass_closure().abs() < 1e-9);
    (last, hold.balance.mass_delivered / (case.cavity.volume * KAPPA * P0))
}

fn exact(x: f64, fourier: f64) -> f64 {
    let term = |k: i32| {
        let m = f64::from(2 * k + 1);
        (0.5 * m * PI * x).sin() * (-m * m * PI * PI * fourier / 4.0).exp() / m
    };
    1.0 - 4.0 / PI * (0..60).map(term).sum::<f64>()
}

/// Share that has come in: the mean of the pressures.
fn exact_share(fourier: f64) -> f64 {
    let term = |k: i32| {
        let m = f64::from(2 * k + 1);
        (-m * m * PI * PI * fourier / 4.0).exp() / (m * m)
    };
    1.0 - 8.0 / (PI * PI) * (0..60).map(term).sum::<f64>()
}

#[test]
fn pressure_spreads_along_the_path_as_by_diffusion() {
    let strip = json!({ "strip": { "length": LENGTH * 1e3, "width": 20, "thickness": 2e3 * H } });
    let tube = json!({ "tube": { "length": LENGTH * 1e3, "diameter": 2e3 * H } });
    let flat = (2.0 * H) * (2.0 * H) / 12.0 / (ETA * KAPPA);
    let round = H * H / 8.0 / (ETA * KAPPA);
    for (form, diffusivity) in [(strip, flat), (tube, round)] {
        let case = case(&form, 60, KAPPA);
        let place: Vec<f64> = case.cavity.cells.iter().map(|c| c.distance / LENGTH).collect();
        for fourier in [0.05, 0.3, 0.8] {
            let found = [60, 120, 240].map(|steps| packed(&case, diffusivity, fourier, steps));
            // Backward Euler: of first order in the step, extrapolated from the two finest.
            let worst = place.iter().enumerate().map(|(i, &x)| {
                let limit = 2.0 * found[2].0[i] - found[1].0[i];
                (limit - exact(x, fourier)).abs()
            });
            let worst = worst.fold(0.0, f64::max);
            assert!(worst < 1e-3, "{form} at {fourier}: {worst}");
            let end = found.each_ref().map(|(p, _)| p[p.len() - 1]);
            let seen = order(end[0], end[1], end[2]);
            assert!((seen - 1.0).abs() < 0.25, "{form} at {fourier}: order {seen}");
            let share = 2.0 * found[2].1 - found[1].1;
            assert!((share - exact_share(fourier)).abs() < 1e-3, "{form} at {fourier}: {share}");
        }
    }
}

/// Two arms of half the length whose ends meet, the second fed through a hair only: pressure comes to it across the weld line, as if
/// both were one path.
#[test]
fn pressure_spreads_across_a_weld_line() {
    let tube = |length: f64, diameter: f64| json!({ "tube": { "length": length, "diameter": diameter } });
    let arm = json!({ "strip": { "length": LENGTH * 500.0, "width": 20, "thickness": 2e3 * H } });
    let passages = json!([
        { "name": "feed", "role": "runner", "form": tube(0.5, 6.0) },
        { "name": "near arm", "role": "part", "form": arm },
        { "name": "hair", "role": "runner", "after": "feed", "form": tube(50.0, 0.05) },
        { "name": "far arm", "role": "part", "meets": "near arm", "form": arm }
    ]);
    let case = path(passages, 80, KAPPA);
    let diffusivity = (2.0 * H) * (2.0 * H) / 12.0 / (ETA * KAPPA);
    let c = &case.cavity;
    let start = |passage: usize| {
        c.cells[c.ranges[passage].start].distance - 0.5 * c.cells[c.ranges[passage].start].length
    };
    let along = |i: usize, passage: usize| (c.cells[i].distance - start(passage)) / LENGTH;
    for fourier in [0.1, 0.3, 0.8] {
        let found = [120, 240].map(|steps| packed(&case, diffusivity, fourier, steps).0);
        let near = c.ranges[1].clone().map(|i| (i, along(i, 1)));
        let far = c.ranges[3].clone().map(|i| (i, 1.0 - along(i, 3)));
        for (i, x) in near.chain(far) {
            let limit = 2.0 * found[1][i] - found[0][i];
            assert!(
                (limit - exact(x, fourier)).abs() < 0.01,
                "at {x}, {fourier}: {limit} for {}",
                exact(x, fourier)
            );
        }
    }
}

/// Cells: with the step's part extrapolated away, what is left falls as their square.
#[test]
fn the_cells_of_the_packing_are_of_second_order() {
    let strip = json!({ "strip": { "length": LENGTH * 1e3, "width": 20, "thickness": 2e3 * H } });
    let diffusivity = (2.0 * H) * (2.0 * H) / 12.0 / (ETA * KAPPA);
    let errors = [5, 10, 20].map(|cells| {
        let case = case(&strip, cells, KAPPA);
        let run = |steps| packed(&case, diffusivity, 0.3, steps).1;
        2.0 * run(500) - run(250) - exact_share(0.3)
    });
    assert!(errors[2].abs() < 1e-3, "{errors:?}");
    let seen = (errors[0] / errors[1]).abs().log2();
    assert!((seen - 2.0).abs() < 0.35, "order {seen}: {errors:?}");
}

/// What is packed in at last is what the pressure makes of the density.
#[test]
fn at_last_the_path_holds_what_the_nozzle_pressure_makes_of_it() {
    let strip = json!({ "strip": { "length": LENGTH * 1e3, "width": 20, "thickness": 2e3 * H } });
    let case = case(&strip, 20, KAPPA);
    let (pressure, share) = packed(&case, (2.0 * H) * (2.0 * H) / 12.0 / (ETA * KAPPA), 8.0, 200);
    assert!(pressure.iter().all(|p| (p - 1.0).abs() < 1e-4), "{pressure:?}");
    assert!((share - 1.0).abs() < 1e-4, "{share}");
}

/// Melt of the density ρ₀/(1 − κp) takes the volume κVp at the nozzle's pressure p: its work is κVp². Half of it is stored in the
/// melt, ½κVp². The other half becomes heat of viscous flow, whatever the shape of the path, and warms the melt.
#[test]
fn half_of_the_work_of_packing_becomes_heat() {
    const PRESSURE: f64 = 100e6;
    const SOFT: f64 = 4e-10;
    let strip = json!({ "strip": { "length": LENGTH * 1e3, "width": 20, "thickness": 2e3 * H } });
    let taper = json!({ "strip": {
        "length": LENGTH * 1e3, "width": 20, "width_end": 10, "thickness": 2e3 * H, "thickness_end": 1e3 * H
    } });
    let tube = json!({ "tube": { "length": LENGTH * 1e3, "diameter": 2e3 * H, "diameter_end": 3e3 * H } });
    let time = 16.0 * LENGTH * LENGTH * 12.0 * ETA * SOFT / (4.0 * H * H);
    // Heat over the half by hand.
    let heat = |form: &Value, cells: usize, count: i32| {
        let mut case = case(form, cells, SOFT);
        case.hold.heating = true;
        // Short steps at first, when most flows: the times go as the cube.
        let until = |k: i32| time * (f64::from(k) / f64::from(count)).powi(3);
        let steps = (1..=count).map(|k| (until(k), PRESSURE)).collect();
        let drive = HoldDrive { steps, opens: Some(time), ..case.hold.clone() };
        let start = March::new(&case.material, &case.cavity, case.drive);
        let balance = pack::hold(&case.material, &case.cavity, &start, &drive).balance;
        let [before, after] = balance.stored;
        let left = balance.dissipated + balance.inflow - balance.lost - balance.packed - (after - before);
        assert!(left.abs() < 1e-2 * balance.dissipated, "{form}: {left} J of {balance:?}");
        balance.dissipated / (0.5 * SOFT * PRESSURE * PRESSURE * case.cavity.volume)
    };
    for form in [strip, taper, tube] {
        let found = [40, 80].map(|cells| [200, 400].map(|count| heat(&form, cells, count)));
        assert!(found.iter().flatten().all(|h| (h - 1.0).abs() < 0.12), "{form}: {found:?}");
        // Of first order in steps and cells: extrapolated in both.
        let [coarse, fine] = found.map(|[long, short]| 2.0 * short - long);
        assert!((2.0 * fine - coarse - 1.0).abs() < 0.03, "{form}: {found:?}");
    }
}
