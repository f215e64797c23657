//! The README says what the program does: its tables and its example are checked against it.

mod common;

use common::{run, run_on};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Feedstock, Thresholds};

fn readme() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../README.md");
    std::fs::read_to_string(path).expect("README.md").replace("\r\n", "\n")
}

/// What stands between two marks.
fn between<'a>(text: &'a str, start: &str, end: &str) -> &'a str {
    let (_, rest) = text.split_once(start).unwrap_or_else(|| panic!("{start:?} is missing"));
    rest.split_once(end).unwrap_or_else(|| panic!("{end:?} is missing")).0
}

#[test]
fn the_table_of_every_number_is_the_catalogue() {
    let readme = readme();
    let start = "<!-- parameters: begin, from `gatefrost parameters --markdown` -->";
    let table = between(&readme, start, "<!-- parameters: end -->");
    let generated = run(&["parameters", "--markdown"]).out;
    for (written, wanted) in table.trim().lines().zip(generated.trim().lines()) {
        assert_eq!(written, wanted, "write the tables anew with `gatefrost parameters --markdown`");
    }
    assert_eq!(table.trim().lines().count(), generated.trim().lines().count());
}

#[test]
fn the_example_is_a_scenario_and_gives_the_pressure_it_promises() {
    let readme = readme();
    let example = between(&readme, "```json\n", "```");
    let report = run_on(&["report", "-"], example.as_bytes()).json();
    let pressure = report["fill"]["required_pressure_mpa"].as_f64().expect("a number");
    assert!(readme.contains(&format!("{pressure:.4} MPa")), "{pressure}");
}

#[test]
fn the_branching_cavity_shown_welds_where_its_arms_meet() {
    let readme = readme();
    let section = between(&readme, "\n### Cavities that branch\n", "\n### ");
    let mut scenario: serde_json::Value =
        serde_json::from_str(between(section, "```json\n", "```")).expect("JSON");
    scenario["gatefrost"] = 1.into();
    scenario["name"] = "Two arms".into();
    let report = run_on(&["report", "-"], scenario.to_string().as_bytes()).json();
    let welds = report["fill"]["weld_lines"].as_array().expect("a list");
    assert_eq!(welds.len(), 1);
    assert!(["near arm", "far arm"].contains(&welds[0]["passage"].as_str().expect("text")));
    assert_eq!(report["hold"]["held_s"].as_f64(), Some(3.5), "both steps of the hold");
}

#[test]
fn the_recipe_and_the_readings_shown_are_read() {
    let readme = readme();
    let section = between(&readme, "\n## From powder and rheometer to feedstock\n", "\n## ");
    let recipe = between(section, "```json\n", "```");
    let estimate = run_on(&["recipe", "-"], recipe.as_bytes()).json();
    assert_eq!(estimate["batch"]["mass_kg"].as_f64(), Some(10.0));
    let readings = between(section, "### Readings of a capillary rheometer\n\n```\n", "```");
    let fit = run_on(&["fit", "-", "--law", "power_law"], readings.as_bytes()).json();
    assert_eq!(fit["reduction"]["ends"].as_array().map(Vec::len), Some(3));
    // Three rows show the form; they are too few to fit, and that is all that is wrong with them.
    let loadings = between(section, "### Critical loading\n\n```\n", "```");
    let critical = run_on(&["critical", "-"], loadings.as_bytes());
    assert!(critical.err.contains("3 densities; at least 4 are needed"), "{}", critical.err);
}

#[test]
fn the_table_of_limits_has_every_limit_with_its_default() {
    let readme = readme();
    let section = between(&readme, "\n## The limits\n", "\n## ");
    let (d, f) = (Thresholds::default(), Feedstock::default());
    for limit in Limit::ALL {
        let row = section
            .lines()
            .find(|l| l.starts_with(&format!("| {} |", limit.label())))
            .unwrap_or_else(|| panic!("{:?} has no row", limit.label()));
        let default = match limit {
            Limit::ShortShot => format!("{} %", d.pressure_use),
            Limit::StiffGate => format!("{} Pa·s", d.gate_viscosity),
            Limit::Jetting => format!("{} m/s", d.jet_speed),
            Limit::Separation => format!("{} 1/s", d.shear_rate),
            Limit::Burning => format!("{} K", d.burn_reserve),
            Limit::Residence => format!("{} min at {} °C", f.barrel_time, f.barrel_reference),
            Limit::Venting => format!("{} MPa", d.air_pressure),
            Limit::ColdFront => format!("{} K", d.cold_front_reserve),
            Limit::Flash => format!("{} %", d.clamp_use),
            Limit::SwitchOver => "the hold pressure".to_owned(),
            Limit::Weld => format!("{} K", d.weld_reserve),
            Limit::Sink => format!("{} %", d.shrinkage),
            Limit::HoldCover => format!("{} %", d.hold_cover),
            Limit::Residual => format!("{} MPa", d.residual_pressure),
            Limit::Ejection => "the ejection temperature".to_owned(),
            Limit::CoolingWater => format!("{} K", d.water_rise),
            Limit::Shot => "the greatest shot".to_owned(),
            Limit::Rate => format!("{} %", d.rate_use),
        };
        assert!(row.contains(&format!("| {default}")), "{default:?} is not in {row:?}");
    }
}
