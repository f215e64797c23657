//! The numbers before and after.

use crate::prior::{Prior, title, value_of};
use crate::result::{CalibratedNumber, ReadBand, variance};
use crate::taken;
use gatefrost_core::catalogue;
use gatefrost_core::uncertainty::Doubt;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::statistics::student_95;

/// Half of a 95 % range, in standard errors.
const NORMAL: f64 = 1.96;

/// Each number that the readings may change, and the viscosity at the reference before them. The scatter of the readings is
/// found from them, with so many degrees of freedom, so that the ranges after them follow Student's t.
pub(crate) fn numbers(prior: &Prior, posterior: &taken::Posterior, freedom: f64) -> Vec<CalibratedNumber> {
    let wide = student_95((freedom.round() as usize).max(3));
    let value = |base: f64, shift: f64, logarithmic: bool| {
        if logarithmic { base * shift.exponential() } else { base + shift }
    };
    let before = |i: usize| prior.factor[i].iter().map(|l| l * l).sum::<f64>().sqrt();
    let one = |(i, doubt): (usize, &Doubt)| {
        let base = value_of(&prior.scenario, &doubt.path);
        let range = |centre: f64, error: f64, wide: f64| {
            let ends = [-wide, wide].map(|k| value(base, centre + k * error, doubt.logarithmic));
            ReadBand { value: value(base, centre, doubt.logarithmic), low: ends[0], high: ends[1] }
        };
        let after = posterior.covariance[i][i].max(0.0).sqrt();
        CalibratedNumber {
            path: doubt.path.clone(),
            title: title(&doubt.path),
            unit: catalogue::at(&doubt.path).map_or("", |p| p.unit).to_owned(),
            prior: range(0.0, before(i), NORMAL),
            posterior: range(posterior.shifts[i], after, wide),
            left: after / before(i).max(1e-300),
        }
    };
    let mut out = vec![viscosity(prior, posterior, wide)];
    out.extend(prior.doubts.numbers.iter().enumerate().filter(|(i, _)| before(*i) > 0.0).map(one));
    out
}

/// The viscosity at the shear rate and temperature of the shots.
fn viscosity(prior: &Prior, posterior: &taken::Posterior, wide: f64) -> CalibratedNumber {
    let of = |z: &[f64]| prior.log_viscosity(&prior.at(z));
    let gradient = |at: &[f64]| -> Vec<f64> {
        let one = |k: usize| {
            let moved = |by: f64| {
                let mut z = at.to_vec();
                z[k] += by;
                of(&z)
            };
            (moved(0.05) - moved(-0.05)) / 0.1
        };
        (0..at.len()).map(one).collect()
    };
    let none = vec![0.0; posterior.z.len()];
    let range = |centre: f64, error: f64, wide: f64| {
        let ends = [-wide, 0.0, wide].map(|k| (centre + k * error).exponential());
        ReadBand { value: ends[1], low: ends[0], high: ends[2] }
    };
    let before = gradient(&none).iter().map(|g| g * g).sum::<f64>().sqrt();
    let after = variance(&gradient(&posterior.z), &posterior.of_z).sqrt();
    CalibratedNumber {
        path: String::new(),
        title: "Viscosity of the feedstock at the shots’ shear rate".to_owned(),
        unit: "Pa·s".to_owned(),
        prior: range(of(&none), before, NORMAL),
        posterior: range(of(&posterior.z), after, wide),
        left: after / before.max(1e-300),
    }
}
