//! Explanations of results: the list, one as text, one as JSON, and what is refused.

mod common;

use common::{demo, isothermal, run, run_on};
use serde_json::json;

#[test]
fn every_result_that_is_listed_can_be_explained() {
    let document = demo().to_string();
    let on = |args: &[&str]| run_on(args, document.as_bytes());
    let list = on(&["explain", "-", "--json"]).json();
    let list = list.as_array().expect("a list");
    assert!(list.len() >= 40, "{}", list.len());
    let report = on(&["report", "-"]).json();
    let after = on(&["after", "-"]).json();
    for listed in list.iter().step_by(9) {
        let name = listed["name"].as_str().expect("text");
        let (document, inside) =
            name.strip_prefix("plan.").map_or((&report, name), |inside| (&after, inside));
        let there = document.pointer(&format!("/{}", inside.replace('.', "/")));
        assert_eq!(there.and_then(serde_json::Value::as_f64), listed["value"].as_f64(), "{name}");
        assert!(on(&["explain", "-"]).out.contains(name), "{name}");
        let told = on(&["explain", name, "-", "--json"]).json();
        assert_eq!(told["key"].as_str(), Some(name));
        assert!(told["equation"].as_str().is_some_and(|set| set.starts_with("<math")), "{told}");
    }
}

/// The closed form of a slit: 0.8307 MPa for 10 cm³/s through 20 × 2 × 50 mm. Nothing but the equation is solved here,
/// so the result agrees with the estimate.
#[test]
fn the_text_holds_the_formula_with_its_numbers() {
    let slit = isothermal(json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } }), 0.2).to_string();
    let told = run_on(&["explain", "nozzle", "-"], slit.as_bytes());
    assert_eq!(told.code, 0, "{}", told.err);
    for said in [
        "γ̇_a = 6·Q/(w·h²)",
        "γ̇_a = 6·10 cm³/s/(20 mm·(2 mm)²) = 750 1/s",
        "= 0.8307 MPa",
        "What moves it most",
        "Limit: short shot",
        "The estimate agrees within 0.5 %.",
        "results.html#fill.nozzle_pressure_mpa",
    ] {
        assert!(told.out.contains(said), "{said:?} is missing from\n{}", told.out);
    }
}

#[test]
fn what_is_no_result_is_refused_and_what_may_mean_several_is_named() {
    let document = demo().to_string();
    let on = |args: &[&str]| run_on(args, document.as_bytes());
    let unknown = on(&["explain", "nothing", "-"]);
    assert!(unknown.code == 1 && unknown.err.contains("\"nothing\" is no result"), "{}", unknown.err);
    let several = on(&["explain", "shrinkage", "-"]);
    assert!(several.code == 1 && several.err.contains("hold.shrinkage_percent"), "{}", several.err);
    assert_eq!(run(&["explain"]).code, 2);
    assert_eq!(run(&["explain", "a", "b", "c"]).code, 2);
}
