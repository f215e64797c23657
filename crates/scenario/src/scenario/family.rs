//! Families of binder: what a practitioner of each takes as usual.
//!
//! In a document that states a family, its value stands for a number that is left out. The values are common practice
//! and from memory, not a recipe: a feedstock's own data replace them.

use super::{Axis, Debinding, FlowLaw, Scenario, Span, demo};
use crate::catalogue;
use crate::document::{self, Node, Usual};
use crate::format::number;
use crate::uncertainty::Uncertainty;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A family of binders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Wax, with a polyolefin that carries the part once the wax is gone.
    WaxPolyolefin,
    /// Polyacetal, taken out by an acid vapour.
    Polyacetal,
    /// Polyethylene glycol, taken out by water, with a backbone.
    WaterSoluble,
    /// Wax alone, moulded by a little air pressure.
    WaxLowPressure,
}

/// Usual numbers: path, and the value in each family, in the order of [`Family::ALL`]. A value stays once it is released:
/// documents that leave the number out mean it. Another default needs a version of the document, as the catalogue's does.
const USUAL: &[(&str, [f64; 4])] = &[
    ("feedstock.binder_density", [895.0, 1340.0, 1120.0, 905.0]),
    ("feedstock.binder_heat_capacity", [2300.0, 2000.0, 2150.0, 2350.0]),
    ("feedstock.binder_conductivity", [0.2, 0.28, 0.27, 0.22]),
    ("feedstock.binder_expansion", [10.0, 9.0, 8.0, 10.0]),
    ("feedstock.binder_compressibility", [0.9, 0.6, 0.6, 1.0]),
    ("feedstock.latent_heat", [150.0, 140.0, 160.0, 180.0]),
    ("feedstock.solidus", [45.0, 138.0, 48.0, 46.0]),
    ("feedstock.liquidus", [75.0, 152.0, 66.0, 64.0]),
    ("feedstock.melted_temperature", [150.0, 172.0, 135.0, 66.0]),
    ("feedstock.no_flow_temperature", [95.0, 144.0, 95.0, 53.0]),
    ("feedstock.ejection_temperature", [60.0, 140.0, 60.0, 45.0]),
    ("feedstock.burn_onset", [210.0, 220.0, 225.0, 200.0]),
    ("feedstock.barrel_time", [30.0, 20.0, 40.0, 600.0]),
    ("feedstock.barrel_reference", [165.0, 190.0, 165.0, 80.0]),
    ("feedstock.barrel_energy", [100.0, 150.0, 110.0, 90.0]),
    ("machine.max_pressure", [180.0, 180.0, 180.0, 1.0]),
    ("machine.max_rate", [60.0, 60.0, 60.0, 50.0]),
    ("machine.clamp_force", [250.0, 250.0, 250.0, 10.0]),
    ("machine.shot_volume", [20.0, 20.0, 20.0, 50.0]),
    ("setup.melt_temperature", [165.0, 190.0, 165.0, 80.0]),
    ("setup.mould_temperature", [40.0, 130.0, 40.0, 30.0]),
    ("setup.injection_time", [0.6, 0.6, 0.6, 2.0]),
    ("setup.hold_pressure", [70.0, 80.0, 70.0, 0.4]),
    ("setup.hold_time", [4.0, 5.0, 4.0, 8.0]),
    ("limits.cold_front_reserve", [30.0, 15.0, 25.0, 8.0]),
    ("limits.weld_reserve", [25.0, 12.0, 20.0, 6.0]),
    ("limits.residual_pressure", [15.0, 25.0, 15.0, 15.0]),
    ("scatter.hold_pressure", [0.65, 0.65, 0.65, 0.01]),
];

/// Usual ranges of what is set, in the same order.
const RANGES: &[(&str, [[f64; 2]; 4])] = &[
    ("setup.melt_temperature", [[150.0, 185.0], [185.0, 200.0], [130.0, 180.0], [60.0, 95.0]]),
    ("setup.mould_temperature", [[25.0, 60.0], [120.0, 140.0], [25.0, 60.0], [20.0, 40.0]]),
    ("setup.hold_pressure", [[20.0, 150.0], [30.0, 180.0], [20.0, 150.0], [0.01, 1.0]]),
];

impl Family {
    /// Every family.
    pub const ALL: [Self; 4] =
        [Self::WaxPolyolefin, Self::Polyacetal, Self::WaterSoluble, Self::WaxLowPressure];

