//! What each command prints, writes and returns.

mod common;

use common::{demo, program, run, run_on, scratch};
use gatefrost_core::scenario::Scenario;
use gatefrost_core::scenario::demo::DEMOS;
use gatefrost_core::{catalogue, evaluate};
use serde_json::Value;
use std::process::Stdio;

#[test]
fn every_demo_goes_round_through_a_report_that_the_core_gives_too() {
    assert_eq!(run(&["demo"]).out, run(&["demo", DEMOS[0].name]).out);
    for d in DEMOS {
        let printed = run(&["demo", d.name]);
        assert_eq!(printed.code, 0);
        let scenario = Scenario::from_json(&printed.out).expect("a demo is a scenario");
        let reported = run_on(&["report", "-"], printed.out.as_bytes());
        // As text: it holds every digit.
        let own = evaluate(&scenario).expect("valid");
        let own = serde_json::to_string_pretty(&own).expect("JSON");
        assert!(reported.out.trim_end() == own, "{}: the report differs from the core's", d.name);
        let report = reported.json();
        assert!(report["fill"]["closures"]["volume"].as_f64().expect("a number").abs() < 1e-9);
    }
}

#[test]
fn the_list_names_every_demo_with_its_title() {
    let list = run(&["demo", "--list"]).out;
    for (line, d) in list.lines().zip(DEMOS) {
        assert!(line.starts_with(d.name) && line.ends_with(&d.scenario().name), "{line}");
    }
    assert_eq!(list.lines().count(), DEMOS.len());
    let unknown = run(&["demo", "teapot"]);
    assert_eq!(unknown.code, 1);
    assert!(unknown.err.contains("teapot") && unknown.err.contains(DEMOS[0].name), "{}", unknown.err);
}

#[test]
fn a_window_gives_its_lines_as_json_and_its_figure_beside_the_file() {
    let dir = scratch("window");
    let file = dir.join("part.json");
    std::fs::write(&file, demo().to_string()).expect("written");
    let name = file.to_str().expect("UTF-8");
    let traced = run(&["window", "--coarse", name]);
    let window = traced.json();
    let lines = window["lines"].as_array().expect("lines");
    assert!(!lines.is_empty());
    let svg = std::fs::read_to_string(dir.join("part.svg")).expect("the figure is there");
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"));
    for line in lines {
        let label = line["label"].as_str().expect("text").replace('\'', "&apos;");
        assert!(svg.contains(&label), "{label}");
    }
    assert!(traced.err.contains("part.svg"), "{}", traced.err);

    let elsewhere = dir.join("other.svg");
    let asked = run(&["window", name, "--coarse", "--svg", elsewhere.to_str().expect("UTF-8")]);
    assert_eq!(asked.json(), window);
    assert_eq!(std::fs::read_to_string(elsewhere).expect("there"), svg);
}

#[test]
fn from_standard_input_the_figure_goes_into_the_working_directory() {
    let dir = scratch("piped");
    let file = dir.join("part.json");
    std::fs::write(&file, demo().to_string()).expect("written");
    let status = program(&["window", "-", "--coarse"])
        .current_dir(&dir)
        .stdin(std::fs::File::open(&file).expect("readable"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("runs");
    assert!(status.success());
    assert!(dir.join("window.svg").exists());
}

#[test]
fn a_figure_never_overwrites_the_scenario_and_a_bad_place_is_named() {
    let dir = scratch("overwrite");
    let file = dir.join("part.svg");
    let text = demo().to_string();
    std::fs::write(&file, &text).expect("written");
    let name = file.to_str().expect("UTF-8");
    assert_eq!(run(&["window", "--coarse", name]).code, 2);
    assert_eq!(std::fs::read_to_string(&file).expect("there"), text);
    let nowhere = run(&["window", "--coarse", name, "--svg", "no/such/place.svg"]);
    assert_eq!(nowhere.code, 1);
    assert!(nowhere.err.contains("no/such/place.svg"), "{}", nowhere.err);
}

#[test]
fn a_link_carries_a_changed_scenario_and_a_broken_one_says_what_is_wrong() {
    let mut changed = demo();
    common::put(&mut changed, "/setup/melt_temperature", 171.5.into());
    common::put(&mut changed, "/notes", "<b>ü</b>; = #".into());
    let link = run_on(&["link", "-"], changed.to_string().as_bytes()).out;
    assert!(link.contains("T=171.5"), "{link}");
    assert_eq!(run(&["open", link.trim()]).json(), changed);
    let address = format!("https://example.org/page/#{}", link.trim());
    assert_eq!(run(&["open", &address]).json(), changed);

    let broken = run(&["open", "1;d=hinge;T=hot"]);
    assert_eq!(broken.code, 1);
    assert!(broken.err.contains('T') && broken.err.contains("hot") && broken.err.contains("20 to 450 °C"));
    let opened: Value = serde_json::from_str(&broken.out).expect("what could be read still opens");
    assert_eq!(opened["setup"]["melt_temperature"], demo()["setup"]["melt_temperature"]);
}

#[test]
fn the_parameters_are_the_catalogue() {
    let listed = run(&["parameters"]).json();
    assert_eq!(listed.as_array().expect("a list").len(), catalogue::all().count());
    let tables = run(&["parameters", "--markdown"]).out;
    let rows = tables.lines().filter(|l| l.starts_with("| `")).count();
    assert_eq!(rows, catalogue::all().count());
    for line in tables.lines().filter(|l| l.starts_with('|')) {
        assert_eq!(line.replace("\\|", "").matches('|').count(), 8, "{line}");
    }
}

#[test]
fn help_and_version_are_printed_and_wrong_calls_end_with_two() {
    let help = run(&["--help"]);
    assert_eq!(help.code, 0);
    for command in ["demo", "report", "window", "link", "open", "recipe", "fit", "critical", "parameters"] {
        assert!(help.out.contains(&format!("gatefrost {command}")), "{command}");
    }
    assert_eq!(run(&["report", "--help"]).out, help.out);
    assert_eq!(run(&["--version"]).out.trim(), format!("gatefrost {}", env!("CARGO_PKG_VERSION")));
    for args in [&[] as &[&str], &["report"], &["forge"], &["report", "-", "--quick"]] {
        let wrong = run(args);
        assert_eq!(wrong.code, 2, "{args:?}");
        assert!(wrong.out.is_empty() && wrong.err.contains("--help"), "{args:?}: {}", wrong.err);
    }
}

#[test]
fn a_reader_that_stops_reading_is_no_error() {
    let mut child = program(&["report", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    // The reader is gone before the scenario arrives, so the report meets a closed pipe.
    drop(child.stdout.take());
    let mut stdin = child.stdin.take().expect("piped");
    std::io::Write::write_all(&mut stdin, demo().to_string().as_bytes()).expect("read");
    drop(stdin);
    let output = child.wait_with_output().expect("ends");
    assert!(output.status.success());
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}
