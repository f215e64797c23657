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
