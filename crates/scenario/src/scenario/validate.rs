//! Validation. Every message names the field, its value and the accepted range.

use super::{
    FlowLaw, MAX_FURTHER_PEAKS, MAX_HOLD_STEPS, MAX_PASSAGES, MAX_RAM_STEPS, PvtLaw, Scenario, VERSION,
};
use crate::catalogue::{self, Parameter};
use crate::document::{self, Unread};
use crate::format::number;
use crate::naming;
use crate::uncertainty::Uncertainty;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt;

/// Least distance of the coldest melt that may flow from the pole of the WLF form \[K\].
const ABOVE_POLE: f64 = 1.0;

/// How far the shares of the speed steps may be from 100 % together \[%\]: thirds are written with two digits.
const RAM_TOLERANCE: f64 = 0.05;

/// One problem of a scenario.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Problem {
    /// Path of the field, such as `setup.melt_temperature`; empty when the whole document is meant.
    pub path: String,
    /// The problem in a sentence: the field's name, its value and what is accepted.
    pub message: String,
}

impl fmt::Display for Problem {
    /// The path, to find the field in a document, and the message.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { path, message } = self;
        if path.is_empty() || message.starts_with(path) {
            f.write_str(message)
        } else {
            write!(f, "{path}: {message}")
        }
    }
}

/// All problems of a scenario.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ScenarioError {
    /// The problems, at least one.
    pub problems: Vec<Problem>,
}

impl ScenarioError {
    /// One problem, of the field at `path`; `predicate` is the rest of a sentence that begins with its name.
    pub(crate) fn one(path: &str, predicate: &str) -> Self {
        Self { problems: vec![problem(path, predicate)] }
    }

    /// Problems of no single field, each a sentence of its own.
    pub fn saying(sentences: impl IntoIterator<Item = impl Into<String>>) -> Self {
        let problem = |message: String| Problem { path: String::new(), message };
        Self { problems: sentences.into_iter().map(Into::into).map(problem).collect() }
    }

    /// An error of reading. For a number of the catalogue it gives the value found and the accepted range.
    pub(crate) fn unreadable(unread: &Unread) -> Self {
        let predicate =
            catalogue::at(&unread.path).map_or_else(|| unread.predicate.clone(), |p| unread.number(p));
        Self::one(&unread.path, &predicate)
    }
}

impl fmt::Display for ScenarioError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.problems.iter().enumerate() {
            let newline = if i > 0 { "\n" } else { "" };
            write!(f, "{newline}{p}")?;
        }
        Ok(())
    }
}

impl std::error::Error for ScenarioError {}

