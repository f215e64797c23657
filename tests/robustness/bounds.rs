//! How much work an evaluation is, and how large its numbers are, whatever the scenario.

use gatefrost_core::case::Case;
use gatefrost_core::fill::{self, GREATEST_PRESSURE};
use gatefrost_core::limits;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use gatefrost_tests::random::Random;
use gatefrost_window::{Detail, trace};
use serde::Serialize;
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
    let filling: u32 = [fill.end.effort, fill.trial_effort].map(|e| e.sections + e.iterations).iter().sum();
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

/// Range of a number of a report or a window, by its name or the unit that its name ends in: pressures up to ten
/// times those of the strongest machine, velocities below those to which such pressures accelerate melt (Bernoulli),
/// shear rates of such velocities in the narrowest gap, temperatures at which any binder is gone.
fn range(name: &str) -> [f64; 2] {
    let ends = |unit: &str| name.ends_with(unit);
    let most = if ends("_mpa") {
        GREATEST_PRESSURE / 1e6
    } else if ends("_kpa") {
        GREATEST_PRESSURE / 1e3
    } else if ends("m_s") {
        3e3
    } else if ends("_1_s") {
        1e9
    } else if ends("pa_s") {
        1e12
    } else if ends("_c") {
        // 1000 °C, to rounding.
        return [-100.0, 1000.001];
    } else if ends("_k") {
        1000.0
    } else if ends("_percent") {
        1e4
    } else if ["volume", "enthalpy", "mass"].contains(&name) {
        1e-6
    } else {
        1e12
    };
    [if ends("_mpa") || ends("m_s") || ends("_1_s") { 0.0 } else { -most }, most]
}

/// Whether a value may be absent by the report's own description.
fn absent(name: &str) -> bool {
    let never =
        ["freeze_s", "hand_mean_s", "hand_centre_s", "hand_s", "cooling_time_s", "runner_time_s", "cycle_s"];
    let none = [
        "feeder",
        "meets",
        "filled_after_s",
        "pressure_mpa",
        "pressure_when_set_mpa",
        "hold",
        "heat_w",
        "steel",
        "no_size",
    ];
    let size = [
        "oversize_factor",
        "oversize_by_loading_alone",
        "cavity_filled_percent",
        "moulding_shrinkage_percent",
    ];
    never.iter().any(|end| name.ends_with(end)) || none.contains(&name) || size.contains(&name)
}

/// Names of numbers that are not finite (null in JSON) or out of their range.
fn out_of_range(value: &Value, name: &str, found: &mut Vec<String>) {
    match value {
        Value::Number(n) => {
            let [least, most] = range(name);
            if !n.as_f64().is_some_and(|v| v >= least && v <= most) {
                found.push(format!("{name}: {n}"));
            }
        }
        // Times of what never happens are absent, and all numbers of what is not there at all.
        Value::Null if !absent(name) => found.push(format!("{name}: no number")),
        Value::Array(list) => list.iter().for_each(|v| out_of_range(v, name, found)),
        Value::Object(fields) => fields.iter().for_each(|(name, v)| out_of_range(v, name, found)),
        _ => {}
    }
}

fn wrong_numbers(of: &impl Serialize) -> Vec<String> {
    let mut found = Vec::new();
    out_of_range(&serde_json::to_value(of).expect("serialises"), "", &mut found);
    found
}

#[test]
fn what_does_not_flow_has_finite_numbers() {
    let s = case(FAR_TOO_STIFF);
    let report = evaluate(&s).expect("it is valid");
    assert_eq!(wrong_numbers(&report), Vec::<String>::new());
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
fn every_number_stays_inside_its_range() {
    for wild in [3, 9] {
        for s in on_one_grid(80, 33 + wild, wild) {
            let report = evaluate(&s).expect("it is valid");
            assert_eq!(wrong_numbers(&report), Vec::<String>::new(), "{}", s.to_json());
        }
    }
}

#[test]
fn no_passage_drops_more_pressure_than_the_nozzle_has() {
    for wild in [3, 9] {
        for s in on_one_grid(80, 43 + wild, wild) {
            let fill = evaluate(&s).expect("it is valid").fill;
            let most = fill.passages.iter().map(|p| p.pressure_drop_mpa).fold(0.0, f64::max);
            // At the end the nozzle has its last pressure, to the tolerance of the rate.
            let last = fill.history.nozzle_mpa.last().expect("there is a step");
            assert!(most <= last * 1.01 + 1e-9, "{most} of {last} MPa: {}", s.to_json());
            let allowed = s.machine.max_pressure * 1.01;
            let stress = fill.passages.iter().map(|p| p.wall_stress_kpa / 1e3).fold(0.0, f64::max);
            assert!(stress <= allowed, "{stress} MPa at a wall, of {allowed}: {}", s.to_json());
        }
    }
}

#[test]
fn windows_have_numbers_inside_their_ranges() {
    for wild in [3, 9] {
        for s in on_one_grid(6, 53 + wild, wild).iter().filter(|s| s.validate_plane().is_ok()) {
            let window = trace(s, Detail::Coarse).expect("it is valid");
            assert_eq!(wrong_numbers(&window), Vec::<String>::new(), "{}", s.to_json());
        }
    }
}
