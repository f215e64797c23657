//! What each command prints, writes and returns.

mod common;

use common::{demo, program, put, run, run_on, scratch};
use gatefrost_core::catalogue;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::scenario::demo::DEMOS;
use gatefrost_report::evaluate;
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
fn bands_and_another_scenario_lie_over_a_window() {
    let dir = scratch("beside");
    let file = dir.join("pawl.json");
    std::fs::write(&file, run(&["demo", "pawl"]).out).expect("written");
    let (name, svg) = (file.to_str().expect("UTF-8"), dir.join("both.svg"));
    let out = svg.to_str().expect("UTF-8");
    let hinge = run(&["demo", "hinge"]).out;
    let both = run_on(&["window", name, "--beside", "-", "--coarse", "--svg", out], hinge.as_bytes()).json();
    assert!(!both["bands"]["bands"].as_array().expect("bands").is_empty());
    assert_eq!(both["beside"]["window"]["plane"], both["plane"]);
    assert_eq!(both["beside"]["name"], demo()["name"]);
    assert!(!both["differences"].as_array().expect("a list").is_empty());
    let drawn = std::fs::read_to_string(&svg).expect("the figure is there");
    assert!(drawn.contains("95 % band of each line") && drawn.contains("Long-dashed double line"));
    // The other way round nothing is known of an uncertainty.
    let plain = run_on(&["window", "-", "--beside", name, "--coarse", "--svg", out], hinge.as_bytes()).json();
    assert!(plain.get("bands").is_none());

    // In a plane of gate depths, a scenario without a gate is refused by name.
    let mut deep = demo();
    put(&mut deep, "/window/x", serde_json::json!({ "axis": "gate_depth", "from": 0.4, "to": 1.6 }));
    std::fs::write(&file, deep.to_string()).expect("written");
    let mut other = demo();
    put(&mut other, "/cavity/passages/2/role", "runner".into());
    let refused = run_on(&["window", name, "--beside", "-", "--svg", out], other.to_string().as_bytes());
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("standard input: window.x.axis"), "{}", refused.err);
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
    put(&mut changed, "/setup/melt_temperature", 171.5.into());
    put(&mut changed, "/notes", "<b>ü</b>; = #".into());
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

    // One text that is too long costs neither temperature nor loading.
    let long = format!("1;d=hinge;T=172;phi=57;name={}", "x".repeat(200));
    let kept = run(&["open", &long]);
    assert_eq!(kept.code, 1);
    assert_eq!(kept.err.lines().count(), 1, "{}", kept.err);
    assert!(!kept.err.contains("only the name"), "{}", kept.err);
    assert!(kept.err.contains("Name of the scenario has 200 characters; at most 120"), "{}", kept.err);
    let opened: Value = serde_json::from_str(&kept.out).expect("the rest");
    assert_eq!(
        (&opened["setup"]["melt_temperature"], &opened["feedstock"]["solids_loading"]),
        (&172.0.into(), &57.0.into())
    );

    // Of a link of which only the demo's name can be read, that is said.
    let bare = run(&["open", "1;d=hinge;T=abc;phi=xx"]);
    assert!(bare.err.contains("165 °C of the demo stands in its place"), "{}", bare.err);
    assert!(bare.err.contains("only the name of its demo could be read"), "{}", bare.err);
    let unknown: String = (0..60).map(|i| format!(";zz{i}=1")).collect();
    let many = run(&["open", &format!("1;d=hinge;T=172{unknown}")]);
    assert!(many.err.contains("link: 20 more entries were left out"), "{}", many.err);

    // A demo would be taken for what the sender meant.
    for nothing in ["junk", "7;d=hinge;T=172", "1;zz=3"] {
        let nothing = run(&["open", nothing]);
        assert_eq!((nothing.code, nothing.out.as_str()), (1, ""), "{}", nothing.err);
        assert!(nothing.err.contains("nothing in it could be read"), "{}", nothing.err);
    }
}

#[test]
fn the_moments_of_a_cycle_are_printed_as_json_and_as_a_table_of_every_cell() {
    let yoke = run(&["demo", "yoke"]).out;
    let found = run_on(&["moments", "-"], yoke.as_bytes()).json();
    let moments = found["moments"].as_array().expect("moments");
    let cells = found["cells"].as_array().expect("cells").len();
    let time = |m: &Value| m["time_s"].as_f64().expect("a number");
    assert!(moments.windows(2).all(|pair| time(&pair[0]) <= time(&pair[1])), "in order");
    let stages: Vec<&str> = moments.iter().map(|m| m["stage"].as_str().expect("text")).collect();
    assert_eq!([stages[0], stages[stages.len() - 1]], ["fill", "cool"]);
    assert!(moments.iter().all(|m| m["filled"].as_array().expect("a list").len() == cells));
    // Somewhere melt comes from the far end: the fronts of the two arms meet.
    let backwards = |m: &Value| m["backwards"].as_array().expect("a list").contains(&true.into());
    assert!(moments.iter().any(backwards));

    let csv = run_on(&["moments", "-", "--csv"], yoke.as_bytes()).out;
    let rows: Vec<Vec<&str>> = csv.lines().map(|line| line.trim_end().split(',').collect()).collect();
    assert_eq!(rows.len(), 1 + moments.len() * cells, "one row for each moment and cell");
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    assert_eq!(rows[0][..4], ["Time [s]", "Part of the cycle", "Nozzle pressure [MPa]", "Passage"]);
    let pressure = rows[0].iter().position(|head| *head == "Pressure [MPa]").expect("a column");
    let (last, cell) = (&moments[moments.len() - 1], cells - 1);
    let row = &rows[moments.len() * cells];
    assert_eq!(row[3], "far arm");
    assert_eq!(row[pressure].parse().ok(), last["pressure_mpa"][cell].as_f64());
}

