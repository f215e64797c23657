//! Calorimetry: tables in, a scenario with their peaks out.

mod common;

use common::{demo, run, scratch};

/// A table of two peaks over a line, one reading each kelvin.
fn table(temperatures: impl Iterator<Item = i32>, middles: [f64; 2]) -> String {
    let mut text = "temperature [°C],heat flow [W/g]\n".to_owned();
    for t in temperatures {
        let peak =
            |heat: f64, middle: f64| heat / 10.0 * (-0.5 * ((f64::from(t) - middle) / 4.0).powi(2)).exp();
        text += &format!("{t},{:.5}\n", (1.0 + peak(18.0, middles[0]) + peak(7.0, middles[1])) / 6.0);
    }
    text
}

#[test]
fn tables_on_heating_and_cooling_become_peaks_of_a_scenario() {
    let folder = scratch("dsc");
    std::fs::create_dir_all(&folder).expect("a folder");
    let at = |name: &str| folder.join(name).display().to_string();
    let (heating, cooling, part, out) = (at("h.csv"), at("c.csv"), at("part.json"), at("out.json"));
    std::fs::write(&heating, table(0..=200, [63.0, 152.0])).expect("written");
    std::fs::write(&cooling, table((0..=200).rev(), [58.0, 112.0])).expect("written");
    std::fs::write(&part, demo().to_string()).expect("written");
    let call = ["dsc", "--heating", &heating, "--cooling", &cooling, "--scenario", &part];
    let with = |more: &[&str]| run(&[&call, more].concat());
    let found = with(&["--rate", "10", "--of-feedstock", "--apply", &out]).json();
    let no_flow = found["cooling"]["no_flow"]["value"].as_f64().expect("a number");
    assert!((no_flow - 120.0).abs() < 1.0, "{no_flow}");
    let set: serde_json::Value = serde_json::from_slice(&std::fs::read(&out).expect("there")).expect("JSON");
    assert_eq!(set["feedstock"]["no_flow_temperature"].as_f64(), Some(no_flow));
    assert!((set["feedstock"]["melted_temperature"].as_f64().expect("a number") - 160.0).abs() < 1.0);
    assert_eq!(set["feedstock"]["further_melting"].as_array().map(Vec::len), Some(1));

    // The same as a heat flow of 5 mg of sample.
    let in_milliwatts = at("mw.csv");
    let text = std::fs::read_to_string(&cooling).expect("there").replace("[W/g]", "[mW]");
    std::fs::write(&in_milliwatts, text).expect("written");
    let call = ["dsc", "--cooling", &in_milliwatts, "--rate", "10"];
    let of_sample = run(&[&call[..], &["--mass", "5"]].concat()).json();
    let heat = |found: &serde_json::Value| found["cooling"]["peaks"][0]["heat"].as_f64().expect("a number");
    assert!((heat(&of_sample) * 5.0 / heat(&found) - 1.0).abs() < 1e-9);
    assert!(run(&call).err.contains("needs the mass"));

    let without = with(&[]);
    assert!(without.code == 1 && without.err.contains("needs the rate"), "{}", without.err);
    let turned = run(&["dsc", "--heating", &cooling, "--rate", "10"]);
    assert!(turned.code == 1 && turned.err.contains("must rise"), "{}", turned.err);
    assert_eq!(run(&["dsc", "--cooling", &cooling, "--rate", "10", "--of-feedstock"]).code, 2);
}
