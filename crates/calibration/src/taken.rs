//! The posterior as a feedstock with its uncertainty.

use crate::fit::Fit;
use crate::prior::Prior;
use crate::quantity::Read;
use crate::readings::Readings;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::uncertainty::{Doubt, Uncertainty};

/// Longest text that a provenance may be, in characters.
const LONGEST: usize = 400;

/// What is known after the readings.
#[derive(Debug, Clone)]
pub(crate) struct Posterior {
    /// Mean of every unknown.
    pub z: Vec<f64>,
    /// Their covariance.
    pub of_z: Vec<Vec<f64>>,
    /// Shifts of the numbers.
    pub shifts: Vec<f64>,
    /// Their covariance.
    pub covariance: Vec<Vec<f64>>,
}

/// Joins the unknowns that were estimated (`active`) with those that stay as they were.
pub(crate) fn posterior(prior: &Prior, active: &[bool], z: &[f64], covariance: &[Vec<f64>]) -> Posterior {
    let place: Vec<Option<usize>> = active
        .iter()
        .scan(0, |next, on| {
            let place = on.then_some(*next);
            *next += usize::from(*on);
            Some(place)
        })
        .collect();
    let of_z: Vec<Vec<f64>> = (0..active.len())
        .map(|i| {
            (0..active.len())
                .map(|j| match (place[i], place[j]) {
                    (Some(a), Some(b)) => covariance[a][b],
                    _ => f64::from(u8::from(i == j)),
                })
                .collect()
        })
        .collect();
    let z: Vec<f64> = place.iter().map(|place| place.map_or(0.0, |k| z[k])).collect();
    let rows = &prior.factor;
    let at = |i: usize, j: usize| -> f64 {
        let by = |k: usize| of_z[k].iter().zip(&rows[j]).map(|(c, l)| c * l).sum::<f64>();
        rows[i].iter().enumerate().map(|(k, l)| l * by(k)).sum()
    };
    let covariance = (0..rows.len()).map(|i| (0..rows.len()).map(|j| at(i, j)).collect()).collect();
    Posterior { shifts: prior.shifts(&z), z, of_z, covariance }
}

/// What is known before any reading, as an uncertainty of the numbers.
pub(crate) fn known_before(prior: &Prior) -> Uncertainty {
    let nothing = vec![false; prior.names.len()];
    uncertainty(prior, &posterior(prior, &nothing, &[], &[]))
}

/// The uncertainty of the numbers: correlated ones first.
fn uncertainty(prior: &Prior, posterior: &Posterior) -> Uncertainty {
    let c = &posterior.covariance;
    let error = |i: usize| c[i][i].max(0.0).sqrt();
    let correlation = |i: usize, j: usize| match i == j {
        true => 1.0,
        false => ((c[i][j] / error(i) / error(j)).clamp(-1.0, 1.0) * 1e8).round() / 1e8,
    };
    let all: Vec<usize> = (0..c.len()).filter(|&i| error(i) > 0.0).collect();
    let goes_together = |&i: &usize| all.iter().any(|&j| j != i && correlation(i, j).abs() > 1e-6);
    let (together, alone): (Vec<usize>, Vec<usize>) = all.iter().copied().partition(goes_together);
    let doubt = |&i: &usize| Doubt { standard_error: error(i), ..prior.doubts.numbers[i].clone() };
    Uncertainty {
        numbers: together.iter().chain(&alone).map(doubt).collect(),
        correlation: together
            .iter()
            .map(|&i| together.iter().map(|&j| correlation(i, j)).collect())
            .collect(),
    }
}

/// What the model is good to by the readings of a quantity: the scatter that is found, less that of the readings themselves.
fn model_found(read: Read, fit: &Fit, readings: &Readings) -> f64 {
    let of = readings.list.iter().filter(|l| l.1 == read).map(|l| {
        let repeats = readings.shots.iter().find(|s| s.0 == l.0).map_or(1, |s| s.1.repeats);
        let own = readings.error_of_mean(read, repeats);
        (fit.factor(read) * l.3).powi(2) - own * own
    });
    let squares: Vec<f64> = of.collect();
    (squares.iter().sum::<f64>() / squares.len().max(1) as f64).max(0.0).sqrt()
}

/// The scenario with the calibrated numbers, their uncertainty, what readings are good to, and where it comes from.
pub(crate) fn scenario(
    from: &Scenario,
    prior: &Prior,
    posterior: &Posterior,
    date: &str,
    fit: &Fit,
    readings: &Readings,
) -> Scenario {
    let moved = prior.at(&posterior.z);
    let mut s = from.clone();
    s.feedstock = moved.feedstock;
    s.setup.contact_conductance = moved.setup.contact_conductance;
    s.trials.pressure_loss = moved.trials.pressure_loss;
    s.trials.mass_scale = moved.trials.mass_scale;
    s.feedstock.uncertainty = Some(uncertainty(prior, posterior));
    let model =
        |reads: &[Read]| reads.iter().map(|read| model_found(*read, fit, readings)).fold(0.0, f64::max);
    let pressure = model(&[Read::PeakPressure, Read::SwitchPressure, Read::CavityPressure]);
    s.trials.pressure_model = (100.0 * pressure).max(s.trials.pressure_model).min(100.0);
    s.trials.mass_model = (100.0 * model(&[Read::PartMass])).max(s.trials.mass_model).min(50.0);
    s.trials.temperature_model = model(&[Read::PartTemperature]).max(s.trials.temperature_model).min(100.0);
    for (place, _) in &readings.shots {
        s.shots[*place].used = 1;
    }
    s.trials.logged = s.shots.len() as u32;
    let count = readings.shots.len();
    let told = format!("calibrated on {count} {}, {date}", if count == 1 { "shot" } else { "shots" });
    let before = from.feedstock.provenance.trim();
    let whole = if before.is_empty() { told.clone() } else { format!("{told}; before: {before}") };
    s.feedstock.provenance = whole.chars().take(LONGEST).collect();
    s
}
