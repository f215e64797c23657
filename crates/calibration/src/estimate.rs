//! The estimation: prior, readings, scatter, posterior.

use crate::check;
use crate::fit::{Fit, fitted};
use crate::fits::agreement;
use crate::numbers::numbers;
use crate::prior::{Prior, Shots};
use crate::quantity::Read;
use crate::readings::Readings;
use crate::remarks;
use crate::result::{Calibration, ComparedReading, Unusable, band, variance};
use crate::search::{Place, Progress, slopes};
use crate::solve::{DEGREES, Datum, Model};
use crate::taken;
use gatefrost_core::scenario::Scenario;
use gatefrost_numerics::elementary::Elementary;

/// Readings move an unknown only if they tell it to this share of what was known.
const LEAST_TOLD: f64 = 0.02;
/// Weight, relative to that of a reading that fits, below which a reading is named as wrong.
const WRONG: f64 = 0.35;

/// Calibrates a scenario on the shots of its log that are not in the calibration yet. `date` is told with the feedstock.
///
/// # Errors
/// Sentences on what is wrong with the log; [`Unusable::Stopped`] where `progress` returned false.
pub fn calibrate(scenario: &Scenario, date: &str, progress: Progress<'_>) -> Result<Calibration, Unusable> {
    check::check(scenario).map_err(Unusable::Log)?;
    let readings = Readings::of(scenario);
    let mut prior = Prior::of(scenario, &readings.made());
    let whole = prior.clone();
    let start = {
        let model = Shots { prior: &prior, asked: readings.asked.clone() };
        let at = vec![0.0; prior.names.len()];
        (model.predict(&at, false), slopes(&model, &at))
    };
    let told = told_by(&start.1, &readings.data(|_| 1.0));
    let active: Vec<bool> = told.iter().map(|told| *told > LEAST_TOLD).collect();
    prior.keep(&active);
    let model = Shots { prior: &prior, asked: readings.asked.clone() };
    let of_active =
        |row: &Vec<f64>| active.iter().zip(row).filter(|(on, _)| **on).map(|(_, g)| *g).collect::<Vec<f64>>();
    let none = vec![0.0; prior.names.len()];
    let begin = Place {
        predicted: start.0.clone(),
        slopes: start.1.iter().map(of_active).collect(),
        from: none.clone(),
        z: none,
    };
    let fit = fitted(&model, &readings, begin, progress).ok_or(Unusable::Stopped)?;
    let data = fit.data(&readings);
    let covariance = fit.found.covariance(&data, true);
    let compared = compare(&readings, &start, &fit, &covariance);
    let posterior = taken::posterior(&whole, &active, &fit.found.z, &covariance);
    let mut out = Calibration {
        shots: readings.shots.len(),
        agreement: agreement(&readings, &start.0, &start.1),
        prior: taken::known_before(&whole),
        numbers: numbers(&whole, &posterior, fit.total_freedom()),
        scatter: fit.scatters(&readings),
        remarks: check::single(scenario).into_iter().collect(),
        converged: fit.found.converged,
        reference: whole.reference,
        readings: compared,
        scenario: taken::scenario(scenario, &whole, &posterior, date, &fit, &readings),
    };
    out.remarks.extend(remarks::of(scenario, &out, &whole, &posterior));
    Ok(out)
}

/// Σ (g/σ)² of each unknown: its information by the readings.
fn told_by(rows: &[Vec<f64>], data: &[Datum]) -> Vec<f64> {
    let count = rows.first().map_or(0, Vec::len);
    let sigma = |datum: &Datum| match datum {
        Datum::Measured(_, sigma) | Datum::Seen(_, sigma) => *sigma,
    };
    (0..count).map(|k| rows.iter().zip(data).map(|(row, d)| (row[k] / sigma(d)).powi(2)).sum()).collect()
}

fn compare(
    readings: &Readings,
    start: &(Vec<f64>, Vec<Vec<f64>>),
    fit: &Fit,
    covariance: &[Vec<f64>],
) -> Vec<ComparedReading> {
    let data = fit.data(readings);
    let one = |(i, (shot, read, measured, error)): (usize, &(usize, Read, f64, f64))| {
        let m = fit.found.predicted[i];
        let sigma = error * fit.factor(*read);
        let (residual, wrong) = match data[i] {
            Datum::Measured(y, sigma) => {
                let u = (y - m) / sigma;
                (u, DEGREES / (DEGREES + u * u) < WRONG)
            }
            Datum::Seen(seen, sigma) => {
                // Beyond two spreads on the wrong side.
                let x = if seen { m / sigma } else { -m / sigma };
                (x, x > 2.0)
            }
        };
        let noise = if read.is_seen() { 0.0 } else { sigma };
        let before: f64 = start.1[i].iter().map(|g| g * g).sum();
        ComparedReading {
            shot: *shot,
            name: readings.shots.iter().find(|s| s.0 == *shot).map(|s| s.1.name.clone()).unwrap_or_default(),
            read: *read,
            unit: read.unit().to_owned(),
            measured: *measured,
            before: band(
                *read,
                start.0[i],
                before.sqrt().hypotenuse(if read.is_seen() { 0.0 } else { *error }),
                f64::INFINITY,
            ),
            after: band(
                *read,
                m,
                variance(&fit.found.slopes[i], covariance).sqrt().hypotenuse(noise),
                fit.freedom(*read),
            ),
            residual,
            wrong,
        }
    };
    readings.list.iter().enumerate().map(one).collect()
}
