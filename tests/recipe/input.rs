//! Bad recipes are refused with the field, the value and what is accepted.

use gatefrost_laboratory::recipe::Recipe;
use gatefrost_tests::build::merge;
use serde_json::{Value, json};

fn problems(changes: &Value) -> Vec<(String, String)> {
    let mut document = json!({
        "powder": "316l",
        "loading": { "volume_percent": 60 },
        "binder": [
            { "part": "paraffin_wax", "mass_fraction": 0.7 },
            { "part": "pp", "mass_fraction": 0.3 }
        ]
    });
    merge(&mut document, changes);
    let error = Recipe::from_json(&document.to_string()).expect_err("a bad recipe");
    error.problems.into_iter().map(|p| (p.path, p.message)).collect()
}

fn says(changes: Value, path: &str, words: &[&str]) {
    let found = problems(&changes);
    let hit = found.iter().find(|(p, _)| p == path);
    let (_, message) = hit.unwrap_or_else(|| panic!("{changes}: nothing at {path} in {found:?}"));
    for word in words {
        assert!(message.contains(word), "{changes}: {message:?} lacks {word:?}");
    }
}

#[test]
fn fractions_that_miss_one_are_said_to_by_how_much() {
    let parts = |a: f64, b: f64| {
        json!({ "binder": [
            { "part": "paraffin_wax", "mass_fraction": a },
            { "part": "pp", "mass_fraction": b }
        ] })
    };
    says(parts(0.7, 0.25), "binder", &["0.95", "0.05 short", "0.001"]);
    says(parts(0.7, 0.4), "binder", &["1.1", "0.1 too much"]);
    says(parts(1.2, -0.2), "binder.0.mass_fraction", &["1.2", "up to 1"]);
    says(parts(1.2, -0.2), "binder.1.mass_fraction", &["-0.2", "more than 0"]);
}

#[test]
fn unknown_keys_list_the_known_ones() {
    says(json!({ "powder": "kryptonite" }), "powder", &["kryptonite", "316l", "zro2_3y"]);
    let wax = json!({ "binder": [{ "part": "wax", "mass_fraction": 1 }] });
    says(wax, "binder.0.part", &["\"wax\"", "paraffin_wax", "pom"]);
    let twice = json!({ "binder": [
        { "part": "pp", "mass_fraction": 0.5 },
        { "part": "pp", "mass_fraction": 0.5 }
    ] });
    says(twice, "binder.1.part", &["pp", "twice"]);
    says(json!({ "binder": [] }), "binder", &["0 parts", "1 to 12"]);
}

#[test]
fn loadings_out_of_range_name_the_range() {
    says(json!({ "loading": { "volume_percent": 66 } }), "loading.volume_percent", &["66", "65 vol%"]);
    says(json!({ "loading": { "volume_percent": -1 } }), "loading.volume_percent", &["-1", "0 to"]);
    let heavy = json!({ "powder": "316l", "loading": { "mass_percent": 99 } });
    let mut document = json!({ "binder": [{ "part": "pp", "mass_fraction": 1 }] });
    merge(&mut document, &heavy);
    let error = Recipe::from_json(&document.to_string()).unwrap_err();
    assert_eq!(error.problems[0].path, "loading.mass_percent");
    says(json!({ "critical_loading": 95 }), "critical_loading", &["95", "20 to 90"]);
    says(json!({ "loading_exponent": 9 }), "loading_exponent", &["9", "0.5 to 4"]);
    says(json!({ "reference_temperature": 20 }), "reference_temperature", &["20", "60 to 400"]);
    says(json!({ "critical_loading_error": 11 }), "critical_loading_error", &["11", "0 to 10"]);
    let mut alone = json!({ "critical_loading_error": 1 });
    alone["critical_loading"] = json!(null);
    says(alone, "critical_loading_error", &["needs the critical_loading"]);
}

#[test]
fn every_problem_is_listed_at_once() {
    let found = problems(&json!({
        "powder": "x", "critical_loading": 1, "binder": [{ "part": "y", "mass_fraction": 2 }]
    }));
    assert!(found.len() >= 4, "{found:?}");
}

#[test]
fn unknown_fields_and_junk_are_refused_where_they_stand() {
    says(json!({ "colour": "red" }), "colour", &["is not known"]);
    let odd = json!({ "binder": [{ "part": "pp", "mass_fraction": 1, "smell": "sweet" }] });
    says(odd, "binder.0.smell", &["is not known"]);
    says(json!({ "loading_law": "eistein" }), "loading_law", &["eistein"]);
    for junk in ["", "[]", "null", "{", "\u{0}\u{1}", "{\"powder\": 3}"] {
        assert!(!Recipe::from_json(junk).unwrap_err().problems.is_empty(), "{junk:?}");
    }
}

#[test]
fn a_law_that_leaves_all_measure_is_refused_by_name() {
    // Mooney at 64.4 of 64.5 vol%: no scenario could hold such a viscosity.
    let mut document = json!({
        "powder": "316l", "loading": { "volume_percent": 64.4 }, "critical_loading": 64.5, "loading_law": "mooney",
        "binder": [{ "part": "pp", "mass_fraction": 1 }]
    });
    let recipe = Recipe::from_json(&document.to_string()).unwrap();
    let error = recipe.estimate().unwrap_err();
    assert_eq!(error.problems[0].path, "feedstock.flow_law.cross_wlf.d1");
    merge(&mut document, &json!({ "loading_law": "quemada" }));
    assert!(Recipe::from_json(&document.to_string()).unwrap().estimate().is_ok());
}

#[test]
fn a_recipe_survives_being_written_and_read() {
    for example in gatefrost_laboratory::recipe::EXAMPLES {
        let recipe = example.recipe();
        assert_eq!(Recipe::from_json(&recipe.to_json()), Ok(recipe), "{}", example.name);
    }
}
