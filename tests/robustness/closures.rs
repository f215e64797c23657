//! Random scenarios over the ranges of the catalogue: balances close, numbers are numbers.

use gatefrost_core::case::Case;
use gatefrost_core::fill;
use gatefrost_core::scenario::{Scenario, link};
use gatefrost_core::{evaluate, report::Report};
use gatefrost_tests::random::Random;
use serde_json::Value;

/// Valid random scenarios: mild ones with most numbers at their defaults, wild ones with few.
fn scenarios(count: usize, seed: u64, wild: u64) -> Vec<Scenario> {
    let mut random = Random::new(seed);
    let mut out = Vec::new();
    let mut refused = 0;
    while out.len() < count {
        match Scenario::from_json(&random.document(wild).to_string()) {
            Ok(s) => out.push(s),
            Err(e) => {
                refused += 1;
                assert!(refused < 20 * count, "too many refused, such as: {e}");
            }
        }
    }
    out
}

/// Numbers that may be absent: times that the section never reaches.
const MAY_BE_ABSENT: [&str; 7] = [
    "hold.gate_freeze_s",
    "hold.gate_centre_freeze_s",
    "hold.hand_mean_s",
    "hold.hand_centre_s",
    "cool.cooling_time_s",
    "cool.hand_s",
    "cool.runner_time_s",
];

/// Paths of a report's values that are not finite numbers; JSON writes those as null.
fn not_finite(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Null if !MAY_BE_ABSENT.contains(&path) => found.push(path.to_owned()),
        Value::Array(list) => list.iter().for_each(|v| not_finite(v, path, found)),
        Value::Object(fields) => {
            for (name, v) in fields {
                let deeper = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                not_finite(v, &deeper, found);
            }
        }
        _ => {}
    }
}

/// What the fill's heat balance leaves over, against all the heat that came in, by the melt and by
/// dissipation (the report compares with the melt's alone, which is nothing when walls are as hot).
fn enthalpy_closure(s: &Scenario) -> f64 {
    let case = Case::resolve(s);
    let end = fill::unlimited(&case.material, &case.cavity, case.drive).end;
    let b = end.balance;
    let left = b.inflow + b.dissipated - b.lost - end.stored();
    // One kelvin stands below, so that rounding is not compared with nothing.
    let scale = b.inflow + b.dissipated + case.material.volumetric_heat() * case.cavity.volume;
    left / scale
}

fn problems(r: &Report, s: &Scenario) -> Vec<String> {
    let mut found = Vec::new();
    not_finite(&serde_json::to_value(r).expect("serialises"), "", &mut found);
    let c = &r.fill.closures;
    if c.volume.abs() > 1e-9 {
        found.push(format!("volume closure {:e}", c.volume));
    }
    let enthalpy = enthalpy_closure(s);
    // Written so that a closure that is not a number is caught too.
    if enthalpy.is_nan() || enthalpy.abs() > 1e-9 {
        found.push(format!("enthalpy closure {enthalpy:e}"));
    }
    if !(0.0..=100.0 + 1e-9).contains(&r.fill.filled_percent) {
        found.push(format!("filled {} %", r.fill.filled_percent));
    }
    found.sort();
    found.dedup();
    if r.fill.nozzle_pressure_mpa > s.machine.max_pressure * (1.0 + 1e-9) {
        found.push(format!("nozzle at {} MPa", r.fill.nozzle_pressure_mpa));
    }
    found
}

fn check(count: usize, seed: u64, wild: u64) {
    let mut failures = Vec::new();
    for s in scenarios(count, seed, wild) {
        let r = evaluate(&s).expect("it is valid");
        let found = problems(&r, &s);
        if !found.is_empty() {
            failures.push((found, s));
        }
    }
    if let Some((found, s)) = failures.first() {
        panic!("{} of {count} fail; the first: {found:?}\n{}", failures.len(), s.to_json());
    }
}

#[test]
fn ordinary_scenarios_close_their_balances() {
    check(200, 1, 3);
}

#[test]
fn extreme_scenarios_close_their_balances() {
    check(200, 2, 9);
}

#[test]
fn a_random_scenario_survives_its_link_and_its_document() {
    for s in [scenarios(100, 3, 3), scenarios(100, 4, 9)].concat() {
        let text = link::encode(&s);
        let opened = link::decode(&text);
        assert_eq!(opened.problems, vec![], "{text}");
        assert_eq!(opened.scenario, s, "{text}");
        assert_eq!(Scenario::from_json(&s.to_json()).as_ref(), Ok(&s));
    }
}
