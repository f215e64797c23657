//! The uncertainty of an estimate or a fit, in the form that is stored with a feedstock.

use crate::recipe::estimated::{Estimated, to_digits};
use crate::rheometry::WallFlow;
use crate::rheometry::fit::Fit;
use gatefrost_core::uncertainty::{Doubt, Uncertainty};

/// That of a recipe's estimate: every number independent of the others, its error to two digits.
pub fn of_estimate<'e>(parameters: impl Iterator<Item = &'e Estimated>) -> Uncertainty {
    let uncertain = parameters.filter(|e| e.standard_error > 0.0);
    let numbers = uncertain.map(|e| Doubt {
        path: e.quantity.clone().into_owned(),
        standard_error: to_digits(e.standard_error, 2),
        logarithmic: e.logarithmic,
    });
    Uncertainty { numbers: numbers.collect(), correlation: Vec::new() }
}

/// That of a fitted flow law, with that of the slip that goes with it.
pub fn of_study(fit: &Fit, wall_flow: &WallFlow) -> Uncertainty {
    let mut found = of_fit(fit);
    found.numbers.extend(wall_flow.doubt());
    found
}

/// That of a fitted flow law. A constant that the readings do not determine has no error to give.
pub fn of_fit(fit: &Fit) -> Uncertainty {
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
    // A change of unit does not change a correlation.
    let of = |a: usize, b: usize| (fit.covariance[a][b] / error(a) / error(b)).clamp(-1.0, 1.0);
    let correlation = rows.iter().map(|&a| rows.iter().map(|&b| of(a, b)).collect());
    Uncertainty { numbers: numbers.collect(), correlation: correlation.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::EXAMPLES;
    use crate::rheometry::FlowPoint;
    use crate::rheometry::fit::{FitOptions, fit};
    use gatefrost_core::catalogue;
    use gatefrost_core::feedstock::Viscosity;
    use gatefrost_core::scenario::{CrossWlfConstants, FlowLaw, FlowLawKind, Scenario, demo};
    use serde_json::Value;

    /// Readings of a Cross law with a scatter that repeats itself.
    fn fitted() -> Fit {
        let law = Viscosity::measured(&FlowLaw::CrossWlf(CrossWlfConstants::default()));
        let points: Vec<FlowPoint> = (0..60)
            .map(|i| {
                let (temperature, shear_rate) = (145.0 + f64::from(i % 3) * 15.0, 2.0 * 1.17_f64.powi(i));
                let off = (0.05 * (3.7 * f64::from(i)).sin()).exp();
                let viscosity = off * law.viscosity(shear_rate, temperature + 273.15, 0.0);
                FlowPoint { temperature, shear_rate, viscosity, stress: viscosity * shear_rate, line: 0 }
            })
            .collect();
        fit(&points, FlowLawKind::CrossWlf, &FitOptions::default()).unwrap()
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
        let doubt = of_fit(&fit);
        assert_eq!(doubt.validate(), Ok(()));
        let mut scenario = demo::default_demo().scenario();
        scenario.feedstock.flow_law = fit.law.clone();
        scenario.feedstock.uncertainty = None;
        let mut unsure = scenario.clone();
        unsure.feedstock.uncertainty = Some(doubt.clone());
        assert_eq!(doubt.draw(&unsure, &[]), scenario);
        let drawn: Vec<[f64; 2]> = (0..4000)
            .map(|seed| {
                let FlowLaw::CrossWlf(c) = doubt.draw(&scenario, &normals(seed, 8)).feedstock.flow_law else {
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
        assert_eq!(doubt.draw(&scenario, &[]), scenario);
    }

    #[test]
    fn a_recipe_s_uncertainty_travels_and_its_draws_are_feedstocks() {
        let estimate = EXAMPLES[0].recipe().estimate().unwrap();
        let known = estimate.feedstock.uncertainty.as_ref();
        let doubt = of_fit(&fitted()).beside(known, "feedstock.flow_law.");
        let scenario = Scenario { feedstock: estimate.feedstock.clone(), ..demo::default_demo().scenario() };
        let text = serde_json::to_string(&doubt).unwrap();
        let read: Uncertainty = serde_json::from_str(&text).unwrap();
        assert_eq!(read.validate(), Ok(()));
        for seed in 0..200 {
            let drawn = read.draw(&scenario, &normals(seed, read.numbers.len())).feedstock;
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

    /// The contact with the mould is not a number of the feedstock. Neither a fit nor an estimate replaces it, and the
    /// median of the drawn values is the set value.
    #[test]
    fn an_uncertain_contact_is_drawn_and_stays_whatever_else_becomes_known() {
        let path = "setup.contact_conductance".to_owned();
        let contact = Doubt { path, standard_error: 0.3, logarithmic: true };
        let typed = Uncertainty {
            numbers: vec![
                Doubt { path: "feedstock.swell".to_owned(), standard_error: 0.02, logarithmic: false },
                contact.clone(),
            ],
            correlation: Vec::new(),
        };
        let scenario = demo::default_demo().scenario();
        let set = scenario.setup.contact_conductance;
        let drawn: Vec<f64> = (0..4000)
            .map(|seed| {
                let drawn = typed.draw(&scenario, &normals(seed, 2));
                assert_eq!(drawn.setup.hold_pressure, scenario.setup.hold_pressure);
                (drawn.setup.contact_conductance / set).ln()
            })
            .collect();
        let mean = drawn.iter().sum::<f64>() / 4000.0;
        let spread = (drawn.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / 4000.0).sqrt();
        assert!(mean.abs() < 0.02 && (spread / 0.3 - 1.0).abs() < 0.06, "{mean} ± {spread}");

        let fitted = of_fit(&fitted());
        let count = fitted.numbers.len();
        let beside = fitted.clone().beside(Some(&typed), "feedstock.flow_law.");
        assert_eq!(beside.numbers[count..], typed.numbers);
        let beside = fitted.beside(Some(&typed), "feedstock.");
        assert_eq!(beside.numbers[count..], [contact]);
        assert_eq!(beside.validate(), Ok(()));
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
        assert!(refused(&three, &odd).contains("positive semidefinite"));
        assert!(refused(&both[..1], &[&[f64::NAN]]).contains("correlation.0"));
    }
}
