//! `gatefrost start`: parts to begin with.

mod common;

use common::run;
use gatefrost_core::scenario::start::Shelf;
use gatefrost_core::scenario::{Form, Role, Scenario};
use gatefrost_core::start::hold_until_frozen;

#[test]
fn every_part_is_printed_as_a_scenario() {
    let list = run(&["start", "--list"]).out;
    let shelf = Shelf::read();
    for start in &shelf.parts {
        let printed = run(&["start", &start.name]);
        assert_eq!((printed.code, printed.err.as_str()), (0, ""));
        let mut made = start.scenario(&[], None, None, 1).expect("made");
        hold_until_frozen(&mut made);
        assert_eq!(Scenario::from_json(&printed.out), Ok(made));
        assert!(list.lines().any(|l| l.starts_with(&start.name) && l.contains(&start.title)), "{list}");
    }
    for gate in &shelf.gates {
        assert!(list.contains(&gate.words) && list.contains(&gate.source), "{}", gate.name);
    }
}

#[test]
fn sizes_and_gate_are_taken() {
    let printed = run(&["start", "bar", "--sizes", "3, 60", "--gate", "fan"]).out;
    let cavity = Scenario::from_json(&printed).expect("a scenario").cavity;
    let of = |role| &cavity.passages.iter().find(|p| p.role == role).expect("there is one").form;
    let (Form::Strip(bar), Form::Strip(fan)) = (of(Role::Part), of(Role::Gate)) else { panic!() };
    assert_eq!((bar.thickness, bar.length, bar.width), (3.0, 60.0, 8.0));
    assert_eq!((fan.width, fan.width_end), (6.0, Some(8.0)));
}

#[test]
fn cavities_stand_on_a_balanced_runner() {
    let cavity =
        Scenario::from_json(&run(&["start", "bar", "--cavities", "4"]).out).expect("a scenario").cavity;
    let copies: Vec<u32> = cavity.passages.iter().map(|p| p.copies).collect();
    assert_eq!(copies, [1, 2, 4, 4, 4], "sprue, two levels of the runner, gates, bars");
}

/// The part stays; settings and binder become those of the family.
#[test]
fn a_family_brings_its_usual_numbers() {
    let of = |args: &[&str]| Scenario::from_json(&run(args).out).expect("a scenario");
    let (plain, acetal) = (of(&["start", "bar"]), of(&["start", "bar", "--family", "polyacetal"]));
    assert_eq!(acetal.cavity, plain.cavity);
    assert_eq!((acetal.setup.melt_temperature, acetal.setup.mould_temperature), (190.0, 130.0));
    let wrong = run(&["start", "bar", "--family", "butter"]);
    assert!(wrong.code == 2 && wrong.err.contains("polyacetal"), "{}", wrong.err);
}

#[test]
fn what_cannot_be_is_named() {
    for (args, code, words) in [
        (&["start", "teapot"][..], 1, &["teapot", "bar, plate"][..]),
        (&["start", "bar", "--gate", "garden"], 1, &["garden", "edge, tunnel"]),
        (
            &["start", "bar", "--sizes", "2,zero,-1"],
            1,
            &["Length is \"zero\"", "Width is \"-1\"", "0.05 to 5000 mm"],
        ),
        (&["start", "bar", "--sizes", "1,2,3,4"], 1, &["4 are given", "bar has 3"]),
        (&["start", "plate", "--sizes", "2,5,40"], 1, &["The width is 40 mm, and the length is 5 mm."]),
        (&["start", "bar", "--sizes", "12"], 1, &["The wall is 12 mm, and the width is 8 mm."]),
        (&["start", "bar", "--cavities", "3"], 2, &["1, 2, 4, 8"]),
        (&["start"], 2, &["NAME"]),
        (&["start", "bar", "--list"], 2, &["cannot be used with"]),
    ] {
        let run = run(args);
        assert_eq!(run.code, code, "{args:?}: {}", run.err);
        assert_eq!(run.out, "", "{args:?}");
        assert!(words.iter().all(|w| run.err.contains(w)), "{args:?}: {}", run.err);
    }
}
