//! The uncertainty of the numbers of a feedstock. It is stored with the feedstock, and scenarios are drawn from it.
//!
//! The estimate of a recipe gives each number a standard error, taken as independent. A fit gives those of the flow law
//! with their correlation. Others are typed. All become an [`Uncertainty`], and [`Uncertainty::draw`] gives scenarios
//! whose feedstocks scatter accordingly. The contact between melt and mould may be among them. It belongs to the set-up,
//! but it is as uncertain as the feedstock, and changes as little from shot to shot.

use crate::format::{number, quoted};
use crate::scenario::{ConductivityRule, Feedstock, FlowLaw, PvtLaw, Scenario, ScenarioError};
use crate::{catalogue, document, naming};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::matrix::root;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Greatest number of uncertain numbers.
const MOST_NUMBERS: usize = 64;

/// Greatest number of correlated ones.
const MOST_CORRELATED: usize = 24;

/// The contact conductance, which may be uncertain although it belongs to the set-up.
const CONTACT: &str = "setup.contact_conductance";

/// The other numbers that may be uncertain besides those of the feedstock: what a calibration finds beside them.
const OF_TRIALS: [&str; 2] = ["trials.pressure_loss", "trials.mass_scale"];

/// The uncertainty of one number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Doubt {
    /// Path in a scenario, such as `feedstock.flow_law.cross_wlf.n`; outside the feedstock there are only
    /// `setup.contact_conductance`, `trials.pressure_loss` and `trials.mass_scale`.
    pub path: String,
    /// Standard error, in the unit of the number or of its natural logarithm.
    pub standard_error: f64,
    /// Whether the logarithm scatters (log-normal) or the number itself (normal).
    #[serde(default)]
    pub logarithmic: bool,
}

/// The uncertainty of the numbers of a feedstock.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// The numbers that are uncertain.
    pub numbers: Vec<Doubt>,
    /// Correlation matrix of the first of them, one row for each. The others are independent.
    #[serde(default)]
    pub correlation: Vec<Vec<f64>>,
}

/// Usual standard error of the no-flow temperature \[K\]: set by the backbone on cooling, from memory.
const NO_FLOW_ERROR: f64 = 7.0;
/// Usual standard error of ln h_c: 1e3 to 1e4 W/m²K, from memory, as the range that holds 95 %.
const CONTACT_ERROR: f64 = 0.6;

impl Uncertainty {
    /// The uncertainty of a feedstock for which none is stated: the three numbers that decide the hold. The contact
    /// conductance is known to a factor of 1.8, the no-flow temperature to 7 K, and the conductivity as well as the rules
    /// that estimate it agree.
    pub fn usual(f: &Feedstock) -> Self {
        let spread = ConductivityRule::spread(
            f.solids_loading / 100.0,
            f.critical_loading / 100.0,
            f.powder_conductivity,
            f.binder_conductivity,
        );
        let doubt = |path: &str, standard_error: f64, logarithmic| Doubt {
            path: path.to_owned(),
            standard_error,
            logarithmic,
        };
        let rounded = (100.0 * spread).round() / 100.0;
        let numbers = vec![
            doubt(CONTACT, CONTACT_ERROR, true),
            doubt("feedstock.no_flow_temperature", NO_FLOW_ERROR, false),
            doubt("feedstock.conductivity_factor", if rounded.is_finite() { rounded } else { 0.0 }, true),
        ];
        Self { numbers, correlation: Vec::new() }
    }

    /// This uncertainty, with the entries of `others` that it does not replace. A fit replaces the numbers below
    /// `feedstock.flow_law.`, an estimate all below `feedstock.`.
    pub fn beside(mut self, others: Option<&Self>, replaced: &str) -> Self {
        let others = others.into_iter().flat_map(|others| &others.numbers);
        let own: Vec<String> = self.numbers.iter().map(|d| d.path.clone()).collect();
        let stays = |d: &&Doubt| !d.path.starts_with(replaced) && !own.contains(&d.path);
        self.numbers.extend(others.filter(stays).cloned());
        self
    }

