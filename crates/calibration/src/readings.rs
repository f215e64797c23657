//! The readings of a log that are to be used.

use crate::quantity::Read;
use crate::solve::Datum;
use gatefrost_core::scenario::{Scenario, Shot, Trials};

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
