//! How much work an evaluation is, and how large its numbers are, whatever the scenario.

use gatefrost_core::case::Case;
use gatefrost_core::fill::{self, GREATEST_PRESSURE};
use gatefrost_core::limits;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::{Report, evaluate};
use gatefrost_tests::random::Random;
use serde_json::{Value, json};

/// A fill whose yield stress balances the machine's pressure. It never ended: the search for the rate at that
/// pressure did not converge, and each step moved the front by next to nothing.
const AT_THE_YIELD: &str = include_str!("cases/yield-at-the-limit.json");
/// A melt that is far too stiff for its sprue. Its report had no numbers for mass, temperatures and closures.
const FAR_TOO_STIFF: &str = include_str!("cases/stalls-in-the-sprue.json");

fn case(text: &str) -> Scenario {
    Scenario::from_json(text).expect("the case is valid")
}

/// Valid random scenarios on one grid.
fn on_one_grid(count: usize, seed: u64, wild: u64) -> Vec<Scenario> {
    let mut random = Random::new(seed);
    let mut out = Vec::new();
    while out.len() < count {
        let mut document = random.document(wild);
        document["model"]["axial_cells"] = json!(14);
        document["model"]["layers"] = json!(8);
        out.extend(Scenario::from_json(&document.to_string()));
    }
    out
}

/// Work of one evaluation of all margins, in solutions of one section: each counts by about the time that it takes.
fn work(s: &Scenario) -> f64 {
    let case = Case::resolve(s);
    let fill = fill::actual(&case.material, &case.cavity, case.drive);
    let filling: u32 = [fill.end.effort, fill.aside].map(|e| e.sections + e.iterations).iter().sum();
    let hold = case.hold_after(&fill).effort;
    let cells = case.cavity.cells.len() as f64;
    let holding = f64::from(hold.sections + 2 * hold.stirred + 4 * hold.lines);
    (f64::from(filling) + holding + 0.2 * cells * f64::from(hold.solutions)) / cells
}

#[test]
fn no_evaluation_takes_more_than_fifty_times_the_median() {
    for (seed, wild) in [(31, 3), (32, 9)] {
        let scenarios = on_one_grid(150, seed, wild);
        let mut works: Vec<f64> = scenarios.iter().map(work).collect();
        works.sort_by(f64::total_cmp);
        let median = works[works.len() / 2];
        let endless = work(&case(AT_THE_YIELD));
        for most in [works[works.len() - 1], endless] {
            assert!(most < 50.0 * median, "{most} against a median of {median}");
        }
    }
}

/// Greatest magnitude of a number of the report, by the unit that its name ends in.
fn greatest(name: &str) -> f64 {
    let ends = |unit: &str| name.ends_with(unit);
    if name == "required_pressure_mpa" {
        GREATEST_PRESSURE / 1e6
    } else if ends("pa_s") {
        1e12
    } else if ends("_percent") {
        1e4
    } else {
        f64::MAX
    }
}

/// Names of numbers that are not finite (null in JSON) or out of their range.
fn out_of_range(value: &Value, name: &str, found: &mut Vec<String>) {
    match value {
        Value::Number(n) if n.as_f64().is_none_or(|v| v.abs() > greatest(name)) => {
            found.push(format!("{name}: {n}"));
        }
        Value::Array(list) => list.iter().for_each(|v| out_of_range(v, name, found)),
        Value::Object(fields) => fields.iter().for_each(|(name, v)| out_of_range(v, name, found)),
        _ => {}
    }
}

fn numbers_of(report: &Report) -> Vec<String> {
    let mut found = Vec::new();
    out_of_range(&serde_json::to_value(report).expect("serialises"), "", &mut found);
    found
}

#[test]
fn what_does_not_flow_has_finite_numbers() {
    let s = case(FAR_TOO_STIFF);
    let report = evaluate(&s).expect("it is valid");
    assert_eq!(numbers_of(&report), Vec::<String>::new());
    // It is short; margins of the hold come from the path with the rest filled.
    let case = Case::resolve(&s);
    let fill = fill::actual(&case.material, &case.cavity, case.drive);
    assert!(report.hold.is_none() && !fill.full);
    let hold = case.hold_after(&fill);
    let numbers = hold.history.part_mass.iter().chain(&hold.history.hottest_part).chain(&hold.shrinkage);
    assert!(numbers.chain([&hold.part_mass]).all(|v| v.is_finite()), "{hold:?}");
    assert!(limits::margins(&case.evaluate()).iter().all(|g| g.is_finite()));
    assert!(report.margins.iter().all(|m| m.value.is_finite() && m.g.is_finite()), "{:?}", report.margins);
    assert!(hold.balance.mass_closure().abs() < 1e-6, "{:?}", hold.balance);
}

#[test]
fn needs_and_viscosities_stay_inside_their_ranges() {
    for wild in [3, 9] {
        for s in on_one_grid(80, 33 + wild, wild) {
            let report = evaluate(&s).expect("it is valid");
            assert_eq!(numbers_of(&report), Vec::<String>::new(), "{}", s.to_json());
        }
    }
}
