//! What follows the mould: a plan, and fits of readings that change it.

mod common;

use common::{demo, run, scratch};

#[test]
fn a_plan_has_debinding_sintering_and_sizes() {
    let folder = scratch("after");
    std::fs::create_dir_all(&folder).expect("a folder");
    let part = folder.join("part.json").display().to_string();
    let mut scenario = demo();
    scenario["sizes"]["dimensions"] = serde_json::json!([{"name": "length", "size": 25, "tolerance": 0.1}]);
    std::fs::write(&part, scenario.to_string()).expect("written");
    let plan = run(&["after", &part]).json();
    let cavity = plan["sizes"]["dimensions"][0]["cavity_mm"].as_f64().expect("a size");
    let oversize = plan["sizes"]["oversize_factor"].as_f64().expect("a factor");
    // The report of the same scenario has the same factor.
    let report = run(&["report", &part]).json();
    assert_eq!(report["after"]["oversize_factor"].as_f64(), Some(oversize));
    assert!((cavity / (25.0 * oversize) - 1.0).abs() < 1e-12);
    let causes: Vec<&str> = plan["sizes"]["budget"]
        .as_array()
        .expect("a budget")
        .iter()
        .filter_map(|b| b["cause"].as_str())
        .collect();
    for cause in [
        "sintered density",
        "solids loading",
        "hold pressure",
        "melt temperature",
        "other scatter of a length",
    ] {
        assert!(causes.contains(&cause), "{cause} in {causes:?}");
    }
    let hours = plan["debinding_hours"]["value"].as_f64().expect("a time");
    assert!(hours > 1.0 && hours < 100.0, "{hours}");
    assert_eq!(plan["steps"].as_array().map(Vec::len), Some(2));
}

#[test]
fn a_fit_is_put_into_the_scenario() {
    let folder = scratch("trials");
    std::fs::create_dir_all(&folder).expect("a folder");
    let at = |name: &str| folder.join(name).display().to_string();
    let (part, runs, out) = (at("part.json"), at("runs.csv"), at("out.json"));
    std::fs::write(&part, demo().to_string()).expect("written");
    std::fs::write(&runs, "ramp [K/min],temperature [°C],hold [min],density [%]\n5,1250,60,88.2\n5,1300,60,93.1\n5,1360,120,97.9\n").expect("written");
    let fit = run(&["densities", &runs, "--scenario", &part, "--apply", &out]).json();
    assert_eq!(fit["fit"]["fitted"].as_u64(), Some(3));
    let set: serde_json::Value = serde_json::from_slice(&std::fs::read(&out).expect("there")).expect("JSON");
    assert_eq!(set["sintering"]["log_half"].as_f64(), fit["fit"]["log_half"].as_f64());
    // The run that is set decides the density now.
    let density = run(&["after", &out]).json()["sintering"]["density_percent"].as_f64().expect("a density");
    assert!((density - 97.9).abs() < 0.6, "{density}");

    let weighings = at("weighings.csv");
    std::fs::write(
        &weighings,
        "temperature [°C],time [h],wall [mm],mass loss [%]\n40,1,4,0.5\n40,3,4,0.9\n50,2,4,1.0\n50,5,4,1.7\n",
    )
    .expect("written");
    let fit = run(&["mass-loss", &weighings, "--scenario", &part, "--apply", &out]).json();
    assert!(fit["fit"]["energy_fitted"].as_bool() == Some(true));
    let set: serde_json::Value = serde_json::from_slice(&std::fs::read(&out).expect("there")).expect("JSON");
    assert_eq!(
        set["debinding"]["steps"][0]["bath"]["diffusivity"].as_f64(),
        fit["fit"]["diffusivity"].as_f64()
    );
    std::fs::write(&weighings, "temperature [°C],time [h],wall [mm],mass loss [%]\n40,1,0,0.5\n")
        .expect("written");
    let refused = run(&["mass-loss", &weighings, "--scenario", &part]);
    assert!(refused.code == 1 && refused.err.contains("line 2, column “wall [mm]”"), "{}", refused.err);

    let parts = at("parts.csv");
    std::fs::write(&parts, "cavity [mm],green [mm],sintered [mm],along\n29.4,29.25,24.93,1\n12,11.94,10.17,0\n12,11.94,10.18,0\n").expect("written");
    let fit = run(&["shrinkage", &parts, "--scenario", &part]).json();
    assert!((fit["fit"]["oversize_factor"]["value"].as_f64().expect("a factor") - 1.179).abs() < 0.002);
}
