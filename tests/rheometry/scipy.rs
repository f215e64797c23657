//! The same readings fitted by `scipy.optimize.curve_fit` (`tests/reference/fit_curve_fit.py`).

use gatefrost_core::scenario::FlowLawKind;
use gatefrost_laboratory::critical::{
    DensityOptions, LoadingReading, Resistance, ResistanceOptions, density, resistance,
};
use gatefrost_laboratory::rheometry::FlowPoint;
use gatefrost_laboratory::rheometry::fit::{FitOptions, fit};
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/fit_curve_fit.json")).expect("as the script writes it")
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("as the script writes it")
        .iter()
        .map(|v| v.as_f64().expect("as the script writes it"))
        .collect()
}

fn same(found: f64, expected: &Value, relative: f64, what: &str) {
    let expected = expected.as_f64().expect("as the script writes it");
    assert!((found / expected - 1.0).abs() < relative, "{what}: {found} for {expected}");
}

#[test]
fn flow_laws_have_the_values_and_standard_errors_of_curve_fit() {
    for case in reference()["flow"].as_array().unwrap() {
        let kind: FlowLawKind = serde_json::from_value(case["law"].clone()).unwrap();
        let points: Vec<FlowPoint> = case["points"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| {
                let row = numbers(row);
                FlowPoint {
                    temperature: row[0],
                    shear_rate: row[1],
                    viscosity: row[2],
                    stress: row[1] * row[2],
                    line: 0,
                }
            })
            .collect();
        let found = fit(&points, kind, &FitOptions::default()).unwrap();
        let squares = found.log_scatter.powi(2) * found.degrees_of_freedom as f64;
        same(squares, &case["squares"], 1e-8, "sum of squares");
        for (field, expected) in case["constants"].as_object().unwrap() {
            let what = format!("{kind:?} {field}");
            let constant = found.constants.iter().find(|c| c.path.ends_with(&format!(".{field}"))).unwrap();
            same(constant.value, &expected[0], 2e-5, &what);
            same(constant.standard_error.unwrap(), &expected[1], 1e-3, &format!("error of {what}"));
            let place = found.constants.iter().position(|c| c.path == constant.path).unwrap();
            let row = found.free.iter().position(|&free| free == place).unwrap();
            same(found.covariance[row][row].sqrt(), &expected[1], 1e-3, &format!("covariance of {what}"));
        }
    }
}

fn readings(case: &Value) -> Vec<LoadingReading> {
    let rows = case["readings"].as_array().expect("as the script writes it");
    rows.iter()
        .map(|row| LoadingReading { loading: numbers(row)[0], value: numbers(row)[1], line: 0 })
        .collect()
}

#[test]
fn critical_loadings_from_density_are_those_of_curve_fit() {
    let table = reference();
    let case = &table["critical"]["density_known"];
    let known = DensityOptions { powder_density: Some(7950.0), binder_density: Some(900.0) };
    let found = density::fit(&readings(case), &known).unwrap();
    same(found.critical.value, &case["constants"]["critical"][0], 1e-5, "φc");
    same(found.critical.standard_error.unwrap(), &case["constants"]["critical"][1], 1e-3, "its error");

    let case = &table["critical"]["density_free"];
    let found = density::fit(&readings(case), &DensityOptions::default()).unwrap();
    for (estimate, name) in
        [(found.critical, "critical"), (found.powder_density, "powder"), (found.binder_density, "binder")]
    {
        same(estimate.value, &case["constants"][name][0], 1e-5, name);
        same(estimate.standard_error.unwrap(), &case["constants"][name][1], 1e-3, name);
    }
}

#[test]
fn critical_loadings_from_torque_are_those_of_curve_fit() {
    let table = reference();
    for (name, options) in [
        (
            "torque_held",
            ResistanceOptions { exponent: Some(2.0), exponent_error: 0.0, ..ResistanceOptions::default() },
        ),
        (
            "torque_free",
            ResistanceOptions { exponent: None, exponent_error: 0.0, ..ResistanceOptions::default() },
        ),
    ] {
        let case = &table["critical"][name];
        let data: Vec<_> = readings(case).into_iter().map(|r| (Resistance::Torque, r)).collect();
        let found = resistance::fit(&data, &options).unwrap();
        let mut checked = vec![(found.critical, "critical"), (found.factor, "factor")];
        if options.exponent.is_none() {
            checked.push((found.exponent, "exponent"));
        }
        for (estimate, constant) in checked {
            same(estimate.value, &case["constants"][constant][0], 1e-4, &format!("{name} {constant}"));
            let error = estimate.standard_error.unwrap();
            same(error, &case["constants"][constant][1], 2e-3, &format!("{name} error of {constant}"));
        }
    }
}