    /// Its name in a document.
    pub fn name(self) -> &'static str {
        ["wax_polyolefin", "polyacetal", "water_soluble", "wax_low_pressure"][self as usize]
    }

    /// Its name in a sentence.
    pub fn label(self) -> &'static str {
        [
            "wax with a polyolefin backbone",
            "polyacetal",
            "water-soluble binder with a backbone",
            "wax alone at low pressure",
        ][self as usize]
    }

    /// What stands in a list of families.
    pub fn title(self) -> &'static str {
        [
            "Wax with a polyolefin backbone",
            "Polyacetal, catalytic debinding",
            "Water-soluble with a backbone",
            "Wax alone, low pressure",
        ][self as usize]
    }

    /// The family of a name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|family| family.name() == name)
    }

    /// The worked demo of the family.
    pub fn demo(self) -> &'static str {
        ["hasp", "toggle", "cleat", "ferrule"][self as usize]
    }

    /// What a practitioner takes where nothing better is known: path and value, in the catalogue's unit.
    pub fn usual(self) -> impl Iterator<Item = (&'static str, f64)> {
        USUAL.iter().map(move |(path, values)| (*path, values[self as usize]))
    }

    /// The usual range of a setting, where the family has one.
    pub fn range(self, path: &str) -> Option<[f64; 2]> {
        RANGES.iter().find(|(of, _)| *of == path).map(|(_, ranges)| ranges[self as usize])
    }

    /// Part of an axis of the window that shows the usual settings, and some beyond them.
    fn span(self, axis: Axis) -> Option<Span> {
        let usual = |wanted: &str| self.usual().find(|(path, _)| *path == wanted).map(|(_, value)| value);
        let [low, high] = self.range(axis.path()?)?;
        let (from, to) = match axis {
            Axis::MeltTemperature => (usual("feedstock.no_flow_temperature")? + 10.0, high + 20.0),
            Axis::MouldTemperature => (low - 10.0, high + 20.0),
            _ => (0.5 * low, usual("machine.max_pressure")?),
        };
        Some(Span { axis, from, to })
    }

    /// Fills in the tree of a document what it leaves out.
    pub(super) fn complete(self, tree: &mut Node) {
        for (path, value) in self.usual() {
            tree.fill(path, Usual::Number(value));
        }
        if tree.text("window.y.axis").is_none()
            && let Some(span) = self.span(Axis::MeltTemperature)
        {
            tree.fill("window.y.axis", Usual::Word("melt_temperature"));
            tree.fill("window.y.from", Usual::Number(span.from));
            tree.fill("window.y.to", Usual::Number(span.to));
        }
    }

    /// Takes the usual numbers of the family into a scenario in place of its own, and lets the window show them.
    pub fn take(self, scenario: &mut Scenario) {
        let Ok(mut tree) = document::tree(scenario) else { return };
        for (path, value) in self.usual() {
            if let Some(place) = tree.pointer_mut(&format!("/{}", path.replace('.', "/"))) {
                *place = Value::from(value);
            }
        }
        let Ok(taken) = document::read_tree::<Scenario>(tree) else { return };
        *scenario = taken;
        scenario.feedstock.family = Some(self);
        scenario.debinding = Debinding::usual(Some(self));
        scenario.setup.further_hold.clear();
        for side in [&mut scenario.window.x, &mut scenario.window.y] {
            if let Some(span) = self.span(side.axis) {
                *side = span;
            }
        }
    }

    /// A typical flow law: that of the first demo of the family, whose constants are illustrative.
    pub fn flow_law(self) -> Option<FlowLaw> {
        let of = |demo: &demo::Demo| Some(demo.scenario().feedstock).filter(|f| f.family == Some(self));
        demo::DEMOS.iter().find_map(of).map(|feedstock| feedstock.flow_law)
    }

    /// Takes the family's typical flow law into a scenario in place of its own, as that of the loading that is set. What was
    /// known of the own law's errors, of slip and of ends goes with it.
    pub fn take_flow_law(self, scenario: &mut Scenario) {
        let Some(law) = self.flow_law() else { return };
        let feedstock = &mut scenario.feedstock;
        feedstock.flow_law = law;
        feedstock.measured_loading = feedstock.solids_loading;
        feedstock.provenance = format!("illustrative, typical of {}", self.label());
        (feedstock.slip_velocity, feedstock.entrance_correction) = (0.0, 0.0);
        let known = feedstock.uncertainty.take();
        feedstock.uncertainty =
            known.map(|known| Uncertainty::default().beside(Some(&known), "feedstock.flow_law."));
    }

    /// What a scenario sets beyond the usual range of the family, in sentences.
    pub fn unusual(self, scenario: &Scenario) -> Vec<String> {
        let setup = &scenario.setup;
        let set = [setup.melt_temperature, setup.mould_temperature, setup.hold_pressure];
        let mut out = Vec::new();
        for ((path, ranges), value) in RANGES.iter().zip(set) {
            let [low, high] = ranges[self as usize];
            let Some(parameter) = catalogue::at(path) else { continue };
            if value < low || value > high {
                let (title, unit) = (parameter.title, parameter.unit);
                let [value, low, high] = [value, low, high].map(|number_of| number(number_of, 4));
                out.push(format!(
                    "{title} is {value} {unit}. With {}, {low} to {high} {unit} is usual.",
                    self.label()
                ));
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::demo;
    use crate::uncertainty::Doubt;

    fn stated(family: Family, more: &str) -> Scenario {
        let text = format!(
            r#"{{ "gatefrost": 2, "name": "check", "feedstock": {{ "family": "{}" }},
            "cavity": {{ "passages": [{{ "name": "a", "role": "part",
              "form": {{ "strip": {{ "length": 20, "width": 10, "thickness": 2 }} }} }}] }}{more} }}"#,
            family.name()
        );
        Scenario::from_json(&text).unwrap_or_else(|e| panic!("{}: {e}", family.name()))
    }

    /// A misspelt path would be refused by no one where a document leaves it out.
    #[test]
    fn usual_numbers_are_catalogued_and_in_range() {
        for family in Family::ALL {
            assert_eq!(Family::named(family.name()), Some(family));
            for (path, value) in family.usual() {
                assert!(catalogue::at(path).is_some_and(|p| p.accepts(value)), "{path} = {value}");
                if let Some([low, high]) = family.range(path) {
                    assert!((low..=high).contains(&value), "{path} = {value}");
                }
            }
        }
    }

    #[test]
    fn a_familys_value_stands_for_a_number_that_is_left_out_and_for_no_other() {
        let typed = r#", "setup": { "melt_temperature": 195 }"#;
        let found = stated(Family::Polyacetal, typed);
        assert_eq!((found.setup.melt_temperature, found.setup.mould_temperature), (195.0, 130.0));
        assert_eq!(found.validate_plane(), Ok(()));
        // Without a family, and in a document of version 1, the catalogue's default stands.
        let text = demo::default_demo().scenario().to_json();
        let plain = Scenario::from_json(&text).expect("valid");
        assert_eq!(plain.feedstock.family, None);
        for family in Family::ALL {
            assert_eq!(stated(family, "").validate_plane(), Ok(()), "{}", family.name());
        }
    }

    #[test]
    fn taking_a_family_leaves_part_and_powder_and_is_valid() {
        for family in Family::ALL {
            let before = demo::default_demo().scenario();
            let mut after = before.clone();
            family.take(&mut after);
            assert_eq!(after.validate_plane(), Ok(()), "{}", family.name());
            assert_eq!(after.cavity, before.cavity);
            assert_eq!(after.feedstock.powder_density, before.feedstock.powder_density);
            assert_eq!(after.feedstock.family, Some(family));
            for (path, value) in family.usual() {
                let tree = document::tree(&after).expect("a document");
                let stands = tree.pointer(&format!("/{}", path.replace('.', "/"))).and_then(Value::as_f64);
                assert_eq!(stands, Some(value), "{path}");
            }
        }
    }

    /// Errors of the flow law that is replaced say nothing about the typical one; those of other numbers stay.
    #[test]
    fn taking_a_familys_flow_law_leaves_no_errors_of_another() {
        for family in Family::ALL {
            let mut s = demo::default_demo().scenario();
            family.take(&mut s);
            let own = s.feedstock.flow_law.clone();
            let doubt = |path: &str| Doubt { path: path.to_owned(), standard_error: 0.1, logarithmic: true };
            let numbers = ["feedstock.flow_law.cross_wlf.n", "feedstock.swell"].map(doubt).to_vec();
            s.feedstock.uncertainty = Some(Uncertainty { numbers, correlation: vec![vec![1.0]] });
            family.take_flow_law(&mut s);
            assert_eq!(s.validate_plane(), Ok(()), "{}", family.name());
            assert!(s.feedstock.flow_law != own && Some(&s.feedstock.flow_law) == family.flow_law().as_ref());
            let left = s.feedstock.uncertainty.unwrap();
            assert_eq!((left.numbers, left.correlation.len()), (vec![doubt("feedstock.swell")], 0));
            assert!(s.feedstock.provenance.contains(family.label()));
        }
    }

    /// Practice with polyacetal is far from that with wax, and the other way round.
    #[test]
    fn a_setting_of_another_family_is_named_with_what_is_usual() {
        let mut s = stated(Family::WaxLowPressure, "");
        assert_eq!(Family::WaxLowPressure.unusual(&s), Vec::<String>::new());
        s.setup.melt_temperature = 190.0;
        let said = Family::WaxLowPressure.unusual(&s);
        assert_eq!(said.len(), 1);
        for word in ["Melt temperature", "190 °C", "60 to 95 °C", "wax alone"] {
            assert!(said[0].contains(word), "{word}: {}", said[0]);
        }
        assert_eq!(Family::Polyacetal.unusual(&stated(Family::WaxPolyolefin, "")).len(), 2);
    }
}
