//! How far the numbers of a feedstock may be off, in a form that can travel with it and be drawn from.
//!
//! A recipe's estimate gives each number its standard error, taken as independent; a fit gives those of
//! the flow law with their correlation. Both become an [`Uncertainty`], and [`Uncertainty::draw`] gives
//! feedstocks that scatter as it says.

use crate::recipe::Estimated;
use crate::rheometry::fit::Fit;
use crate::rheometry::small::{MOST, Matrix, eigen};
use crate::scenario::{Feedstock, Problem, ScenarioError};
use crate::{catalogue, document};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Numbers at most.
const MOST_NUMBERS: usize = 64;

/// How far one number may be off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Doubt {
    /// Path in a scenario, such as `feedstock.flow_law.cross_wlf.n`.
    pub path: String,
    /// Standard error, in the unit of the number or of its natural logarithm.
    pub standard_error: f64,
    /// Whether the logarithm scatters (log-normal) or the number itself (normal).
    #[serde(default)]
    pub logarithmic: bool,
}

/// How far the numbers of a feedstock may be off.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// The numbers that are uncertain.
    pub numbers: Vec<Doubt>,
    /// Correlation matrix of the first of them, as many as it has rows; the others are independent.
    #[serde(default)]
    pub correlation: Vec<Vec<f64>>,
}

impl Uncertainty {
    /// That of a recipe's estimate: every number independent of the others.
    pub fn of_estimate(parameters: &[Estimated]) -> Self {
        let uncertain = parameters.iter().filter(|e| e.standard_error > 0.0);
        let numbers = uncertain.map(|e| Doubt {
            path: e.quantity.clone().into_owned(),
            standard_error: e.standard_error,
            logarithmic: e.logarithmic,
        });
        Self { numbers: numbers.collect(), correlation: Vec::new() }
    }

    /// That of a fitted flow law. A constant that the readings do not determine has no error to give.
    pub fn of_fit(fit: &Fit) -> Self {
        let error = |row: usize| fit.covariance[row][row].max(0.0).sqrt();
        let rows: Vec<usize> = (0..fit.free.len()).filter(|&row| error(row) > 0.0).collect();
        let numbers = rows.iter().map(|&row| {
            let constant = &fit.constants[fit.free[row]];
            let scale = if constant.logarithmic { constant.value } else { 1.0 };
            Doubt {
                path: constant.path.clone(),
                standard_error: error(row) / scale,
                logarithmic: constant.logarithmic,
            }
        });
        // A change of unit leaves a correlation as it is.
        let of = |a: usize, b: usize| (fit.covariance[a][b] / error(a) / error(b)).clamp(-1.0, 1.0);
        let correlation = rows.iter().map(|&a| rows.iter().map(|&b| of(a, b)).collect());
        Self { numbers: numbers.collect(), correlation: correlation.collect() }
    }

    /// This fit's uncertainty, with what was known of everything but the flow law.
    pub fn beside(mut self, others: Option<&Self>) -> Self {
        let others = others.into_iter().flat_map(|others| &others.numbers);
        self.numbers.extend(others.filter(|d| !d.path.starts_with("feedstock.flow_law.")).cloned());
        self
    }

