//! `gatefrost sweep`: one input against the window.

mod common;

use common::{demo, put, run, run_on};
use serde_json::json;

#[test]
fn a_sweep_is_printed_drawn_and_tabled() {
    let hinge = run(&["demo", "hinge"]).out;
    let svg = std::env::temp_dir().join(format!("gatefrost-sweep-{}.svg", std::process::id()));
    let walls = [
        "sweep",
        "-",
        "--input",
        "cavity.wall_thickness",
        "--from",
        "1.6",
        "--to",
        "2.4",
        "--steps",
        "3",
        "--coarse",
    ];
    let found =
        run_on(&[&walls[..], &["--svg", svg.to_str().expect("UTF-8")]].concat(), hinge.as_bytes()).json();
    assert_eq!((&found["title"], &found["unit"]), (&json!("Wall thickness"), &json!("mm")));
    let points = found["points"].as_array().expect("points");
    assert_eq!(points.len(), 3);
    for point in points {
        let usable = point["usable_percent"].as_f64().expect("a share");
        let reserve = point["reserve"].as_f64().expect("a margin");
        assert!((0.0..=100.0).contains(&usable), "{point}");
        // A place is usable where the best reserve is positive.
        assert!((usable > 1.0) == (reserve > 0.0) || usable.abs() < 1.0, "{point}");
    }
    let drawn = std::fs::read_to_string(&svg).expect("the figure is there");
    std::fs::remove_file(&svg).ok();
    assert!(
        drawn.contains("Usable share") && drawn.contains("Best reserve") && drawn.contains("Wall thickness")
    );

    let csv = run_on(&[&walls[..], &["--csv"]].concat(), hinge.as_bytes()).out;
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines.len(), 4, "{csv}");
    assert!(lines[0].starts_with("\"Wall thickness, mm\"") || lines[0].contains("Wall thickness"), "{csv}");
}

#[test]
fn a_sweep_that_makes_no_sense_is_refused_in_words() {
    let hinge = demo().to_string();
    for (input, from, to, words) in [
        ("setup.melt_temperature", "150", "180", "spans the plane"),
        ("setup.colour", "1", "2", "is no number of standard input"),
        ("machine.max_pressure", "200", "100", "0.01 to 400 MPa"),
        ("machine.max_pressure", "100", "1e9", "0.01 to 400 MPa"),
    ] {
        let refused = run_on(
            &["sweep", "-", "--input", input, "--from", from, "--to", to, "--coarse"],
            hinge.as_bytes(),
        );
        assert_eq!(refused.code, 1, "{input}: {}", refused.err);
        assert!(refused.err.contains(words), "{input}: {}", refused.err);
        assert!(refused.out.is_empty());
    }
    // A value at which the plane cannot be computed leaves a gap with its reason.
    let mut cold = demo();
    put(&mut cold, "/setup/mould_temperature", 40.into());
    let hot = [
        "sweep",
        "-",
        "--input",
        "setup.mould_temperature",
        "--from",
        "40",
        "--to",
        "200",
        "--steps",
        "2",
        "--coarse",
    ];
    let found = run_on(&hot, cold.to_string().as_bytes()).json();
    assert!(found["points"][0]["usable_percent"].is_number());
    assert!(
        found["points"][1]["usable_percent"].is_null() && found["points"][1]["problem"].is_string(),
        "{found}"
    );
}
