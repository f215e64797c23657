//! Whether new readings agree with a feedstock: an alarm for the next lot.

use crate::check;
use crate::prior::{Prior, Shots};
use crate::readings::Readings;
use crate::search::slopes;
use crate::solve::{Datum, Model, solved};
use gatefrost_core::format::number;
use gatefrost_core::scenario::Scenario;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::statistics::normal;
use serde::{Deserialize, Serialize};

/// Readings that are less probable than this do not fit.
const ALARM: f64 = 0.01;

/// Whether the new readings of a log agree with its feedstock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Agreement {
    /// Readings that were compared.
    pub readings: usize,
    /// Square distance rᵀ(J Jᵀ + Σ)⁻¹r of the readings from their predictions.
    pub distance: f64,
    /// Probability of a distance as large as this, or larger, for this feedstock.
    pub probability: f64,
    /// Whether they fit.
    pub fits: bool,
    /// The answer in a sentence.
    pub told: String,
}

/// Compares the readings of shots that are not in the calibration with what the feedstock and its uncertainty predict. The
/// distance follows χ² with as many degrees of freedom as readings; its probability is by Wilson and Hilferty (Proc. Natl.
/// Acad. Sci. 17 (1931) 684, from memory).
///
/// # Errors
/// Sentences on what is wrong with the log.
pub fn fits(scenario: &Scenario) -> Result<Agreement, Vec<String>> {
    check::check(scenario)?;
    let readings = Readings::of(scenario);
    let prior = Prior::of(scenario, &readings.made());
    let model = Shots { prior: &prior, asked: readings.asked.clone() };
    let at = vec![0.0; prior.names.len()];
    Ok(agreement(&readings, &model.predict(&at, false), &slopes(&model, &at)))
}

/// The same with predictions and their derivatives at z = 0.
pub(crate) fn agreement(readings: &Readings, predicted: &[f64], rows: &[Vec<f64>]) -> Agreement {
    let data = readings.data(|_| 1.0);
    let measured: Vec<(usize, f64, f64)> = data
        .iter()
        .enumerate()
        .filter_map(|(i, datum)| match datum {
            Datum::Measured(y, sigma) => Some((i, y - predicted[i], *sigma)),
            Datum::Seen(..) => None,
        })
        .collect();
    let spread: Vec<Vec<f64>> = measured
        .iter()
        .map(|&(i, _, sigma)| {
            let with = |&(j, _, _): &(usize, f64, f64)| {
                let common: f64 = rows[i].iter().zip(&rows[j]).map(|(a, b)| a * b).sum();
                if i == j { common + sigma * sigma } else { common }
            };
            measured.iter().map(with).collect()
        })
        .collect();
    let residuals: Vec<f64> = measured.iter().map(|m| m.1).collect();
    let distance: f64 = residuals.iter().zip(solved(spread, &residuals)).map(|(r, x)| r * x).sum();
    told(measured.len(), distance)
}

fn told(readings: usize, distance: f64) -> Agreement {
    let n = (readings as f64).max(1.0);
    let spread = 2.0 / (9.0 * n);
    let x = ((distance / n).max(0.0).cube_root() - (1.0 - spread)) / spread.sqrt();
    let probability = normal(-x)[0];
    let fits = probability >= ALARM;
    let told = match (readings, fits) {
        (0, _) => "There is nothing measured to compare.".to_owned(),
        (_, true) => format!(
            "The new readings fit the feedstock: readings as far off come about in {} % of cases.",
            number(100.0 * probability, 2)
        ),
        (_, false) => format!(
            "The new readings do not fit the feedstock: readings as far off come about in less than {} % of cases. Look for another lot, another machine state or a wrong label.",
            number((100.0 * probability).max(0.1), 1)
        ),
    };
    Agreement { readings, distance, probability, fits: fits || readings == 0, told }
}