    /// Checks what was read from a document.
    ///
    /// # Errors
    /// Names the entry, its value and what is accepted.
    pub fn validate(&self) -> Result<(), ScenarioError> {
        let mut problems = Vec::new();
        let mut push = |path: String, message: String| problems.push(Problem { path, message });
        if self.numbers.len() > MOST_NUMBERS {
            let count = self.numbers.len();
            push("numbers".to_owned(), format!("has {count} entries; accepted is 0 to {MOST_NUMBERS}"));
        }
        for (i, doubt) in self.numbers.iter().enumerate().take(MOST_NUMBERS) {
            let error = doubt.standard_error;
            if !(error.is_finite() && error >= 0.0) {
                push(format!("numbers.{i}.standard_error"), format!("is {error}; accepted is 0 or more"));
            }
            if !doubt.path.starts_with("feedstock.") || catalogue::at(&doubt.path).is_none() {
                push(format!("numbers.{i}.path"), format!("{:.80?} is no number of a feedstock", doubt.path));
            } else if self.numbers[..i].iter().any(|other| other.path == doubt.path) {
                push(format!("numbers.{i}.path"), format!("{:?} stands there twice", doubt.path));
            }
        }
        let side = self.correlation.len();
        let most = MOST.min(self.numbers.len());
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
            if sound && eigen(self.matrix(side), side).0[..side].iter().any(|value| *value < -1e-6) {
                let message = "contradicts itself: no numbers go together like that".to_owned();
                push("correlation".to_owned(), message);
            }
        }
        if problems.is_empty() { Ok(()) } else { Err(ScenarioError { problems }) }
    }

    /// A feedstock drawn from the uncertainty: `normals` are independent standard normal numbers, one
    /// for each of `numbers` (missing ones count as 0). What is drawn stays within the range of the
    /// catalogue, and the feedstock valid. Numbers of another flow law than its own are passed over.
    /// What is drawn is one possible feedstock, so it has no uncertainty of its own.
    pub fn draw(&self, feedstock: &Feedstock, normals: &[f64]) -> Feedstock {
        let certain = Feedstock { uncertainty: None, ..feedstock.clone() };
        let Ok(mut document) = document::tree(&certain) else {
            return certain;
        };
        for (doubt, shift) in self.numbers.iter().zip(self.shifts(normals)) {
            let mut fields = doubt.path.strip_prefix("feedstock.").unwrap_or_default().split('.');
            let place = fields.try_fold(&mut document, |at, field| at.get_mut(field));
            let (Some(place), Some(parameter)) = (place, catalogue::at(&doubt.path)) else { continue };
            let Some(value) = place.as_f64() else { continue };
            let drawn = if doubt.logarithmic { value * shift.exp() } else { value + shift };
            *place = Value::from(drawn.clamp(parameter.min, parameter.max));
        }
        let mut drawn: Feedstock = document::read(&document.to_string()).unwrap_or(certain);
        // What must not cross stays apart: the critical loading goes no further than half-way down to the
        // loadings in use, and setting begins above where it ends.
        let full = drawn.solids_loading.max(drawn.measured_loading);
        drawn.critical_loading = drawn.critical_loading.max(0.5 * (full + feedstock.critical_loading));
        drawn.liquidus = drawn.liquidus.max(drawn.solidus + 1.0);
        drawn
    }

    /// The correlation as a matrix of the solver's size.
    fn matrix(&self, side: usize) -> Matrix {
        let at = |i: usize, j: usize| self.correlation.get(i).and_then(|row| row.get(j)).copied();
        std::array::from_fn(|i| {
            std::array::from_fn(|j| if i < side && j < side { at(i, j).unwrap_or(0.0) } else { 0.0 })
        })
    }

    /// How far each number moves, correlated where it is.
    fn shifts(&self, normals: &[f64]) -> Vec<f64> {
        let normal = |i: usize| normals.get(i).copied().unwrap_or(0.0);
        let mut unit: Vec<f64> = (0..self.numbers.len()).map(normal).collect();
        let side = self.correlation.len().min(MOST).min(unit.len());
        if side > 0 {
            let (values, vectors) = eigen(self.matrix(side), side);
            let moved =
                |i: usize| (0..side).map(|k| values[k].max(0.0).sqrt() * normal(k) * vectors[k][i]).sum();
            for (i, u) in unit.iter_mut().enumerate().take(side) {
                *u = moved(i);
            }
        }
        unit.iter().zip(&self.numbers).map(|(u, doubt)| u * doubt.standard_error).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feedstock::Viscosity;
    use crate::recipe::EXAMPLES;
    use crate::rheometry::FlowPoint;
    use crate::rheometry::fit::{FitOptions, Law, fit};
    use crate::scenario::{CrossWlfConstants, FlowLaw};

    /// Readings of a Cross law with a scatter that repeats itself.
    fn fitted() -> Fit {
        let law = Viscosity::resolve(&FlowLaw::CrossWlf(CrossWlfConstants::default()), 1.0);
        let points: Vec<FlowPoint> = (0..60)
            .map(|i| {
                let (temperature, shear_rate) = (145.0 + f64::from(i % 3) * 15.0, 2.0 * 1.17_f64.powi(i));
                let off = (0.05 * (3.7 * f64::from(i)).sin()).exp();
                let viscosity = off * law.viscosity(shear_rate, temperature + 273.15, 0.0);
                FlowPoint { temperature, shear_rate, viscosity, stress: viscosity * shear_rate, line: 0 }
            })
            .collect();
        fit(&points, Law::CrossWlf, &FitOptions::default()).unwrap()
    }

    /// Normal numbers (Irwin and Hall's sum of twelve, from a small generator).
    fn normals(seed: u64, count: usize) -> Vec<f64> {
        let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        let mut uniform = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..count).map(|_| (0..12).map(|_| uniform()).sum::<f64>() - 6.0).collect()
    }

    #[test]
    fn draws_scatter_and_go_together_as_the_fit_says() {
        let fit = fitted();
        let doubt = Uncertainty::of_fit(&fit);
        assert_eq!(doubt.validate(), Ok(()));
        let feedstock = Feedstock { flow_law: fit.law.clone(), ..Feedstock::default() };
        assert_eq!(
            doubt.draw(&Feedstock { uncertainty: Some(doubt.clone()), ..feedstock.clone() }, &[]),
            feedstock
        );
        let drawn: Vec<[f64; 2]> = (0..4000)
            .map(|seed| {
                let FlowLaw::CrossWlf(c) = doubt.draw(&feedstock, &normals(seed, 8)).flow_law else {
                    panic!("another law")
                };
                [c.n, c.tau_star.ln()]
            })
            .collect();
        let mean = |k: usize| drawn.iter().map(|d| d[k]).sum::<f64>() / 4000.0;
        let m = [mean(0), mean(1)];
        let moment =
            |a: usize, b: usize| drawn.iter().map(|d| (d[a] - m[a]) * (d[b] - m[b])).sum::<f64>() / 4000.0;
        let place = |name: &str| doubt.numbers.iter().position(|d| d.path.ends_with(name)).unwrap();
        let (n, tau) = (place(".n"), place(".tau_star"));
        for (k, i) in [(0, n), (1, tau)] {
            let error = doubt.numbers[i].standard_error;
            assert!((moment(k, k).sqrt() / error - 1.0).abs() < 0.06, "{}", doubt.numbers[i].path);
        }
        let together = moment(0, 1) / (moment(0, 0) * moment(1, 1)).sqrt();
        assert!((together - doubt.correlation[n][tau]).abs() < 0.05, "{together} {:?}", doubt.correlation);
        assert!(doubt.correlation[n][tau].abs() > 0.3, "nothing is tested without correlation");
        assert_eq!(doubt.draw(&feedstock, &[]), feedstock);
    }

    #[test]
    fn a_recipe_s_uncertainty_travels_and_its_draws_are_feedstocks() {
        let estimate = EXAMPLES[0].recipe().estimate().unwrap();
        let doubt = Uncertainty::of_fit(&fitted()).beside(estimate.feedstock.uncertainty.as_ref());
        let text = serde_json::to_string(&doubt).unwrap();
        let read: Uncertainty = serde_json::from_str(&text).unwrap();
        assert_eq!(read.validate(), Ok(()));
        for seed in 0..200 {
            let drawn = read.draw(&estimate.feedstock, &normals(seed, read.numbers.len()));
            assert!(drawn.critical_loading > drawn.solids_loading && drawn.liquidus > drawn.solidus);
            let document = serde_json::to_value(&drawn).unwrap();
            for doubt in &read.numbers {
                let parameter = catalogue::at(&doubt.path).unwrap();
                if let Some(value) = document.get(parameter.field).and_then(Value::as_f64) {
                    assert!(parameter.accepts(value), "{}: {value}", doubt.path);
                }
            }
        }
    }

    #[test]
    fn what_is_no_uncertainty_is_refused_by_its_entry() {
        let doubt =
            |path: &str, standard_error| Doubt { path: path.to_owned(), standard_error, logarithmic: false };
        let good = doubt("feedstock.powder_density", 30.0);
        let refused = |numbers: &[Doubt], correlation: &[&[f64]]| {
            let correlation = correlation.iter().map(|row| row.to_vec()).collect();
            Uncertainty { numbers: numbers.to_vec(), correlation }.validate().unwrap_err().to_string()
        };
        assert!(refused(&[doubt("setup.melt_temperature", 1.0)], &[]).contains("numbers.0.path"));
        let negative = doubt("feedstock.particle_size", -1.0);
        assert!(refused(&[good.clone(), negative], &[]).contains("numbers.1.standard_error"));
        assert!(refused(&[good.clone(), good.clone()], &[]).contains("numbers.1.path"));
        let both = [good.clone(), doubt("feedstock.binder_density", 5.0)];
        assert!(refused(&both[..1], &[&[1.0, 0.0]]).contains("square"));
        assert!(refused(&both, &[&[1.0, 0.5], &[0.2, 1.0]]).contains("correlation.0"));
        let three = [&both[..], &[doubt("feedstock.particle_size", 1.0)]].concat();
        let odd: [&[f64]; 3] = [&[1.0, 0.9, 0.9], &[0.9, 1.0, -0.9], &[0.9, -0.9, 1.0]];
        assert!(refused(&three, &odd).contains("contradicts"));
        assert!(refused(&both[..1], &[&[f64::NAN]]).contains("correlation.0"));
    }
}
