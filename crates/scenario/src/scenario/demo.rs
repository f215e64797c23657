//! Worked demo scenarios. Parts, machines and rheology constants are invented for illustration;
//! thermal properties follow handbook tables as the catalogue says.

use super::{Scenario, ScenarioError};

/// A demo: its short name (used by links and the command line) and its document.
pub struct Demo {
    /// Short name.
    pub name: &'static str,
    /// Whether a better one stands in its place. It still opens, and so do links that begin with it.
    pub earlier: bool,
    /// The scenario document.
    json: &'static str,
}

impl Demo {
    const fn new(name: &'static str, json: &'static str) -> Self {
        Self { name, json, earlier: false }
    }

    const fn earlier(name: &'static str, json: &'static str) -> Self {
        Self { name, json, earlier: true }
    }

    /// The demo as a scenario.
    pub fn scenario(&self) -> Scenario {
        self.read().expect("every demo is read by a test")
    }

    fn read(&self) -> Result<Scenario, ScenarioError> {
        Scenario::from_json(self.json)
    }
}

/// The demos; the first is the default, and those of an earlier time stand last. A static, because each crate that names a
/// constant keeps a copy of it.
pub static DEMOS: &[Demo] = &[
    Demo::new("hinge", include_str!("demos/hinge.json")),
    Demo::new("guide", include_str!("demos/guide.json")),
    Demo::new("sleeve", include_str!("demos/sleeve.json")),
    Demo::new("yoke", include_str!("demos/yoke.json")),
    Demo::new("pawl", include_str!("demos/pawl.json")),
    Demo::new("hasp", include_str!("demos/hasp.json")),
    Demo::new("toggle", include_str!("demos/toggle.json")),
    Demo::new("cleat", include_str!("demos/cleat.json")),
    Demo::new("ferrule", include_str!("demos/ferrule.json")),
    Demo::earlier("latch", include_str!("demos/latch.json")),
    Demo::earlier("rocker", include_str!("demos/rocker.json")),
    Demo::earlier("clasp", include_str!("demos/clasp.json")),
    Demo::earlier("eyelet", include_str!("demos/eyelet.json")),
];

/// The demo of that name.
pub fn find(name: &str) -> Option<&'static Demo> {
    DEMOS.iter().find(|d| d.name == name)
}

/// The demo that a new user sees.
pub fn default_demo() -> &'static Demo {
    &DEMOS[0]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::link;

    #[test]
    fn every_demo_is_a_valid_scenario() {
        for demo in DEMOS {
            let scenario = demo.read().unwrap_or_else(|e| panic!("{}: {e}", demo.name));
            assert_eq!(Scenario::from_json(&scenario.to_json()), Ok(scenario), "{}", demo.name);
        }
    }

    /// The usual run is that of steel: alumina and zirconia have none until one is typed, and a run that is stated stays.
    #[test]
    fn ceramic_demos_have_no_furnace_run_of_steel() {
        for demo in DEMOS {
            let mut s = demo.scenario();
            let steel = s.feedstock.powder_density > 7000.0;
            assert_eq!(s.sintering.stretches.len(), usize::from(steel), "{}", demo.name);
            assert_eq!(link::decode(&link::encode(&s)).scenario, s, "{}", demo.name);
            s.sintering.stretches =
                vec![super::super::FurnaceStretch { temperature: 1600.0, ..Default::default() }];
            assert_eq!(Scenario::from_json(&s.to_json()).as_ref(), Ok(&s), "{}", demo.name);
            assert_eq!(link::decode(&link::encode(&s)).scenario, s, "{}", demo.name);
        }
    }
}
