//! Many scenarios in one call, completion for shells and manual pages.

mod common;

use common::{demo, run, run_on};
use serde_json::Value;

/// Reports come in the order of their lines, each the same as alone; a bad line costs only itself.
#[test]
fn a_line_gives_the_report_that_it_gives_alone() {
    let mut scenarios: Vec<String> = Vec::new();
    for melt in [160, 165, 170, 175, 180] {
        let mut scenario = demo();
        scenario["setup"]["melt_temperature"] = melt.into();
        scenarios.push(scenario.to_string());
    }
    let mut lines = scenarios.clone();
    lines.insert(2, r#"{"gatefrost": 1, "setup": {"melt_temperature": 9999}}"#.to_owned());
    lines.insert(4, "no JSON".to_owned());
    let answer = run_on(&["report", "--lines", "-"], (lines.join("\n\n") + "\n").as_bytes());
    assert_eq!(answer.code, 1, "{}", answer.err);
    assert!(answer.err.contains("2 of the lines"), "{}", answer.err);
    let mut answers: Vec<Value> =
        answer.out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(answers.len(), lines.len());
    for bad in [answers.remove(4), answers.remove(2)] {
        assert!(bad["problems"][0]["message"].is_string(), "{bad}");
    }
    for (scenario, report) in scenarios.iter().zip(&answers) {
        assert_eq!(&run_on(&["report", "-"], scenario.as_bytes()).json(), report);
    }
}

#[test]
fn no_line_gives_no_report() {
    let answer = run_on(&["report", "--lines", "-"], b"");
    assert_eq!((answer.code, answer.out.as_str()), (0, ""));
}

/// Twice as many lines as are held at a time come through, and a line without an end is refused.
#[test]
fn more_lines_than_are_held_come_through_and_a_line_without_an_end_is_refused() {
    let many = "{}\n".repeat(1000);
    let answer = run_on(&["report", "--lines", "-"], many.as_bytes());
    assert_eq!(answer.out.lines().count(), 1000);
    let endless = "x".repeat(4 << 20);
    let answer = run_on(&["report", "--lines", "-"], endless.as_bytes());
    assert_eq!(answer.code, 1);
    assert!(answer.err.contains("line 1 has more than"), "{}", answer.err);
}

#[test]
fn shells_and_manual_pages_know_every_command() {
    let bash = run(&["completions", "bash"]);
    assert_eq!(bash.code, 0, "{}", bash.err);
    let manual = run(&["manual"]);
    assert!(manual.out.contains(".TH gatefrost 1"), "{}", manual.out);
    for command in ["report", "window", "safety", "fit"] {
        assert!(bash.out.contains(command), "{command}");
        assert!(manual.out.contains(command), "{command}");
    }
    let folder = std::env::temp_dir().join(format!("gatefrost-manual-{}", std::process::id()));
    let written = run(&["manual", "--folder", folder.to_str().expect("a path that is text")]);
    assert_eq!(written.code, 0, "{}", written.err);
    let page = std::fs::read_to_string(folder.join("gatefrost-report.1")).expect("a page for each command");
    std::fs::remove_dir_all(&folder).expect("the folder is ours");
    assert!(page.contains("lines") && page.contains(".TH gatefrost-report 1"), "{page}");
}
