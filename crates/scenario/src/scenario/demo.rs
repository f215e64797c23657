//! Worked demo scenarios. Parts, machines and rheology constants are invented for illustration;
//! thermal properties follow handbook tables as the catalogue says.

use super::{Scenario, ScenarioError};

/// A demo: its short name (used by links and the command line) and its document.
pub struct Demo {
    /// Short name.
    pub name: &'static str,
    /// The scenario document.
    json: &'static str,
}

impl Demo {
    /// The demo as a scenario.
    pub fn scenario(&self) -> Scenario {
        self.read().expect("every demo is read by a test")
    }

    fn read(&self) -> Result<Scenario, ScenarioError> {
        Scenario::from_json(self.json)
    }
}

/// The demos; the first is the default. A static, because each crate that names a constant keeps a copy of it.
pub static DEMOS: &[Demo] = &[
    Demo { name: "hinge", json: include_str!("demos/hinge.json") },
    Demo { name: "guide", json: include_str!("demos/guide.json") },
    Demo { name: "sleeve", json: include_str!("demos/sleeve.json") },
    Demo { name: "yoke", json: include_str!("demos/yoke.json") },
    Demo { name: "pawl", json: include_str!("demos/pawl.json") },
    Demo { name: "latch", json: include_str!("demos/latch.json") },
    Demo { name: "rocker", json: include_str!("demos/rocker.json") },
    Demo { name: "clasp", json: include_str!("demos/clasp.json") },
    Demo { name: "eyelet", json: include_str!("demos/eyelet.json") },
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

    #[test]
    fn every_demo_is_a_valid_scenario() {
        for demo in DEMOS {
            let scenario = demo.read().unwrap_or_else(|e| panic!("{}: {e}", demo.name));
            assert_eq!(Scenario::from_json(&scenario.to_json()), Ok(scenario), "{}", demo.name);
        }
    }
}