impl Scenario {
    /// Checks the set point: every number against its range in the catalogue, and the rules between fields.
    /// [`Self::validate_plane`] checks the window.
    ///
    /// # Errors
    /// Lists all the problems found.
    pub fn validate(&self) -> Result<(), ScenarioError> {
        let mut problems = Vec::new();
        self.check_document(&mut problems);
        self.check_numbers(&mut problems);
        if problems.is_empty() {
            self.check_feedstock(&mut problems);
            self.check_cavity(&mut problems);
            self.check_drillings(&mut problems);
            self.check_setup(&mut problems);
            self.check_after(&mut problems);
        }
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    /// Checks the set point, and that the whole plane of the window can be computed.
    ///
    /// # Errors
    /// Lists all the problems found.
    pub fn validate_plane(&self) -> Result<(), ScenarioError> {
        self.validate()?;
        let mut problems = Vec::new();
        self.check_window(&mut problems);
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    fn check_document(&self, problems: &mut Vec<Problem>) {
        if self.gatefrost != VERSION {
            problems.push(problem("gatefrost", format!("is {}; accepted is 1 to {VERSION}", self.gatefrost)));
        }
        let texts = [
            ("name", &self.name, 120),
            ("notes", &self.notes, 4000),
            ("feedstock.name", &self.feedstock.name, 120),
            ("feedstock.provenance", &self.feedstock.provenance, 400),
        ];
        for (path, text, most) in texts {
            check_text(path, text, most, problems);
        }
        let count = self.cavity.passages.len();
        if count == 0 {
            problems.push(problem("cavity.passages", "is empty; at least one passage is needed"));
        }
        if count > MAX_PASSAGES {
            problems.push(problem(
                "cavity.passages",
                format!("has {count} passages; at most {MAX_PASSAGES} are accepted"),
            ));
        }
        let steps = self.setup.further_hold.len();
        if steps > MAX_HOLD_STEPS {
            problems.push(problem(
                "setup.further_hold",
                format!("has {steps} steps; at most {MAX_HOLD_STEPS} are accepted"),
            ));
        }
        self.check_ram(problems);
        self.check_lists_after(problems);
        let peaks = self.feedstock.further_melting.len();
        if peaks > MAX_FURTHER_PEAKS {
            problems.push(problem(
                "feedstock.further_melting",
                format!("has {peaks} peaks; at most {MAX_FURTHER_PEAKS} are accepted"),
            ));
        }
        if let Some(Err(refused)) = self.feedstock.uncertainty.as_ref().map(Uncertainty::validate) {
            problems.extend(refused.problems);
        }
        for (i, passage) in self.cavity.passages.iter().enumerate().take(MAX_PASSAGES) {
            let path = format!("cavity.passages.{i}.name");
            if passage.name.trim().is_empty() {
                problems.push(problem(&path, "is empty; accepted is a name of 1 to 60 characters"));
            } else {
                check_text(&path, &passage.name, 60, problems);
            }
        }
    }

    /// Checks every number of the document against its range in the catalogue.
    pub(super) fn check_numbers(&self, problems: &mut Vec<Problem>) {
        // JSON has no NaN. A number that is not finite becomes null here and is reported.
        let Ok(document) = document::tree(self) else {
            problems.push(problem("", "cannot be written as a document"));
            return;
        };
        walk(&document, &mut String::new(), &mut |path, value| {
            let Some(parameter) = catalogue::at(path) else { return };
            let absent_is_fine = value.is_null() && parameter.default.is_none();
            if !absent_is_fine {
                check_number(parameter, path, value.as_f64(), problems);
            }
        });
    }

    pub(super) fn check_feedstock(&self, problems: &mut Vec<Problem>) {
        let f = &self.feedstock;
        if f.sintered_density <= f.solids_loading {
            problems.push(problem(
                "feedstock.sintered_density",
                format!(
                    "is {} %; it must exceed the solids loading, {} vol%: a part does not grow on sintering",
                    f.sintered_density, f.solids_loading
                ),
            ));
        }
        if let Some(d90) = f.particle_size_90.filter(|d90| *d90 < f.particle_size) {
            problems.push(problem(
                "feedstock.particle_size_90",
                format!("is {d90} µm; it must not be less than the median, {} µm", f.particle_size),
            ));
        }
        for (path, value) in [
            ("feedstock.solids_loading", f.solids_loading),
            ("feedstock.measured_loading", f.measured_loading),
        ] {
            if value >= f.critical_loading {
                problems.push(problem(
                    path,
                    format!(
                        "is {value} vol%; it must stay below the critical loading, {} vol%, where the viscosity diverges",
                        f.critical_loading
                    ),
                ));
            }
        }
        if f.latent_heat > 0.0 && f.liquidus < f.solidus + 1.0 {
            problems.push(problem(
                "feedstock.liquidus",
                format!("is {} °C; it must be at least 1 K above the solidus, {} °C", f.liquidus, f.solidus),
            ));
        }
        for (i, peak) in f.further_melting.iter().enumerate() {
            if peak.liquidus < peak.solidus + 1.0 {
                problems.push(problem(
                    &format!("feedstock.further_melting.{i}.liquidus"),
                    format!(
                        "is {} °C; it must be at least 1 K above the solidus, {} °C",
                        peak.liquidus, peak.solidus
                    ),
                ));
            }
        }
        if let PvtLaw::Tait(t) = &f.pvt
            && t.b1s + t.b7 > t.b1m + 1e-9
        {
            problems.push(problem(
                "feedstock.pvt.tait.b7",
                format!(
                    "is {} cm³/g; solid and melting together, {} cm³/g, must not take more room than the melt, {} cm³/g",
                    t.b7,
                    number(t.b1s + t.b7, 6),
                    t.b1m
                ),
            ));
        }
        if let FlowLaw::CrossWlf(c) = &f.flow_law
            && self.above_pole() <= ABOVE_POLE
        {
            let coldest = self.coldest_flowing();
            problems.push(problem(
                "feedstock.flow_law.cross_wlf.d2",
                format!(
                    "is {} °C; the WLF form has its pole at D2 − A2, which must lie more than 1 K below the coldest melt that may flow, {} °C: accepted is less than {} °C",
                    number(c.d2, 6),
                    number(coldest, 6),
                    number(c.a2 + coldest - ABOVE_POLE, 6)
                ),
            ));
        }
    }

    /// Coldest melt that may flow \[°C\]: at the no-flow temperature, or at the mould's where that is higher.
    fn coldest_flowing(&self) -> f64 {
        let wall = self.setup.mould_temperature.min(self.setup.melt_temperature);
        self.feedstock.no_flow_temperature.max(wall)
    }

    /// Distance of that temperature from the pole of the WLF form, A₂ + T − D₂ \[K\]; infinite for a law without a pole.
    /// Pressure shifts T* and A₂ by the same amount, so the pole does not move.
    pub(crate) fn above_pole(&self) -> f64 {
        match &self.feedstock.flow_law {
            FlowLaw::CrossWlf(c) => c.a2 + self.coldest_flowing() - c.d2,
            _ => f64::INFINITY,
        }
    }

    /// Drillings that would meet each other or the cavity.
    fn check_drillings(&self, problems: &mut Vec<Problem>) {
        let m = &self.mould;
        for (path, value, bores, words) in [
            ("mould.drilling_pitch", m.drilling_pitch, 1.5, "1.5 times the bore"),
            ("mould.drilling_depth", m.drilling_depth, 1.0, "the bore"),
        ] {
            if value < bores * m.drilling_bore {
                let bore = m.drilling_bore;
                problems.push(problem(
                    path,
                    format!("is {value} mm; it must be at least {words}, which is {bore} mm wide"),
                ));
            }
        }
    }

    /// The steps of the ram speed are few, and together inject all of the volume.
    fn check_ram(&self, problems: &mut Vec<Problem>) {
        let steps = &self.setup.ram;
        if steps.len() > MAX_RAM_STEPS {
            let count = steps.len();
            let predicate = format!("has {count} steps; at most {MAX_RAM_STEPS} are accepted");
            problems.push(problem("setup.ram", predicate));
        }
        let sum: f64 = steps.iter().map(|step| step.share).sum();
        if !steps.is_empty() && (sum - 100.0).abs() > RAM_TOLERANCE {
            let predicate = format!(
                "injects {} % of the volume; the shares of its steps must add up to 100 %",
                number(sum, 6)
            );
            problems.push(problem("setup.ram", predicate));
        }
    }

    pub(super) fn check_setup(&self, problems: &mut Vec<Problem>) {
        let (melt, mould) = (self.setup.melt_temperature, self.setup.mould_temperature);
        if mould > melt {
            problems.push(problem(
                "setup.mould_temperature",
                format!("is {mould} °C; it must not exceed the melt temperature, {melt} °C"),
            ));
        }
        let most = self.machine.max_pressure;
        let further = self.setup.further_hold.iter().enumerate();
        let further = further.map(|(i, s)| (format!("setup.further_hold.{i}.pressure"), s.pressure));
        for (path, hold) in
            std::iter::once(("setup.hold_pressure".to_owned(), self.setup.hold_pressure)).chain(further)
        {
            if hold > most {
                problems.push(problem(
                    &path,
                    format!("is {hold} MPa; it must not exceed the greatest injection pressure, {most} MPa"),
                ));
            }
        }
        let no_flow = self.feedstock.no_flow_temperature;
        if melt <= no_flow {
            problems.push(problem(
                "setup.melt_temperature",
                format!("is {melt} °C; it must exceed the no-flow temperature, {no_flow} °C"),
            ));
        }
    }
}

/// Checks the length of a text. A name is a single line without control characters.
pub(super) fn check_text(path: &str, text: &str, most: usize, problems: &mut Vec<Problem>) {
    let length = text.chars().count();
    if length > most {
        problems.push(problem(path, format!("has {length} characters; at most {most} are accepted")));
    }
    if naming::is_name(path)
        && let Some(control) = text.chars().find(|c| c.is_control())
    {
        let predicate =
            format!("holds the control character {control:?}; accepted are characters that can be shown");
        problems.push(problem(path, predicate));
    }
}

/// Whether a number of the catalogue is in its range; `None` is a number that is not finite.
pub(super) fn check_number(
    parameter: &Parameter,
    path: &str,
    found: Option<f64>,
    problems: &mut Vec<Problem>,
) {
    if found.is_some_and(|v| parameter.accepts(v)) {
        return;
    }
    let shown = found.map_or_else(|| "not a finite number".to_owned(), |v| number(v, 6));
    problems.push(problem(path, format!("is {shown}; accepted is {}", parameter.accepted())));
}

/// A problem of the field at `path`; `predicate` is the rest of a sentence that begins with its name.
pub(super) fn problem(path: &str, predicate: impl AsRef<str>) -> Problem {
    naming::problem(path, naming::title(path), predicate.as_ref())
}

/// Visits every leaf of a document with its dotted path.
pub(super) fn walk(value: &Value, path: &mut String, visit: &mut impl FnMut(&str, &Value)) {
    let length = path.len();
    let mut step = |name: &str, child: &Value, path: &mut String| {
        if length > 0 {
            path.push('.');
        }
        path.push_str(name);
        walk(child, path, visit);
        path.truncate(length);
    };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, child)| step(name, child, path)),
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(i, child)| step(&i.to_string(), child, path));
        }
        leaf => visit(path, leaf),
    }
}

