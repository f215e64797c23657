//! Diffusion, decomposition under its own gas, sintering and the fit of a diffusivity, against SciPy.

use gatefrost_after::debinding::diffusion::Section;
use gatefrost_after::debinding::diffusivity::{Diffusivity, Reading};
use gatefrost_after::debinding::gas::Atmosphere;
use gatefrost_after::debinding::kinetics::Reaction;
use gatefrost_after::debinding::thermal::{Brown, Drive, Fuel};
use gatefrost_after::sintering::{MasterCurve, Run, Stretch, fit, log_work};
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/after.json")).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().expect("a list")
}

/// Within 1e-4 of what has left.
#[test]
fn the_series_of_slab_and_rod() {
    let reference = reference();
    for (name, section) in [("slab", Section::Slab { half: 1.0 }), ("rod", Section::Cylinder { radius: 1.0 })]
    {
        for row in list(&reference[name]) {
            let (x, left) = (number(&row[0]), number(&row[1]));
            let found = section.left(x);
            assert!(
                (found - left).abs() < 1e-4 * (1.0 - left) + 1e-9,
                "{name} at {x}: {found} against {left}"
            );
        }
    }
}

/// The fastest schedule within 0.6 % of its time; eight times as fine a step within 0.15 %.
#[test]
fn the_fastest_schedule() {
    for case in list(&reference()["schedules"]) {
        let of = |name: &str| number(&case[name]);
        let fuel = |p: &Value| Fuel {
            mass: number(&p["mass"]),
            volume: number(&p["volume"]),
            reaction: Reaction::with_half_at(number(&p["half"]), number(&p["energy"])),
        };
        let brown = Brown {
            section: Section::Slab { half: of("half_thickness") },
            grain: of("grain"),
            porosity: of("pores"),
            fuels: list(&case["parts"]).iter().map(fuel).collect(),
        };
        let atmosphere =
            Atmosphere { pressure: of("outside"), viscosity: of("viscosity"), molar_mass: of("molar_mass") };
        let drive =
            Drive { from: of("from"), to: of("to"), ramp: of("ramp"), allowed: of("allowed"), atmosphere };
        let off = |step: f64| {
            let time = brown.schedule_in_steps(&drive, step).duration().expect("an end");
            (time / of("time") - 1.0).abs()
        };
        assert!(off(1.5) < 6e-3, "{} off with the usual step", off(1.5));
        assert!(off(1.5 / 8.0) < 1.5e-3, "{} off with a fine step", off(1.5 / 8.0));
    }
}

#[test]
fn the_work_of_a_furnace_run() {
    for run in list(&reference()["works"]) {
        let stretch = |s: &Value| Stretch {
            ramp: number(&s["ramp"]),
            temperature: number(&s["temperature"]),
            hold: number(&s["hold"]),
        };
        let stretches: Vec<Stretch> = list(&run["stretches"]).iter().map(stretch).collect();
        let found = log_work(&stretches, number(&run["from"]), number(&run["energy"]));
        let expected = number(&run["log_work"]);
        assert!((found - expected).abs() < 1e-6, "{found} against {expected}");
    }
}

/// Constants and standard errors as `curve_fit` has them.
#[test]
fn the_fit_of_a_diffusivity() {
    let fit = &reference()["fit"];
    let reading = |r: &Value| Reading {
        temperature: number(&r["temperature"]),
        time: number(&r["time"]),
        section: Section::Slab { half: number(&r["half"]) },
        left: number(&r["left"]),
    };
    let readings: Vec<Reading> = list(&fit["readings"]).iter().map(reading).collect();
    let like =
        Diffusivity { reference: 313.0, log_at: -23.0, energy: 30e3, log_error: 0.3, energy_error: 10e3 };
    let found = Diffusivity::fit(&readings, &like).expect("telling").diffusivity;
    let near = |found: f64, name: &str, within: f64| {
        let expected = number(&fit[name]);
        assert!((found / expected - 1.0).abs() < within, "{name}: {found} against {expected}");
    };
    near(found.reference, "reference", 1e-12);
    near(found.log_at, "log_at", 1e-6);
    near(found.energy, "energy", 1e-4);
    near(found.log_error, "log_error", 0.01);
    near(found.energy_error, "energy_error", 0.01);
}

/// Squares within 1e-4 of SciPy's least, and Q and w as there where the squares tell them: two sets on which a clamped
/// Gauss–Newton stayed at its start, and thirty simulated ones.
#[test]
fn the_fit_of_a_sintering_curve_comes_to_its_minimum() {
    let reference = reference();
    let like = MasterCurve { energy: 300e3, log_half: -29.0, width: 1.2, green: 0.6, full: 0.995 };
    for case in list(&reference["curves"]) {
        let run = |r: &Value| Run {
            schedule: vec![Stretch {
                ramp: 5.0 / 60.0,
                temperature: number(&r[0]) + 273.15,
                hold: 60.0 * number(&r[1]),
            }],
            density: number(&r[2]),
        };
        let runs: Vec<Run> = list(&case["runs"]).iter().map(run).collect();
        let found = fit(&runs, 296.15, like).expect("a minimum");
        let [energy, width, least] = ["energy", "width", "squares"].map(|name| number(&case[name]));
        let squares: f64 = found.residuals.iter().map(|r| r * r).sum();
        assert!(squares < least * (1.0 + 1e-4) + 1e-14, "{squares} against {least}: {found:?}");
        let near = |found: f64, expected: f64| (found / expected - 1.0).abs() < 2e-3;
        assert!(near(found.curve.energy, energy), "{} against {energy}", found.curve.energy);
        assert!(near(found.curve.width, width), "{} against {width}", found.curve.width);
        assert_eq!(found.errors[2].is_some(), runs.len() > 3, "three runs leave no freedom");
    }
}
