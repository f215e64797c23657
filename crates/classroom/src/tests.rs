//! Laws that hold for every exercise.

use crate::draw::StudentId;
use crate::exercises::{ALL, Exercise};
use crate::judge::judge;
use crate::task::Task;
use gatefrost_core::format::number;

fn ids(count: u32) -> impl Iterator<Item = StudentId> {
    (1..=count).map(|k| StudentId::read(&format!("s{k:03}")).expect("an id"))
}

pub(crate) fn tasks(exercise: &Exercise, count: u32) -> Vec<Task> {
    ids(count).map(|id| exercise.task(&id)).collect()
}

/// The formula that a student works by hand and the core's own function were written apart.
#[test]
fn the_formula_by_hand_and_the_core_agree() {
    for exercise in ALL {
        for (task, id) in tasks(exercise, 40).iter().zip(ids(40)) {
            for asked in &task.asked {
                let (hand, model) = (asked.by_hand(), asked.model);
                let apart = (hand / model - 1.0).abs();
                assert!(
                    apart <= 0.25 * asked.tolerance,
                    "{} {} of {}: {hand} by hand, {model} by the core",
                    exercise.name,
                    asked.line.result.letter,
                    id.text()
                );
            }
        }
    }
}

#[test]
fn every_formula_has_the_dimension_of_its_result() {
    for exercise in ALL {
        for task in tasks(exercise, 3) {
            for line in task.asked.iter().flat_map(|asked| asked.steps.iter().chain([&asked.line])) {
                assert_eq!(line.check(), Ok(()), "{}", exercise.name);
            }
        }
    }
}

/// No two students in sequence share an answer, none of the data is trivial, and no wrong way is right.
#[test]
fn two_hundred_ids_in_sequence_have_their_own_answers() {
    for exercise in ALL {
        let tasks = tasks(exercise, 200);
        for pair in tasks.windows(2) {
            for (a, b) in pair[0].asked.iter().zip(&pair[1].asked) {
                let near = a.is_near(a.by_hand(), b.by_hand()) || b.is_near(b.by_hand(), a.by_hand());
                assert!(!near, "{}: {} and {}", exercise.name, a.by_hand(), b.by_hand());
            }
        }
        for asked in tasks.iter().flat_map(|task| &task.asked) {
            for mistake in &asked.mistakes {
                assert!(!asked.is_near(asked.by_hand(), mistake.value), "{} {}", exercise.name, mistake.key);
            }
        }
    }
}

/// A right answer gets all points in whatever unit, and each wrong way gets its own sentence.
#[test]
fn right_answers_are_right_and_wrong_ways_are_named() {
    for exercise in ALL {
        for task in tasks(exercise, 12) {
            for asked in &task.asked {
                let unit = asked.line.result.unit;
                let text =
                    |si: f64, digits: usize| format!("{:.*e} {}", digits - 1, unit.of_si(si), unit.sign);
                let right = judge(asked, asked.model, &text(asked.by_hand(), asked.figures[0] as usize + 1));
                assert_eq!(right.points(), 100, "{} {right:?}", exercise.name);
                let decimal_comma = text(asked.by_hand(), 4).replace('.', ",");
                assert!(judge(asked, asked.model, &decimal_comma).value, "{} {decimal_comma}", exercise.name);
                for mistake in asked.mistakes.iter().filter(|mistake| mistake.value.is_finite()) {
                    let wrong = judge(asked, asked.model, &text(mistake.value, 6));
                    assert!(!wrong.value, "{} {}", exercise.name, mistake.key);
                    let named = wrong.feedback[0].key();
                    let known = asked.mistakes.iter().any(|other| other.key == named);
                    assert!(known, "{}: {} is told as {named}", exercise.name, mistake.key);
                }
            }
        }
    }
}

/// What one student was given. It may never change while the version of the exercise stays.
#[test]
fn what_was_drawn_once_is_drawn_for_ever() {
    let found: String = ALL
        .iter()
        .flat_map(|exercise| {
            ["ada lovelace", "s001", "12345"].map(|id| {
                let task = exercise.task(&StudentId::read(id).expect("an id"));
                let data: Vec<String> = task
                    .given
                    .iter()
                    .map(|symbol| {
                        format!("{} {} {}", symbol.letter, number(symbol.value, 6), symbol.unit.sign)
                    })
                    .collect();
                format!("{} {} {id}: {}\n", exercise.name, exercise.version, data.join(", "))
            })
        })
        .collect();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/drawn.txt");
    if std::env::var_os("GATEFROST_DRAWN").is_some_and(|value| value == "write") {
        std::fs::write(path, &found).expect("the fixture");
    }
    assert_eq!(found, std::fs::read_to_string(path).unwrap_or_default());
}