#[cfg(test)]
mod tests {
    use crate::scenario::{CrossWlfConstants, FlowLaw, Scenario, demo};
    use crate::uncertainty::{Doubt, Uncertainty};

    fn with_reference(d2: f64, no_flow: f64, mould: f64) -> Scenario {
        let mut s = demo::default_demo().scenario();
        let constants = CrossWlfConstants { d1: 1e14, d2, a1: 30.0, ..CrossWlfConstants::default() };
        s.feedstock.flow_law = FlowLaw::CrossWlf(constants);
        s.feedstock.no_flow_temperature = no_flow;
        s.setup.mould_temperature = mould;
        s
    }

    #[test]
    fn drillings_must_not_run_into_each_other_or_into_the_cavity() {
        for (bore, pitch, depth, refused) in [
            (8.0, 30.0, 16.0, None),
            (8.0, 11.0, 16.0, Some("mould.drilling_pitch")),
            (8.0, 30.0, 7.0, Some("mould.drilling_depth")),
        ] {
            let mut s = demo::default_demo().scenario();
            (s.mould.drilling_bore, s.mould.drilling_pitch, s.mould.drilling_depth) = (bore, pitch, depth);
            let found = s.validate().err().map(|e| e.problems[0].path.clone());
            assert_eq!(found.as_deref(), refused);
        }
    }