#[test]
fn the_hold_study_says_what_holding_longer_brings_and_why_gates_freeze() {
    let yoke = run(&["demo", "yoke"]).out;
    let study = run_on(&["hold", "-"], yoke.as_bytes()).json();
    let list = |name: &str| -> Vec<f64> {
        study[name].as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
    };
    let (times, mass) = (list("hold_time_s"), list("part_mass_g"));
    let freeze = study["gate_freeze_s"].as_f64().expect("it freezes");
    assert!(times.windows(2).all(|p| p[1] > p[0]));
    let at = |t: f64| mass[times.iter().position(|x| *x >= t).expect("so long a hold")];
    assert!(at(0.3 * freeze) < at(1.2 * freeze) * 0.9999, "longer holding packs more, {mass:?}");
    let last = mass[mass.len() - 1];
    assert!((at(1.2 * freeze) / last - 1.0).abs() < 1e-4, "a frozen gate lets nothing more in, {mass:?}");
    for gate in study["gates"].as_array().expect("gates") {
        let time = |name: &str| gate[name].as_f64().expect("a number");
        assert!(time("without_creep_s") < time("freeze_s"), "creeping melt keeps it open");
        assert!(time("without_latent_s") < time("without_creep_s"), "latent heat does");
        assert!(time("perfect_contact_s") < time("without_latent_s"), "a poor contact does");
    }
    let csv = run_on(&["hold", "-", "--csv"], yoke.as_bytes()).out;
    let mut lines = csv.lines();
    let head = "Hold time [s],Mass of the parts [g],\"Shrinkage of the worst 10 %, by volume [%]\"";
    assert_eq!(lines.next().map(str::trim_end), Some(head));
    let first: Vec<f64> =
        lines.next().expect("a row").split(',').map(|v| v.trim().parse().expect("a number")).collect();
    assert_eq!(first[..2], [times[0], mass[0]]);
}

/// What the program says of a set point's safety holds together: what is taken from it bears as much when
/// asked again.
#[test]
fn safety_of_a_set_point_and_of_the_best_one_near_it() {
    let mut scenario = demo();
    put(&mut scenario, "/model", serde_json::json!({ "axial_cells": 14, "layers": 8 }));
    let found = run_on(&["safety", "-"], scenario.to_string().as_bytes()).json();
    let number = |path: &str| found.pointer(path).and_then(Value::as_f64).expect(path);
    let (bears, present) = (number("/best/bears"), number("/best/present_bears"));
    assert!(bears >= present && present > 0.0, "the demo's set point is inside: {found}");
    let inside = number("/shots/inside_percent");
    assert!(number("/shots/interval_percent/0") <= inside && inside <= number("/shots/interval_percent/1"));
    assert!(found["levers"].as_array().expect("levers").len() > 10 && found.get("closed").is_none());
    assert!(number("/answers/highest_loading_percent") < 66.0, "below the critical loading");
    for pair in found["best"]["settings"].as_array().expect("settings") {
        let setting = pair[0].as_str().expect("a name");
        put(&mut scenario, &format!("/setup/{setting}"), pair[1].clone());
    }
    let again = run_on(&["safety", "-"], scenario.to_string().as_bytes()).json();
    let now = again["best"]["present_bears"].as_f64().expect("a number");
    assert!((now / bears - 1.0).abs() < 0.1, "{now} against {bears} promised");
}

/// Where no place of the plane meets every limit, the program says what would open the window, the best first; where
/// one does, what would widen it.
#[test]
fn a_closed_window_is_told_what_would_open_it() {
    let mut scenario = demo();
    put(&mut scenario, "/model", serde_json::json!({ "axial_cells": 8, "layers": 5 }));
    put(&mut scenario, "/setup/hold_pressure", 5.0.into());
    let found = run_on(&["safety", "-"], scenario.to_string().as_bytes()).json();
    assert_eq!(found["levers"], serde_json::json!([]), "no row of +0.0");
    assert!(found["closed"]["as_set"]["worst"]["g"].as_f64().expect("a margin") < 0.0);
    let first = &found["closed"]["levers"][0];
    assert!(first["change"].as_str().expect("words").starts_with("hold pressure from 5 to "), "{first}");
    assert!(first["gained"].as_f64().expect("a number") > 0.1, "{first}");
    let interval = &found["shots"]["interval_percent"];
    assert!(interval[0].as_f64() < interval[1].as_f64(), "{interval}");
}

#[test]
fn the_parameters_are_the_catalogue() {
    let listed = run(&["parameters"]).json();
    assert_eq!(listed.as_array().expect("a list").len(), catalogue::all().count());
}

#[test]
fn help_and_version_are_printed_and_wrong_calls_end_with_two() {
    let help = run(&["--help"]);
    assert_eq!(help.code, 0);
    for command in [
        "demo",
        "report",
        "moments",
        "hold",
        "window",
        "link",
        "open",
        "recipe",
        "fit",
        "critical",
        "parameters",
    ] {
        assert!(help.out.contains(&format!("\n  {command} ")), "{command}");
        let own = run(&[command, "--help"]);
        assert!(own.code == 0 && own.out.contains(&format!("gatefrost {command}")), "{}", own.out);
    }
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
