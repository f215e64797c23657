//! What a calibration gives, and bands.

use crate::fits::Agreement;
use crate::quantity::Read;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_numerics::statistics::student_95;
use serde::{Deserialize, Serialize};

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
