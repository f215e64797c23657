//! The estimation: prior, readings, scatter, posterior.

use crate::check;
use crate::fit::{Fit, fitted};
use crate::fits::{Agreement, agreement};
use crate::numbers::numbers;
use crate::prior::{Prior, Shots};
use crate::quantity::Read;
use crate::remarks;
use crate::solve::{Begin, DEGREES, Datum, Model, Progress, slopes};
use crate::taken;
use gatefrost_core::scenario::{Scenario, Shot, Trials};
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::statistics::student_95;
use serde::{Deserialize, Serialize};

/// Readings move an unknown only if they tell it to this share of what was known.
const LEAST_TOLD: f64 = 0.02;
/// Weight, relative to that of a reading that fits, below which a reading is named as wrong.
const WRONG: f64 = 0.35;

/// A value with the range that holds it with 95 % probability.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadBand {
    /// The value.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A reading against its prediction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ComparedReading {
    /// Place of the shot in the log, from 0.
    pub shot: usize,
    /// Its name.
    pub name: String,
    /// What was read.
    pub read: Read,
    /// Its unit.
    pub unit: String,
    /// The reading.
    pub measured: f64,
    /// The prediction before the calibration, with the band in which a reading lies.
    pub before: ReadBand,
    /// The same after it.
    pub after: ReadBand,
    /// Reading less prediction, in standard deviations of its scatter.
    pub residual: f64,
    /// Whether it does not fit the others and is hardly used.
    pub wrong: bool,
}

/// A number before and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CalibratedNumber {
    /// Path in the scenario; empty for the viscosity at the reference.
    pub path: String,
    /// Title.
    pub title: String,
    /// Unit.
    pub unit: String,
    /// Before.
    pub prior: ReadBand,
    /// After.
    pub posterior: ReadBand,
    /// Standard error after over before.
    pub left: f64,
}

/// How far readings of a quantity scatter about the calibrated model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadScatter {
    /// The quantity.
    pub read: Read,
    /// Readings of it.
    pub readings: usize,
    /// How far readings are stated to scatter about the model, in per cent or in their unit.
    pub stated: f64,
    /// How far they do: not less than stated.
    pub found: f64,
    /// Degrees of freedom behind that.
    pub freedom: f64,
}

/// The result of a calibration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Calibration {
    /// Shots that were used.
    pub shots: usize,
    /// Whether their readings fit what was known before.
    pub agreement: Agreement,
    /// Readings of them.
    pub readings: Vec<ComparedReading>,
    /// The numbers.
    pub numbers: Vec<CalibratedNumber>,
    /// The scatter of each quantity.
    pub scatter: Vec<ReadScatter>,
    /// What is to be said.
    pub remarks: Vec<String>,
    /// Whether the search ended at a minimum.
    pub converged: bool,
    /// Shear rate \[1/s\] and temperature \[°C\] at which the viscosity is given.
    pub reference: [f64; 2],
    /// What was known before, as an uncertainty of the numbers.
    pub prior: Uncertainty,
    /// The scenario with the calibrated feedstock, its uncertainty and where it comes from.
    pub scenario: Scenario,
}

/// Why there is no calibration.
#[derive(Debug, Clone, PartialEq)]
pub enum Unusable {
    /// Sentences on the log.
    Log(Vec<String>),
    /// It was stopped.
    Stopped,
}

/// Readings of the shots that are not in the calibration yet.
pub(crate) struct Readings {
    pub shots: Vec<(usize, Shot)>,
    pub asked: Vec<(Shot, Vec<Read>)>,
    /// Place of the shot in the log, quantity, value, its standard deviation about the model.
    pub list: Vec<(usize, Read, f64, f64)>,
    /// What readings are good to.
    trials: Trials,
}

impl Readings {
    pub fn of(scenario: &Scenario) -> Self {
        let all = scenario.shots.iter().enumerate();
        let new = all.filter(|(_, s)| s.used == 0 && !Read::all_of(s).is_empty());
        let shots: Vec<(usize, Shot)> = new.map(|(i, s)| (i, s.clone())).collect();
        let asked: Vec<(Shot, Vec<Read>)> = shots.iter().map(|(_, s)| (s.clone(), Read::all_of(s))).collect();
        let row = |((place, shot), (_, asked)): (&(usize, Shot), &(Shot, Vec<Read>))| {
            let one = |read: &Read| {
                let value = read.of(shot).unwrap_or(f64::NAN);
                (*place, *read, value, read.spread(&scenario.trials, shot.repeats))
            };
            asked.iter().map(one).collect::<Vec<_>>()
        };
        let list = shots.iter().zip(&asked).flat_map(row).collect();
        let trials = scenario.trials.clone();
        Self { shots, asked, list, trials }
    }

    /// The shots, without their places.
    pub fn made(&self) -> Vec<Shot> {
        self.shots.iter().map(|(_, shot)| shot.clone()).collect()
    }

    /// Standard deviation of the mean of so many readings.
    pub fn error_of_mean(&self, read: Read, repeats: u32) -> f64 {
        read.error_of_mean(&self.trials, repeats)
    }

    /// As data, with the factors by which each quantity scatters more than stated.
    pub fn data(&self, wider: impl Fn(Read) -> f64) -> Vec<Datum> {
        let one = |(_, read, value, error): &(usize, Read, f64, f64)| match read.is_seen() {
            true => Datum::Seen(*value > 0.5, *error),
            false => Datum::Measured(read.scaled(*value), error * wider(*read)),
        };
        self.list.iter().map(one).collect()
    }
}

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
    let begin = Begin {
        predicted: start.0.clone(),
        slopes: (start.1.iter().map(of_active).collect(), none.clone()),
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

/// gᵀ C g.
pub(crate) fn variance(row: &[f64], covariance: &[Vec<f64>]) -> f64 {
    let by = |i: usize| -> f64 { covariance[i].iter().zip(row).map(|(c, g)| c * g).sum() };
    row.iter().enumerate().map(|(i, g)| g * by(i)).sum::<f64>().max(0.0)
}

/// The band of a scaled value with a standard deviation.
pub(crate) fn band(read: Read, at: f64, deviation: f64, freedom: f64) -> ReadBand {
    let t = student_95(if freedom < 60.0 { (freedom.round() as usize).max(2) } else { 10_000 });
    let (low, high) = (at - t * deviation, at + t * deviation);
    ReadBand { value: read.value(at), low: read.value(low), high: read.value(high) }
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
