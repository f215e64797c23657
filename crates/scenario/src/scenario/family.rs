//! Families of binder: what a practitioner of each takes as usual.
//!
//! In a document that states a family, its value stands for a number that is left out. What a user takes to begin with
//! ([`Family::take`]) is more: binder and pvT are those of the family's worked demo, and the hold goes with them. Its flow law
//! is offered by itself, because the one that stands may have been measured.
//! The values are common practice and from memory, not a recipe: a feedstock's own data replace them.

use super::{Axis, Debinding, Feedstock, FlowLaw, HoldStep, Scenario, Span, demo};
use crate::catalogue;
use crate::document::{self, Node, Usual};
use crate::format::number;
use crate::uncertainty::{Doubt, Uncertainty};
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

/// What a user takes to begin with where it differs from [`USUAL`], in the same order. These values may change.
const TAKEN: &[(&str, [f64; 4])] = &[
    ("setup.melt_temperature", [175.0, 190.0, 165.0, 80.0]),
    ("setup.injection_time", [0.6, 0.4, 0.6, 0.5]),
    ("setup.hold_pressure", [55.0, 55.0, 60.0, 0.4]),
    ("setup.hold_time", [4.0, 0.6, 4.0, 8.0]),
];

/// Further steps of the hold that a user takes: polyacetal sticks where the first pressure is held until the gate is shut.
const FURTHER_HOLD: [Option<HoldStep>; 4] = [None, Some(HoldStep { pressure: 35.0, time: 4.0 }), None, None];

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

    /// What a practitioner takes where nothing better is known: path and value, in the catalogue's unit.
    pub fn usual(self) -> impl Iterator<Item = (&'static str, f64)> {
        USUAL.iter().map(move |(path, values)| (*path, values[self as usize]))
    }

    /// The usual range of a setting, where the family has one.
    pub fn range(self, path: &str) -> Option<[f64; 2]> {
        RANGES.iter().find(|(of, _)| *of == path).map(|(_, ranges)| ranges[self as usize])
    }

    /// Part of an axis of the window that shows the usual settings, and some beyond them; `no_flow` is the no-flow
    /// temperature \[°C\].
    fn span(self, axis: Axis, no_flow: f64) -> Option<Span> {
        let usual = |wanted: &str| self.usual().find(|(path, _)| *path == wanted).map(|(_, value)| value);
        let [low, high] = self.range(axis.path()?)?;
        let (from, to) = match axis {
            Axis::MeltTemperature => (no_flow + 10.0, high + 20.0),
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
        let no_flow = self.usual().find(|(path, _)| *path == "feedstock.no_flow_temperature");
        if tree.text("window.y.axis").is_none()
            && let Some(span) = no_flow.and_then(|(_, value)| self.span(Axis::MeltTemperature, value))
        {
            tree.fill("window.y.axis", Usual::Word("melt_temperature"));
            tree.fill("window.y.from", Usual::Number(span.from));
            tree.fill("window.y.to", Usual::Number(span.to));
        }
    }

    /// The worked demo of the family.
    pub fn demo(self) -> &'static str {
        ["hasp", "toggle", "cleat", "ferrule"][self as usize]
    }

    /// Takes what is usual in the family into a scenario in place of its own, and lets the window show it: binder and pvT
    /// of the family's worked demo, machine, limits and scatter of the usual numbers, and a set-up that goes with them.
    /// The powder, its loading, the part and the flow law stay.
    pub fn take(self, scenario: &mut Scenario) {
        let Some(demo) = demo::find(self.demo()) else { return };
        self.put_usual(scenario, "");
        self.take_binder(&mut scenario.feedstock, demo.scenario().feedstock);
        self.set_up(scenario);
        scenario.debinding = Debinding::usual(Some(self));
        for side in [&mut scenario.window.x, &mut scenario.window.y] {
            if let Some(span) = self.span(side.axis, scenario.feedstock.no_flow_temperature) {
                *side = span;
            }
        }
    }

    /// Machine and set-up that are usual in the family, in place of those of a scenario.
    pub(super) fn set_up(self, scenario: &mut Scenario) {
        self.put_usual(scenario, "machine.");
        self.put_usual(scenario, "setup.");
        scenario.setup.further_hold = FURTHER_HOLD[self as usize].iter().cloned().collect();
    }

    /// Puts the numbers that are taken, of paths with this beginning, in place of those of a scenario.
    fn put_usual(self, scenario: &mut Scenario, beginning: &str) {
        let Ok(mut tree) = document::tree(scenario) else { return };
        let taken = TAKEN.iter().map(|(path, values)| (*path, values[self as usize]));
        for (path, value) in self.usual().chain(taken).filter(|(path, _)| path.starts_with(beginning)) {
            if let Some(place) = tree.pointer_mut(&format!("/{}", path.replace('.', "/"))) {
                *place = Value::from(value);
            }
        }
        if let Ok(usual) = document::read::<Scenario>(&tree.to_string()) {
            *scenario = usual;
        }
    }

    /// Puts the binder of another feedstock in place of that of `own`: what follows from its heat, its volume and its
    /// temperatures. How long it bears the barrel stays.
    fn take_binder(self, own: &mut Feedstock, other: Feedstock) {
        let before = document::tree(own).unwrap_or_default();
        let own_is = own.clone();
        *own = Feedstock {
            family: Some(self),
            pvt: other.pvt,
            binder_density: other.binder_density,
            binder_heat_capacity: other.binder_heat_capacity,
            binder_conductivity: other.binder_conductivity,
            binder_expansion: other.binder_expansion,
            binder_compressibility: other.binder_compressibility,
            latent_heat: other.latent_heat,
            solidus: other.solidus,
            liquidus: other.liquidus,
            further_melting: other.further_melting,
            melted_temperature: other.melted_temperature,
            no_flow_temperature: other.no_flow_temperature,
            setting_range: other.setting_range,
            ejection_temperature: other.ejection_temperature,
            ..own_is
        };
        // What is known of numbers of the former binder says nothing of this one.
        let after = document::tree(own).unwrap_or_default();
        let stays = |path: &str| match path.strip_prefix("feedstock.") {
            Some(field) => {
                let pointer = format!("/{}", field.replace('.', "/"));
                after.pointer(&pointer).is_some_and(|value| before.pointer(&pointer) == Some(value))
            }
            None => true,
        };
        let usual = Uncertainty::usual(own);
        let mut known = own.uncertainty.take().unwrap_or_default();
        if known.numbers.iter().any(|doubt| !stays(&doubt.path)) {
            known.numbers.retain(|doubt| stays(&doubt.path));
            known.correlation.clear();
        }
        let has = |doubt: &Doubt, known: &Uncertainty| known.numbers.iter().any(|d| d.path == doubt.path);
        let fresh: Vec<Doubt> = usual.numbers.into_iter().filter(|doubt| !has(doubt, &known)).collect();
        if !fresh.is_empty() {
            known.numbers.extend(fresh);
            known.correlation.clear();
        }
        own.uncertainty = Some(known);
    }

    /// A typical flow law: that of the family's worked demo, whose constants are illustrative.
    pub fn flow_law(self) -> Option<FlowLaw> {
        demo::find(self.demo()).map(|demo| demo.scenario().feedstock.flow_law)
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
            assert_eq!(Scenario::from_json(&after.to_json()).as_ref(), Ok(&after), "{}", family.name());
            assert_eq!(after.cavity, before.cavity);
            let powder = |s: &Scenario| {
                let f = &s.feedstock;
                [f.powder_density, f.particle_size, f.solids_loading, f.critical_loading]
            };
            assert_eq!(powder(&after), powder(&before));
            let f = &after.feedstock;
            assert_eq!((f.family, &f.flow_law), (Some(family), &before.feedstock.flow_law));
            let of_demo = demo::find(family.demo()).expect("a demo").scenario().feedstock;
            assert_eq!((&f.pvt, &f.further_melting), (&of_demo.pvt, &of_demo.further_melting));
            assert_eq!(f.no_flow_temperature, of_demo.no_flow_temperature);
            assert_eq!(family.unusual(&after), Vec::<String>::new(), "{}", family.name());
        }
    }

    /// A document that states a family and leaves a number out means the same for ever, whatever is taken today.
    #[test]
    fn a_document_means_the_values_that_were_released() {
        let found = Family::ALL.map(|family| {
            let s = stated(family, "");
            let (f, setup) = (&s.feedstock, &s.setup);
            assert!(setup.further_hold.is_empty() && f.pvt == super::super::PvtLaw::Linear);
            [
                f.no_flow_temperature,
                f.solidus,
                f.liquidus,
                f.ejection_temperature,
                setup.melt_temperature,
                setup.hold_pressure,
                setup.hold_time,
                setup.injection_time,
            ]
        });
        let released = [
            [95.0, 45.0, 75.0, 60.0, 165.0, 70.0, 4.0, 0.6],
            [144.0, 138.0, 152.0, 140.0, 190.0, 80.0, 5.0, 0.6],
            [95.0, 48.0, 66.0, 60.0, 165.0, 70.0, 4.0, 0.6],
            [53.0, 46.0, 64.0, 45.0, 80.0, 0.4, 8.0, 2.0],
        ];
        assert_eq!(found, released);
    }

    /// What is known of the former binder goes with it; what is known of the mould and of the flow law, which stay, stays.
    #[test]
    fn what_is_known_of_the_former_binder_goes_with_it() {
        let mut s = demo::default_demo().scenario();
        let doubt = |path: &str| Doubt { path: path.to_owned(), standard_error: 0.2, logarithmic: true };
        let [binder, law, contact] =
            ["feedstock.latent_heat", "feedstock.flow_law.cross_wlf.d1", "setup.contact_conductance"]
                .map(doubt);
        let numbers = vec![binder.clone(), law.clone(), contact.clone()];
        s.feedstock.uncertainty = Some(Uncertainty { numbers, correlation: vec![] });
        Family::WaxLowPressure.take(&mut s);
        let numbers = s.feedstock.uncertainty.clone().expect("usual").numbers;
        assert!(!numbers.contains(&binder) && numbers.contains(&law) && numbers.contains(&contact));
        assert!(numbers.iter().any(|d| d.path.ends_with("no_flow_temperature")), "{numbers:?}");
        assert_eq!(s.validate(), Ok(()));
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
