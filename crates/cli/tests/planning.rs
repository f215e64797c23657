//! The whole plan on the command line.

mod common;

use common::{demo, run, run_on, scratch};

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

/// The slope of T = 6.5 + 7 exp(−t/4 min), taken half a minute before the end of the minute, is a share q of T in a minute
/// where exp(−t'/4) = 6.5 q/(1.75 − 7 q): the end is at 13.5 min for 1 % and at 20.1 min for 0.2 % (worked out by hand).
/// A short record must not end at all.
#[test]
fn the_end_of_mixing_follows_from_torque() {
    let table = |minutes: u32| {
        let rows = (0..=10 * minutes).map(|i| {
            let t = f64::from(i) / 10.0;
            format!("{t},{}\n", 6.5 + 7.0 * (-t / 4.0).exp())
        });
        format!("time [min],torque [N·m]\n{}", rows.collect::<String>())
    };
    let of = |args: &[&str], minutes| run_on(&[&["torque", "-"], args].concat(), table(minutes).as_bytes());
    let end = |args: &[&str]| of(args, 40).json()["end_min"].as_f64().expect("it settles");
    let (usual, strict) = (end(&[]), end(&["--change", "0.2"]));
    assert!((usual - 13.5).abs() < 0.15, "{usual}");
    assert!((strict - 20.1).abs() < 0.15, "{strict}");
    let early = of(&[], 8).json();
    assert!(early["end_min"].is_null() && early["words"].as_str().is_some_and(|w| w.contains("Mix on")));
    let wrong = run_on(&["torque", "-"], b"time [min],torque [N\xc2\xb7m]\n1,2\n1,3\n");
    assert!(wrong.code == 1 && wrong.err.contains("line 3"), "{}", wrong.err);
    let share = run(&["torque", "-", "--change", "0"]);
    assert!(share.code == 2 && share.err.contains("0.01 to 50 %"), "{}", share.err);
}
