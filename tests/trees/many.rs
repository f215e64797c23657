//! Tools of many and unlike branches.

use gatefrost_core::case::Case;
use gatefrost_core::scenario::{MAX_PASSAGES, Scenario, demo};
use gatefrost_report::evaluate;
use gatefrost_report::{HoldReport, Report, hold_study, moments};
use gatefrost_tests::build;
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};

/// The steel demo's feedstock and setting with other passages.
fn steel(passages: Value) -> Scenario {
    let mut document: Value =
        serde_json::from_str(&demo::default_demo().scenario().to_json()).expect("a demo is JSON");
    document["cavity"]["passages"] = passages;
    build::merge(
        &mut document,
        &json!({ "machine": { "max_pressure": 200, "max_rate": 500, "clamp_force": 5000, "shot_volume": 500 } }),
    );
    build::read(&document)
}

fn held(r: &Report) -> &HoldReport {
    r.hold.as_ref().expect("the part is full")
}

fn closes(r: &Report) {
    let fill = &r.fill.closures;
    assert!(fill.volume.abs() < 1e-9 && fill.enthalpy.abs() < 1e-6, "{fill:?}");
    let hold = r.hold.as_ref().map(|hold| &hold.closures);
    assert!(hold.is_none_or(|hold| hold.mass.abs() < 1e-6 && hold.enthalpy.abs() < 1e-3), "{hold:?}");
}

fn branch(name: &str, runner: f64, part: [f64; 3]) -> Vec<Value> {
    let [l, w, h] = part;
    vec![
        json!({ "name": format!("{name} runner"), "role": "runner", "after": "sprue", "form": { "tube": { "length": runner, "diameter": 4 } } }),
        json!({ "name": format!("{name} gate"), "role": "gate", "form": { "strip": { "length": 1.5, "width": 3, "thickness": 0.8 } } }),
        json!({ "name": name, "role": "part", "form": { "strip": { "length": l, "width": w, "thickness": h } } }),
    ]
}

fn sprue() -> Value {
    json!({ "name": "sprue", "role": "sprue", "form": { "tube": { "length": 40, "diameter": 3.5, "diameter_end": 5 } } })
}

/// Two unlike parts in one tool: each has its own gate and end, and once its gate is frozen each has been
/// packed about as it would be in a tool of its own.
#[test]
fn a_family_tool_packs_each_part_behind_its_own_gate() {
    let small = branch("small", 15.0, [15.0, 10.0, 1.5]);
    let large = branch("large", 25.0, [30.0, 14.0, 1.8]);
    let tool = |parts: &[&Vec<Value>]| {
        let mut passages = vec![sprue()];
        passages.extend(parts.iter().flat_map(|p| p.iter().cloned()));
        evaluate(&steel(json!(passages))).expect("valid")
    };
    let both = tool(&[&small, &large]);
    closes(&both);
    let names: Vec<&str> = held(&both).gates.iter().map(|g| g.name.as_str()).collect();
    assert_eq!(names, ["small gate", "large gate"]);
    for (name, gate) in [("small", "small gate"), ("large", "large gate")] {
        let end = held(&both).ends.iter().find(|e| e.name == name).expect("is an end");
        assert_eq!(end.gate, gate);
        let freeze = held(&both).gates.iter().find(|g| g.name == gate).expect("is a gate").freeze_s;
        assert_eq!(Some(end.sealed_after_s), freeze);
    }
    let (alone_small, alone_large) = (tool(&[&small]), tool(&[&large]));
    let masses = held(&alone_small).part_mass_g + held(&alone_large).part_mass_g;
    assert!(off(held(&both).part_mass_g, masses) < 3e-3, "{} against {masses} g", held(&both).part_mass_g);
    // The short way to the small part is the easier one.
    let filled = |name: &str| {
        both.fill.paths.iter().find(|p| p.end == name).expect("is a path").filled_after_s.expect("fills")
    };
    assert!(filled("small") < filled("large"));
    assert_eq!(both.fill.paths[0].end, "large", "the last to fill comes first");
}

/// As many passages as a scenario may have, no two branches alike.
#[test]
fn as_many_passages_as_there_may_be() {
    let mut passages = vec![sprue()];
    for k in 0..21 {
        passages.extend(branch(
            &format!("part {k}"),
            8.0 + f64::from(k),
            [10.0 + 0.5 * f64::from(k), 8.0, 1.2],
        ));
    }
    assert_eq!(passages.len(), MAX_PASSAGES);
    let mut s = steel(json!(passages));
    s.setup.injection_time = 1.0;
    let r = evaluate(&s).expect("valid");
    closes(&r);
    assert_eq!((held(&r).gates.len(), held(&r).ends.len(), r.fill.paths.len()), (21, 21, 21));
    let last = r.fill.paths.iter().map(|p| p.filled_after_s.expect("fills")).fold(0.0, f64::max);
    assert!(off(last, r.fill.fill_time_s) < 1e-9);
    passages.push(json!({ "name": "one more", "role": "part", "form": { "strip": { "length": 5, "width": 5, "thickness": 1 } } }));
    let mut more = s.clone();
    more.cavity.passages.push(more.cavity.passages[3].clone());
    let problems = evaluate(&more).expect_err("too many").problems;
    assert!(problems[0].message.contains("at most 64"), "{problems:?}");
}

/// A branch so thin that it freezes before it is full, beside one that fills: it is not shut, it crawls,
/// takes next to nothing, and neither balances nor numbers break.
#[test]
fn a_branch_that_freezes_breaks_nothing() {
    for thin in [0.25, 0.12] {
        let mut passages = vec![sprue()];
        passages.extend(branch("open", 15.0, [30.0, 14.0, 2.0]));
        passages.extend(branch("thin", 15.0, [40.0, 10.0, thin]));
        let mut s = steel(json!(passages));
        s.setup.injection_time = 3.0;
        s.setup.mould_temperature = 30.0;
        let case = Case::resolve(&s);
        let point = case.evaluate();
        let thin_cells = case.cavity.ranges[6].clone();
        let end = &point.fill.end;
        assert!(end.pressure.iter().chain(&end.temperature).all(|v| v.is_finite()));
        assert!(end.share.iter().all(|s| (0.0..=1.0).contains(s)));
        let coldest = thin_cells.map(|i| end.layer_temperatures(i)[0]).fold(f64::INFINITY, f64::min);
        assert!(
            coldest < case.material.no_flow,
            "{thin} mm: it has to freeze for this to mean anything: {coldest}"
        );
        let r = evaluate(&s).expect("valid");
        closes(&r);
        // The thin branch stays short at the machine's pressure: no hold is told of.
        assert!(r.hold.is_none() && !r.inside, "{thin} mm fills");
        let text = serde_json::to_string(&r.margins).expect("serialises");
        assert!(!text.contains("null"), "{text}");
        assert!(hold_study(&s).expect("valid").part_mass_g.is_empty());
        let followed = moments(&s).expect("valid");
        assert!(!serde_json::to_string(&followed).expect("serialises").contains("null"));
    }
}
