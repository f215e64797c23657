//! The whole plan on the command line.

mod common;

use common::{demo, run, scratch};

#[test]
fn a_plan_has_its_stations_and_the_sheet() {
    let folder = scratch("planning");
    std::fs::create_dir_all(&folder).expect("a folder");
    let part = folder.join("part.json").display().to_string();
    let mut scenario = demo();
    scenario["plan"] = serde_json::json!({"pressed_height": 20, "pressed_width": 10, "finishing_price": 0.2, "good_share": 80});
    std::fs::write(&part, scenario.to_string()).expect("written");
    let plan = run(&["plan", &part]).json();
    assert!((plan["route"]["compact"]["one"][60]["y"].as_f64().expect("a pressure") - 30.119).abs() < 1e-3);
    assert_eq!(plan["cost"]["each"].as_f64(), Some(0.25));
    assert_eq!(plan["sheet"]["parts"].as_array().map(Vec::len), Some(8));
    // The force is that of the report.
    let report = run(&["report", &part]).json();
    let force = report["hold"]["opening_force_kn"].as_f64().expect("a force");
    let told = plan["machine"]["demands"][1]["here"].as_str().expect("words");
    let told: f64 = told.trim_end_matches(" kN").parse().expect("a force");
    assert!((told / force - 1.0).abs() < 5e-3, "{told} {force}");
}

#[test]
fn a_number_out_of_range_is_named() {
    let folder = scratch("planning-bad");
    std::fs::create_dir_all(&folder).expect("a folder");
    let part = folder.join("part.json").display().to_string();
    let mut scenario = demo();
    scenario["plan"] = serde_json::json!({"draft": 60});
    std::fs::write(&part, scenario.to_string()).expect("written");
    let run = run(&["plan", &part]);
    assert!(run.code != 0 && run.err.contains("Draft is 60") && run.err.contains("0 to 30 °"), "{}", run.err);
}
