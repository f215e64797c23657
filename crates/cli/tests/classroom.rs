//! `gatefrost classroom`: from the task to the slips of a class.

mod common;

use common::{run, run_on};

#[test]
fn a_task_is_solved_and_the_key_agrees_with_the_solution() {
    assert!(run(&["classroom", "list"]).json().as_array().is_some_and(|list| list.len() >= 15));
    assert_eq!(run(&["classroom", "task", "solvent", "--id", " S001 "]).json()["id"], "s001");
    let solved = run(&["classroom", "task", "solvent", "--id", "s001", "--solution"]).json();
    let key = run_on(&["classroom", "key", "-", "--exercise", "solvent"], b"s001\ns002\n");
    let first = key.out.lines().nth(1).expect("a line").split(',').collect::<Vec<_>>();
    let by_hand = solved[0]["by_hand"].as_str().expect("a text");
    let number: f64 = by_hand.split(' ').next().expect("a number").parse().expect("a number");
    assert!((first[4].parse::<f64>().expect("a number") / number - 1.0).abs() < 1e-3, "{first:?} {by_hand}");
    assert_eq!(key.out.lines().count(), 5);
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    for (call, words) in [
        (&["classroom", "task", "nothing", "--id", "a"][..], "is not one; there are loading-by-mass"),
        (&["classroom", "task", "gate", "--id", " "][..], "Student id: nothing was typed"),
    ] {
        let ended = run(call);
        assert!(ended.code == 1 && ended.err.contains(words), "{}", ended.err);
    }
    let slips = run_on(&["classroom", "slips", "-"], b"GF1 | a | gate/1 | hints 0 | 1 | 2 | 0000\n");
    assert!(slips.err.contains("line 1: This line was changed"), "{}", slips.err);
    assert_eq!(slips.out.lines().count(), 1);
}

const OWN: &str = r#"{
  "gatefrost_exercise": 1,
  "title": "When the gate freezes",
  "task": "Find the time of gate freeze.",
  "hints": ["$t_g = h^2/(pi^2 alpha)$"],
  "scenario": "2;d=hinge",
  "inputs": [{"path": "setup.melt_temperature", "drawn": {"from": 160, "to": 175, "step": 2.5}}],
  "asked": [{"path": "hold.gate_freeze_s", "tolerance_percent": 3, "figures": [2, 4], "points": 2}],
  "window": false
}"#;

/// A lecturer's own exercise: from its file to the link, the key and the slips of a class.
#[test]
fn an_exercise_of_a_lecturer_goes_its_way() {
    let link = run_on(&["classroom", "own", "link", "-"], OWN.as_bytes()).out;
    assert!(link.starts_with("own=1") && link.len() < 320, "{link}");
    let opened = run(&["classroom", "own", "open", &format!("#{}", link.trim())]).out;
    assert_eq!(run_on(&["classroom", "own", "link", "-"], opened.as_bytes()).out, link);
    let spans = run_on(&["classroom", "own", "check", "-"], OWN.as_bytes()).json();
    assert_eq!((&spans[0]["missing"], &spans[0]["cases"]), (&0.into(), &5.into()));
    let task = run(&["classroom", "own", "task", link.trim(), "--id", "S1"]).json();
    assert_eq!((task["id"].as_str(), task["window"].is_null()), (Some("s1"), true));
    let answers = run(&["classroom", "own", "task", link.trim(), "--id", "s1", "--solution"]).json();
    let key = run_on(&["classroom", "own", "key", link.trim(), "-"], b"s1\ns2\n").out;
    let first = key.lines().nth(1).expect("a line");
    let told = answers[0].as_str().expect("a text").split(' ').next().expect("a number");
    assert!(first.starts_with("s1,own/") && first.contains(told), "{first} {told}");
    assert_eq!(key.lines().count(), 3);
    let demo = run(&["demo", "guide"]).out;
    let choices = run_on(&["classroom", "own", "choices", "-"], demo.as_bytes()).json();
    assert_eq!(choices["scenario"], "2;d=guide");
    let refused =
        run_on(&["classroom", "own", "slips", link.trim(), "-"], b"GF1 | a | gate/1 | hints 0 | 1 | 0000\n");
    assert!(refused.err.contains("line 1: This line was changed"), "{}", refused.err);
    let broken = run(&["classroom", "own", "link", &link.trim()[..40]]);
    assert!(broken.code == 1 && broken.err.contains("The link cannot be read"), "{}", broken.err);
    let wrong = run_on(&["classroom", "own", "check", "-"], OWN.replace("175", "900").as_bytes());
    assert!(
        wrong.code == 1 && wrong.err.contains("Input 1, to is 900. Accepted is a number, 20 to 450"),
        "{}",
        wrong.err
    );
}
