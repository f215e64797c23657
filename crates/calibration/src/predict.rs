//! What shots that have not been made will read.

use crate::check::named;
use crate::forward;
use crate::prior::{Prior, Shots};
use crate::quantity::Read;
use crate::result::{ReadBand, band};
use crate::search::slopes;
use crate::solve::Model;
use gatefrost_core::scenario::{Scenario, Shot};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// What one quantity of a shot will read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotPrediction {
    /// Place of the shot in the list, from 0.
    pub shot: usize,
    /// Its name.
    pub name: String,
    /// The quantity.
    pub read: Read,
    /// Its unit.
    pub unit: String,
    /// Prediction, and the range in which the reading of one shot lies with 95 % probability.
    pub band: ReadBand,
}

/// The shots of a log of which nothing was read, with their places in it, from 0.
pub fn untried(scenario: &Scenario) -> Vec<(usize, Shot)> {
    let all = scenario.shots.iter().enumerate();
    all.filter(|(_, shot)| Read::all_of(shot).is_empty()).map(|(i, shot)| (i, shot.clone())).collect()
}

/// The quantities that are predicted.
const PREDICTED: [Read; 4] =
    [Read::PeakPressure, Read::SwitchPressure, Read::PartMass, Read::PartTemperature];

/// Predicts shots from a scenario with its uncertainty: peak and switch-over pressure, part mass and part temperature. The
/// bands hold the uncertainty of the numbers and the scatter of readings.
///
/// # Errors
/// Sentences on settings out of range.
pub fn predict(scenario: &Scenario, shots: &[Shot]) -> Result<Vec<ShotPrediction>, Vec<String>> {
    let mut problems = Vec::new();
    for (place, shot) in shots.iter().enumerate() {
        if let Err(error) = forward::at(scenario, shot).validate() {
            problems.extend(error.problems.iter().map(|p| format!("{}: {}.", named(place, shot), p.message)));
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let prior = Prior::of(scenario, shots);
    let model =
        Shots { prior: &prior, asked: shots.iter().map(|shot| (shot.clone(), PREDICTED.to_vec())).collect() };
    let at = vec![0.0; prior.names.len()];
    let (values, rows) = (model.predict(&at, false), slopes(&model, &at));
    let one = |(i, shot): (usize, &Shot)| {
        let of = |(k, read): (usize, Read)| {
            let place = i * PREDICTED.len() + k;
            let known: f64 = rows[place].iter().map(|g| g * g).sum::<f64>().sqrt();
            ShotPrediction {
                shot: i,
                name: shot.name.clone(),
                read,
                unit: read.unit().to_owned(),
                band: band(
                    read,
                    values[place],
                    known.hypotenuse(read.spread(&scenario.trials, shot.repeats)),
                    f64::INFINITY,
                ),
            }
        };
        PREDICTED.into_iter().enumerate().map(of).collect::<Vec<_>>()
    };
    Ok(shots.iter().enumerate().flat_map(one).collect())
}
