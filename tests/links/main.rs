//! Links that have been released open for ever: each file here is one, with what it opened then. None is ever
//! changed; a new form of link gets new files.

use gatefrost_core::scenario::{Form, HoldStep, Passage, Scenario, demo, link};
use serde::Deserialize;
use std::fs;
use std::path::Path;

#[derive(Deserialize)]
struct Released {
    link: String,
    opens: serde_json::Value,
}

fn released() -> Vec<(String, Released)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("links");
    let paths = fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path());
    let files = paths.filter(|path| path.extension().is_some_and(|ending| ending == "json"));
    let read =
        |path: &Path| serde_json::from_str(&fs::read_to_string(path).expect("a file")).expect("a link");
    files.map(|path| (path.display().to_string(), read(&path))).collect()
}

#[test]
fn every_link_that_was_released_opens_as_it_did() {
    let links = released();
    assert!(links.len() >= 21, "{} links", links.len());
    for (name, Released { link, opens }) in links {
        let opened = link::decode(&link);
        assert_eq!(opened.problems, [], "{name}");
        let then = Scenario::from_json(&opens.to_string()).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(opened.scenario, then, "{name}");
        // What is written today leads to the same.
        assert_eq!(link::decode(&link::encode(&then)).scenario, then, "{name}");
    }
}

#[test]
fn ten_changes_of_any_demo_stay_under_four_hundred_characters() {
    for d in demo::DEMOS {
        let mut s = d.scenario();
        s.name = format!("{}, second trial", s.name);
        s.setup.melt_temperature += 3.5;
        s.setup.injection_time = 0.365;
        s.setup.hold_pressure *= 0.9375;
        s.feedstock.solids_loading -= 1.5;
        s.machine.max_pressure = 95.0;
        s.setup.further_hold.push(HoldStep { pressure: 22.5, time: 1.25 });
        let rib = Form::named("strip").expect("a shape");
        let runner = Some(s.cavity.passages[1].name.clone());
        s.cavity.passages.push(Passage {
            form: rib,
            name: "rib".to_owned(),
            after: runner,
            ..Passage::default()
        });
        s.mould.vent_depth = 0.012;
        s.ignored.push(gatefrost_core::limits::Limit::Jetting);
        s.window.y.from += 5.0;
        let text = link::encode(&s);
        assert!(text.len() < 330, "{}: {} characters and the address: {text}", d.name, text.len());
        assert_eq!(link::decode(&text).scenario, s, "{}", d.name);
    }
}
