//! Versions of the document, and what one of an earlier version means today.
//!
//! In memory every scenario is of the present [`VERSION`] and complete. A document of an earlier version is brought to
//! it while it is read: a number that was left out gets the default of its time ([`SINCE_1`]), and a number that is no
//! longer known is dropped with a note ([`RETIRED`]). The physics is that of today for all versions.

use super::Family;
use super::validate::Problem;
use crate::document::{Node, Usual};
use crate::naming;
use serde::{Deserialize, Serialize};

/// Version of the scenario document that is written; readers refuse a newer one.
pub const VERSION: u32 = 2;

/// What a document of version 1 means where it leaves a field out whose default is another today.
const SINCE_1: &[(&str, Usual)] = &[
    ("feedstock.loading_scaling", Usual::Word("equal_stress")),
    ("feedstock.conductivity_rule", Usual::Word("maxwell_eucken")),
    ("scatter.melt_temperature", Usual::Number(1.5)),
    ("scatter.injection_time", Usual::Number(1.0)),
    ("scatter.hold_pressure", Usual::Number(0.5)),
    ("scatter.viscosity", Usual::Number(0.0)),
    // The worked demos of that time have machines that are large for their parts.
    ("limits.shot_share", Usual::Number(0.0)),
    // Between steel that stays cold, a gate shut sooner after it had frozen.
    ("limits.hold_cover", Usual::Number(115.0)),
    ("feedstock.setting_range", Usual::Number(0.0)),
];

/// A number that was known in version 1 and is no more.
pub(super) struct Retired {
    /// Its path.
    path: &'static str,
    /// Its key in links.
    pub(super) link: &'static str,
    /// What it was called.
    title: &'static str,
    /// What stands for it today, as the rest of a sentence.
    instead: &'static str,
}

/// Numbers of version 1 that are no more.
const RETIRED: &[Retired] = &[
    Retired {
        path: "limits.gate_viscosity",
        link: "eg",
        title: "Greatest viscosity at the gate",
        instead: "“Greatest viscosity on the path” judges the section of the lowest shear rate",
    },
    Retired {
        path: "limits.burn_reserve",
        link: "db",
        title: "Reserve below burning",
        instead: "“Greatest loss of binder” judges how much of it decomposes",
    },
    Retired {
        path: "limits.shrinkage",
        link: "Sa",
        title: "Greatest volumetric shrinkage",
        instead: "“Greatest loss while soft” judges what can no longer be fed",
    },
];

/// What is said of a scenario that was made with an earlier version.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Earlier {
    /// The version that it was made with.
    pub version: u32,
    /// Numbers that were dropped, and what stands for each.
    pub dropped: Vec<Problem>,
}

impl Earlier {
    /// Nothing dropped so far.
    pub(super) fn of(version: u32) -> Self {
        Self { version, dropped: Vec::new() }
    }

    /// Notes a number that is no more.
    pub(super) fn drop(&mut self, retired: &Retired) {
        let predicate = format!("is no longer used: {}", retired.instead);
        self.dropped.push(naming::problem(retired.path, Some(retired.title), &predicate));
    }
}

/// The number of version 1 that had a key in links and is no more.
pub(super) fn retired(link: &str) -> Option<&'static Retired> {
    RETIRED.iter().find(|retired| retired.link == link)
}

/// Completes the tree of a document before it is read. Says what was done if it is of an earlier version.
pub(super) fn complete(tree: &mut Node) -> Option<Earlier> {
    if tree.whole("gatefrost") != Some(1) {
        if let Some(family) = tree.text("feedstock.family").and_then(Family::named) {
            family.complete(tree);
        }
        return None;
    }
    let mut earlier = Earlier::of(1);
    for retired in RETIRED {
        if tree.take_out(retired.path) {
            earlier.drop(retired);
        }
    }
    for (path, value) in SINCE_1 {
        tree.fill(path, *value);
    }
    tree.renumber("gatefrost", u64::from(VERSION));
    Some(earlier)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue;
    use crate::scenario::{Scenario, demo};

    #[test]
    fn a_document_of_version_1_is_read_and_written_as_one_of_today() {
        let text = demo::default_demo().scenario().to_json();
        let first = text.replacen(&format!("\"gatefrost\": {VERSION}"), "\"gatefrost\": 1.0", 1);
        let (scenario, earlier) = Scenario::read(&first).expect("valid");
        assert_eq!(earlier, Some(Earlier::of(1)));
        assert_eq!(scenario.gatefrost, VERSION);
        assert_eq!(Scenario::read(&scenario.to_json()), Ok((scenario, None)));
        let newer = first.replacen("1.0", "9", 1);
        let refused = Scenario::read(&newer).expect_err("of the future").problems;
        assert!(refused[0].message.contains("is 9; accepted is 1 to 2"), "{refused:?}");
    }

    /// A document of today that does not state an uncertainty has the usual one; one that states none has none, and so
    /// has every one of version 1.
    #[test]
    fn an_uncertainty_that_is_not_stated_is_the_usual_one_except_in_version_1() {
        let count = |version: u32, feedstock: &str| {
            let cavity = r#"{"passages":[{"name":"part","role":"part","form":{"strip":{"length":20,"width":9,"thickness":2}}}]}"#;
            let text =
                format!(r#"{{"gatefrost":{version},"name":"x","feedstock":{feedstock},"cavity":{cavity}}}"#);
            let scenario = Scenario::from_json(&text).expect("valid");
            let numbers = scenario.feedstock.uncertainty.clone().expect("read").numbers;
            assert_eq!(Scenario::from_json(&scenario.to_json()), Ok(scenario));
            numbers
        };
        let usual = count(2, "{}");
        let paths: Vec<&str> = usual.iter().map(|doubt| doubt.path.as_str()).collect();
        assert_eq!(
            paths,
            ["setup.contact_conductance", "feedstock.no_flow_temperature", "feedstock.conductivity_factor"]
        );
        // The rules differ by more the more the powder conducts.
        let copper = count(2, r#"{"powder_conductivity":380}"#);
        assert!(copper[2].standard_error > 1.3 * usual[2].standard_error, "{copper:?} {usual:?}");
        assert!(count(2, r#"{"uncertainty":{"numbers":[]}}"#).is_empty());
        assert!(count(1, "{}").is_empty() && count(1, r#"{"solids_loading":58}"#).is_empty());
    }

    /// A path that is no field of a document would be refused by every document of version 1.
    #[test]
    fn what_is_filled_in_is_known_and_what_is_retired_is_not() {
        for (path, _) in SINCE_1 {
            assert!(naming::title(path).is_some(), "{path}");
        }
        for retired in RETIRED {
            assert!(catalogue::at(retired.path).is_none(), "{}", retired.path);
            assert!(
                catalogue::all().all(|p| p.group.contains('*') || p.link != retired.link),
                "{}",
                retired.path
            );
        }
    }
}
