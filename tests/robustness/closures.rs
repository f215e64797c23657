//! Random scenarios over the ranges of the catalogue: balances close, numbers are numbers.

use gatefrost_core::case::Case;
use gatefrost_core::fill;
use gatefrost_core::limits;
use gatefrost_core::scenario::{Scenario, link};
use gatefrost_core::stages::Stage;
use gatefrost_report::evaluate;
use gatefrost_report::{Moment, Outcome, Report, hold_study, moments};
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

/// What may be absent: times that the section never reaches, passages there are none of, what only a whole part
/// has, and its size with the reason why there is none.
const MAY_BE_ABSENT: [&str; 22] = [
    "hold",
    "fill.weld_lines.pressure_mpa",
    "after.oversize_factor",
    "after.oversize_by_loading_alone",
    "after.cavity_filled_percent",
    "after.moulding_shrinkage_percent",
    "after.no_size",
    "cavity.passages.feeder",
    "cavity.passages.meets",
    "fill.paths.filled_after_s",
    "fill.weld_lines.pressure_when_set_mpa",
    "hold.gate_freeze_s",
    "hold.gates.freeze_s",
    "hold.gates.centre_freeze_s",
    "hold.gates.hand_mean_s",
    "hold.gates.hand_centre_s",
    "cool.cooling_time_s",
    "cool.hand_s",
    "cool.runner_time_s",
    "cool.cycle_s",
    "cool.heat_w",
    "cool.steel",
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
    let end = fill::actual(&case.material, &case.cavity, case.drive).end;
    let b = end.balance;
    let left = b.inflow + b.dissipated - b.lost - end.stored();
    // One kelvin stands below, so that rounding is not compared with nothing.
    let scale = b.inflow + b.dissipated + case.material.volumetric_heat() * case.cavity.volume;
    left / scale
}

/// Numbers that may be absent and are there, but are no numbers: JSON does not tell them apart.
fn absent_or_finite(r: &Report) -> bool {
    let gates = r.hold.iter().flat_map(|hold| &hold.gates);
    let gates = gates.flat_map(|g| [g.freeze_s, g.centre_freeze_s, g.hand_mean_s, g.hand_centre_s]);
    let paths = r.fill.paths.iter().map(|p| p.filled_after_s);
    let others = [
        r.hold.as_ref().and_then(|hold| hold.gate_freeze_s),
        r.cool.cooling_time_s,
        r.cool.hand_s,
        r.cool.runner_time_s,
        r.cool.cycle_s,
    ];
    gates.chain(paths).chain(others).flatten().all(f64::is_finite)
}

fn problems(r: &Report, s: &Scenario) -> Vec<String> {
    let mut found = Vec::new();
    not_finite(&serde_json::to_value(r).expect("serialises"), "", &mut found);
    if !absent_or_finite(r) {
        found.push("a time that is no number".to_owned());
    }
    let short = r.fill.outcome == Outcome::ShortShot;
    if r.hold.is_none() != short || r.after.oversize_factor.is_none() != r.after.no_size.is_some() {
        found.push("absent without a reason, or there with one".to_owned());
    }
    if short && r.margins.iter().any(|m| limits::stage(m.limit) == Stage::Hold) {
        found.push("a limit of a part that is not there".to_owned());
    }
    let c = &r.fill.closures;
    let mut closes = |what: &str, closure: f64, most: f64| {
        // Written so that a closure that is not a number is caught too.
        if closure.is_nan() || closure.abs() > most {
            found.push(format!("{what} closure {closure:e}"));
        }
    };
    closes("volume", c.volume, 1e-9);
    closes("enthalpy", enthalpy_closure(s), 1e-9);
    if let Some(hold) = &r.hold {
        closes("hold's mass", hold.closures.mass, 1e-6);
        closes("hold's enthalpy", hold.closures.enthalpy, 1e-3);
    }
    if !(0.0..=100.0 + 1e-9).contains(&r.fill.filled_percent) {
        found.push(format!("filled {} %", r.fill.filled_percent));
    }
    if r.fill.nozzle_pressure_mpa > s.machine.max_pressure * (1.0 + 1e-9) {
        found.push(format!("nozzle at {} MPa", r.fill.nozzle_pressure_mpa));
    }
    found.sort();
    found.dedup();
    found
}

fn check(count: usize, seed: u64, wild: u64) {
    let mut failures = Vec::new();
    let mut branched = 0;
    for s in scenarios(count, seed, wild) {
        branched += usize::from(Case::resolve(&s).cavity.ends.len() > 1);
        let r = evaluate(&s).expect("it is valid");
        let found = problems(&r, &s);
        if !found.is_empty() {
            failures.push((found, s));
        }
    }
    assert!(branched > count / 20, "trees are among them: {branched} of {count}");
    if !failures.is_empty() {
        failures.sort_by_key(|(_, s)| s.cavity.passages.len());
        let (found, s) = &failures[0];
        let all: Vec<_> = failures.iter().map(|(found, _)| found).collect();
        panic!("{} of {count} fail: {all:?}\nthe smallest: {found:?}\n{}", failures.len(), s.to_json());
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

/// The cycle moment by moment, and the study of the hold: numbers, in order of time.
#[test]
fn moments_and_hold_study_are_numbers() {
    for s in [scenarios(25, 5, 3), scenarios(25, 6, 9)].concat() {
        let moments = moments(&s).expect("valid");
        let mut found = Vec::new();
        not_finite(&serde_json::to_value(&moments).expect("serialises"), "", &mut found);
        assert!(found.is_empty(), "{found:?}\n{}", s.to_json());
        let rising = moments.moments.windows(2).all(|m| m[1].time_s >= m[0].time_s);
        assert!(rising, "{}", s.to_json());
        let share = |m: &Moment| m.filled.iter().all(|f| (0.0..=1.0 + 1e-9).contains(f));
        assert!(moments.moments.iter().all(share), "{}", s.to_json());
        let study = hold_study(&s).expect("valid");
        let numbers = study.hold_time_s.iter().chain(&study.part_mass_g).chain(&study.shrinkage_percent);
        assert!(numbers.clone().all(|v| v.is_finite()), "{study:?}\n{}", s.to_json());
        assert!(study.hold_time_s.windows(2).all(|t| t[1] > t[0]), "{study:?}\n{}", s.to_json());
    }
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
