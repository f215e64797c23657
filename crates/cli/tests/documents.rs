//! The README and the handbook say what the program does: their examples are run, their commands are known.

mod common;

use common::{run, run_on};

/// A document of the repository.
fn document(name: &str) -> String {
    let path = format!("{}/../../{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{name}: {e}")).replace("\r\n", "\n")
}

/// What stands between two marks.
fn between<'a>(text: &'a str, start: &str, end: &str) -> &'a str {
    let (_, rest) = text.split_once(start).unwrap_or_else(|| panic!("{start:?} is missing"));
    rest.split_once(end).unwrap_or_else(|| panic!("{end:?} is missing")).0
}

#[test]
fn the_example_is_a_scenario_and_gives_the_pressure_it_promises() {
    let chapter = document("www/handbook/scenario.md");
    let example = between(&chapter, "```json\n", "```");
    let report = run_on(&["report", "-"], example.as_bytes()).json();
    let pressure = report["fill"]["required_pressure_mpa"].as_f64().expect("a number");
    assert!(chapter.contains(&format!("{pressure:.4} MPa")), "{pressure}");
}

#[test]
fn the_branching_cavity_shown_welds_where_its_arms_meet() {
    let chapter = document("www/handbook/scenario.md");
    let section = between(&chapter, "\n### Cavities that branch\n", "\n## ");
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
    let chapter = document("www/handbook/laboratory.md");
    let recipe = between(&chapter, "```json\n", "```");
    let estimate = run_on(&["recipe", "-"], recipe.as_bytes()).json();
    assert_eq!(estimate["batch"]["mass_kg"].as_f64(), Some(10.0));
    let readings = between(&chapter, "## Rheometer data\n\n```\n", "```");
    let fit = run_on(&["fit", "-", "--law", "power_law"], readings.as_bytes()).json();
    assert_eq!(fit["reduction"]["ends"].as_array().map(Vec::len), Some(3));
    // Three rows show the form; they are too few to fit, and that is all that is wrong with them.
    let loadings = between(&chapter, "## Critical loading\n\n```\n", "```");
    let critical = run_on(&["critical", "-"], loadings.as_bytes());
    assert!(critical.err.contains("3 densities; at least 4 are needed"), "{}", critical.err);
}

#[test]
fn the_uncertainty_shown_is_read() {
    let chapter = document("www/handbook/scenario.md");
    let section = between(&chapter, "\n## Uncertainty\n", "\n## ");
    let mut scenario: serde_json::Value =
        serde_json::from_str(between(&chapter, "```json\n", "```")).expect("JSON");
    scenario["feedstock"]["uncertainty"] =
        serde_json::from_str(between(section, "```json\n", "```")).expect("JSON");
    let report = run_on(&["report", "-"], scenario.to_string().as_bytes());
    assert_eq!(report.code, 0, "{}", report.err);
}

/// The first word after `gatefrost` in each line of the code blocks and tables of a document.
fn commands_in(text: &str) -> Vec<&str> {
    let named = |line: &str| line.trim_start_matches(['|', ' ', '`', '.', '/']).starts_with("gatefrost ");
    let lines = text.lines().filter(|line| named(line));
    let calls = lines.flat_map(|line| line.split("gatefrost ").skip(1));
    calls
        .filter_map(|call| call.split([' ', '`']).next())
        .filter(|word| word.starts_with(char::is_lowercase))
        .collect()
}

#[test]
fn every_command_shown_exists_and_every_command_is_shown() {
    let help = run(&["--help"]).out;
    let listed = between(&help, "Commands:\n", "\n\n").lines();
    let known: Vec<&str> = listed.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(known.len() > 10, "{known:?}");
    let chapter = document("www/handbook/commands.md");
    for command in &known {
        assert!(
            chapter.contains(&format!("| `gatefrost {command} "))
                || chapter.contains(&format!("| `gatefrost {command}`")),
            "{command} has no row"
        );
    }
    for name in ["README.md", "www/handbook/commands.md", "www/handbook/laboratory.md"] {
        for command in commands_in(&document(name)) {
            assert!(known.contains(&command), "{name} shows `gatefrost {command}`, which does not exist");
        }
    }
}

/// A document of version 1 is computed. Standard error names what was dropped and which limits are new; of a document of
/// today nothing is said.
#[test]
fn a_document_of_an_earlier_version_is_named() {
    let mut document = common::demo();
    assert_eq!(run_on(&["report", "-"], document.to_string().as_bytes()).err, "");
    document["gatefrost"] = 1.into();
    document["limits"]["burn_reserve"] = 9.into();
    let run = run_on(&["report", "-"], document.to_string().as_bytes());
    assert_eq!(run.code, 0, "{}", run.err);
    for words in
        ["earlier model", "Reserve below burning", "“Greatest loss of binder”", "unmelted", "small shot"]
    {
        assert!(run.err.contains(words), "{words}: {}", run.err);
    }
    assert!(!run.err.contains("jetting"), "{}", run.err);
    let margin = &run.json()["margins"][0];
    assert_eq!((margin["ground"].as_str(), margin["since"].as_u64()), (Some("physics"), Some(1)));
}