    /// The pole lies at D2 − A2, 51.6 K below D2.
    #[test]
    fn the_pole_of_the_wlf_form_is_held_against_the_coldest_melt_that_flows() {
        for (d2, no_flow, mould, sound) in [
            (100.0, 70.0, 40.0, true),
            (100.0, 90.0, 20.0, true),
            (120.0, 70.0, 40.0, true),
            (120.7, 70.0, 40.0, false),
            (100.0, 49.0, 40.0, false),
            // No melt is colder than the mould.
            (100.0, 20.0, 60.0, true),
        ] {
            let checked = with_reference(d2, no_flow, mould).validate();
            assert_eq!(checked.is_ok(), sound, "{d2} {no_flow} {mould}: {checked:?}");
            if let Err(refused) = checked {
                assert_eq!(refused.problems[0].path, "feedstock.flow_law.cross_wlf.d2");
                assert!(refused.to_string().contains(&format!("may flow, {no_flow} °C")), "{refused}");
            }
        }
    }

    #[test]
    fn a_drawn_feedstock_keeps_clear_of_the_pole() {
        let scenario = with_reference(100.0, 70.0, 40.0);
        let doubt = |path: &str| Doubt { path: path.to_owned(), standard_error: 15.0, logarithmic: false };
        let numbers = vec![doubt("feedstock.flow_law.cross_wlf.d2"), doubt("feedstock.no_flow_temperature")];
        let uncertain = Uncertainty { numbers, correlation: vec![] };
        for normals in [[2.0, -1.0], [1.5, 0.0], [0.0, -3.0], [-2.0, 2.0]] {
            let drawn = uncertain.draw(&scenario, &normals);
            assert_eq!(drawn.validate(), Ok(()), "{normals:?}");
        }
    }
}