    /// One of the numbers by itself.
    pub fn alone(&self, doubt: &Doubt) -> Self {
        Self { numbers: vec![doubt.clone()], correlation: Vec::new() }
    }

    /// Checks an uncertainty that was read from a document.
    ///
    /// # Errors
    /// Names the entry, its value and what is accepted.
    pub fn validate(&self) -> Result<(), ScenarioError> {
        let mut problems = Vec::new();
        let mut push = |path: String, predicate: String| {
            let path = format!("feedstock.uncertainty.{path}");
            problems.push(naming::problem(&path, naming::title(&path), &predicate));
        };
        if self.numbers.len() > MOST_NUMBERS {
            let count = self.numbers.len();
            push("numbers".to_owned(), format!("has {count} entries; accepted is 0 to {MOST_NUMBERS}"));
        }
        for (i, doubt) in self.numbers.iter().enumerate().take(MOST_NUMBERS) {
            let error = doubt.standard_error;
            if !(error.is_finite() && error >= 0.0) {
                push(
                    format!("numbers.{i}.standard_error"),
                    format!("is {}; accepted is a number, 0 or more", number(error, 6)),
                );
            }
            let path = doubt.path.as_str();
            let may_be = path.starts_with("feedstock.") || path == CONTACT || OF_TRIALS.contains(&path);
            if !may_be || catalogue::at(&doubt.path).is_none() {
                push(
                    format!("numbers.{i}.path"),
                    format!(
                        "is {}; accepted is the path of a number of the feedstock, or one of {CONTACT}, {}",
                        quoted(&doubt.path),
                        OF_TRIALS.join(", ")
                    ),
                );
            } else if self.numbers[..i].iter().any(|other| other.path == doubt.path) {
                push(
                    format!("numbers.{i}.path"),
                    format!(
                        "is {}, given twice; accepted is one standard error for each number",
                        quoted(&doubt.path)
                    ),
                );
            }
        }
        let side = self.correlation.len();
        let most = MOST_CORRELATED.min(self.numbers.len());
        if side > most || self.correlation.iter().any(|row| row.len() != side) {
            push("correlation".to_owned(), format!("must be square, with at most {most} rows"));
        } else {
            let mut sound = true;
            for (i, row) in self.correlation.iter().enumerate() {
                let fits = |j: usize| {
                    (row[j] - self.correlation[j][i]).abs() < 1e-6 && (-1.0..=1.0).contains(&row[j])
                };
                if !(0..side).all(fits) || (row[i] - 1.0).abs() > 1e-6 {
                    sound = false;
                    let message = "must be symmetric, from −1 to 1, with 1 on the diagonal".to_owned();
                    push(format!("correlation.{i}"), message);
                }
            }
            if sound && root(&self.matrix(side)).is_none() {
                let message =
                    "is not positive semidefinite: no numbers can be correlated like that".to_owned();
                push("correlation".to_owned(), message);
            }
        }
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    /// A scenario drawn from the uncertainty: `normals` are independent standard normal numbers, one for each
    /// of `numbers` (missing ones are 0). Drawn numbers stay within the range of the catalogue, and the feedstock stays
    /// valid. Numbers of a flow law that the scenario does not have are skipped. The drawn scenario is one possible
    /// feedstock, so it has no uncertainty.
    pub fn draw(&self, scenario: &Scenario, normals: &[f64]) -> Scenario {
        self.shifted(scenario, &self.shifts(normals))
    }

    /// The scenario with each number, or its logarithm, changed by its shift; limited and kept in order as in
    /// [`Self::draw`].
    pub fn shifted(&self, scenario: &Scenario, shifts: &[f64]) -> Scenario {
        let mut certain = scenario.clone();
        certain.feedstock.uncertainty = None;
        let Ok(mut document) = document::tree(&certain) else {
            return certain;
        };
        for (doubt, shift) in self.numbers.iter().zip(shifts) {
            let place = doubt.path.split('.').try_fold(&mut document, |at, field| at.get_mut(field));
            let (Some(place), Some(parameter)) = (place, catalogue::at(&doubt.path)) else { continue };
            let Some(value) = place.as_f64() else { continue };
            let drawn = if doubt.logarithmic { value * shift.exponential() } else { value + shift };
            *place = Value::from(drawn.clamp(parameter.min, parameter.max));
        }
        let set = &scenario.feedstock;
        let full = set.critical_loading;
        let above_pole = scenario.above_pole();
        let mut scenario: Scenario = document::read_tree(document).unwrap_or(certain);
        // Numbers that must keep their order do: the critical loading falls at most half-way to the loadings in use, the
        // pole of the WLF form rises at most half-way to the coldest melt that flows, and setting begins above its end.
        let crossed = (0.5 * above_pole - scenario.above_pole()).max(0.0);
        let drawn = &mut scenario.feedstock;
        if let FlowLaw::CrossWlf(law) = &mut drawn.flow_law {
            law.d2 -= crossed;
        }
        let used = drawn.solids_loading.max(drawn.measured_loading);
        drawn.critical_loading = drawn.critical_loading.max(0.5 * (used + full));
        drawn.liquidus = drawn.liquidus.max(drawn.solidus + 1.0);
        for peak in &mut drawn.further_melting {
            peak.liquidus = peak.liquidus.max(peak.solidus + 1.0);
        }
        // What melting adds goes with the volume of the melt, so that solid and melt still meet.
        if let (PvtLaw::Tait(drawn), PvtLaw::Tait(set)) = (&mut drawn.pvt, &set.pvt) {
            drawn.b1m = drawn.b1m.max(drawn.b1s);
            drawn.b7 = (drawn.b7 + (drawn.b1m - set.b1m) - (drawn.b1s - set.b1s)).max(0.0);
            if drawn.b1s + drawn.b7 > drawn.b1m + 1e-10 {
                drawn.b7 = drawn.b1m - drawn.b1s;
            }
        }
        drawn.particle_size_90 = drawn.particle_size_90.map(|d90| d90.max(drawn.particle_size));
        scenario
    }

    /// The correlation of the first `side` numbers.
    fn matrix(&self, side: usize) -> Vec<Vec<f64>> {
        let at = |i: usize, j: usize| self.correlation.get(i).and_then(|row| row.get(j)).copied();
        (0..side).map(|i| (0..side).map(|j| at(i, j).unwrap_or(0.0)).collect()).collect()
    }

    /// The change of each number, with correlation.
    fn shifts(&self, normals: &[f64]) -> Vec<f64> {
        let factor = self.factor();
        let normal = |i: usize| normals.get(i).copied().unwrap_or(0.0);
        let along = |row: &Vec<f64>| row.iter().enumerate().map(|(k, part)| part * normal(k)).sum();
        factor.iter().map(along).collect()
    }

    /// L with covariance L Lᵀ of the numbers, or of their logarithms: a row for each number, a column for each independent
    /// standard normal one.
    pub fn factor(&self) -> Vec<Vec<f64>> {
        let count = self.numbers.len();
        let side = self.correlation.len().min(MOST_CORRELATED).min(count);
        let together = root(&self.matrix(side)).unwrap_or_default();
        let unit = |i: usize, k: usize| match together.get(i) {
            Some(row) => row.get(k).copied().unwrap_or(0.0),
            None => f64::from(u8::from(i == k)),
        };
        let row =
            |(i, doubt): (usize, &Doubt)| (0..count).map(|k| unit(i, k) * doubt.standard_error).collect();
        self.numbers.iter().enumerate().map(row).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Which fault: a number that may be uncertain, and that the message for a wrong one leaves out.
    #[test]
    fn the_message_for_a_wrong_path_names_every_path_outside_the_feedstock() {
        let of = |path: &str| {
            let doubt = Doubt { path: path.to_owned(), standard_error: 0.1, logarithmic: false };
            Uncertainty { numbers: vec![doubt], correlation: Vec::new() }.validate()
        };
        let message = of("machine.clamp_force").expect_err("no number of the feedstock").to_string();
        for path in [CONTACT].iter().chain(&OF_TRIALS) {
            assert!(of(path).is_ok() && message.contains(path), "{path}: {message}");
        }
    }
}
