//! The command that calibrates on shots.

mod common;

use common::{run, scratch};
use serde_json::Value;
use std::path::Path;

const LOG: &str = "shot;melt temperature [°C];steel temperature [°C];injection time [s];hold pressure [bar];hold time [s];peak pressure [bar]\n\
    A;165;40;0,3;600;2;640\nB;165;40;0,9;600;2;470\nC;175;40;0,3;600;2;560\nD;155;40;0,9;600;2;545\n";

/// What is printed says what was found, and the files hold it.
#[test]
fn a_log_calibrates_a_scenario() {
    let folder = scratch("calibrate");
    let scenario = written(&folder, "hinge.json", &run(&["demo", "hinge"]).out);
    let log = written(&folder, "log.csv", LOG);
    let [out, feedstock] = ["out.json", "feedstock.json"].map(|name| folder.join(name).display().to_string());
    let printed = run(&[
        "calibrate",
        &scenario,
        "--log",
        &log,
        "--date",
        "2026-11-30",
        "--apply",
        &out,
        "--feedstock",
        &feedstock,
        "--predict",
        &log,
    ]);
    let found = printed.json();
    let c = &found["calibration"];
    assert_eq!((&c["shots"], &c["converged"]), (&4.into(), &true.into()));
    assert!(c["numbers"][0]["left"].as_f64().expect("a share") < 0.3, "{}", c["numbers"][0]);
    assert!(found["predictions"].as_array().expect("a list").len() >= 4);
    let applied: Value = serde_json::from_str(&std::fs::read_to_string(&out).expect("a file")).expect("JSON");
    let told = applied["feedstock"]["provenance"].as_str().expect("a text");
    assert!(told.starts_with("calibrated on 4 shots, 2026-11-30"), "{told}");
    assert_eq!(applied["shots"].as_array().expect("a list").len(), 4);
    assert!(std::fs::read_to_string(&feedstock).expect("a file").contains("calibrated on 4 shots"));
    assert_eq!(run(&["report", &out]).code, 0);
    // The same log again: every shot is new, but the readings fit what is known now.
    let fits = run(&["calibrate", &out, "--log", &log, "--check"]).json();
    assert_eq!(fits["agreement"]["fits"], true, "{fits}");
}

/// A file in a folder, with its path as text.
fn written(folder: &Path, name: &str, text: &str) -> String {
    let place = folder.join(name);
    std::fs::write(&place, text).expect("written");
    place.display().to_string()
}

#[test]
fn a_log_that_cannot_be_used_is_refused() {
    let folder = scratch("calibrate-bad");
    let scenario = written(&folder, "hinge.json", &run(&["demo", "hinge"]).out);
    let log = written(&folder, "log.csv", &LOG.replace(";640", ";9640"));
    let refused = run(&["calibrate", &scenario, "--log", &log]);
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("column “peak pressure [bar]”: It is 964 MPa"), "{}", refused.err);
    let empty = run(&["calibrate", &scenario]);
    assert!(empty.code == 1 && empty.err.contains("The trial log is empty"), "{}", empty.err);
    let plan = run(&["calibrate", &scenario, "--next", "2"]).json();
    assert_eq!(plan["plan"]["shots"].as_array().expect("a list").len(), 2);
    assert_eq!(run(&["calibrate", "-", "--log", "-"]).code, 2);
}
