//! Falls of torque or viscosity from one loading to the next.
//!
//! A loading from which the readings fall has failed in the test, whatever a fit gives. It bounds the recommended
//! loading, unless the fall is within the scatter of repeated readings and the readings rise again.
//! The standard deviation s of ln of a reading follows from readings repeated at one loading, with one reading of
//! the usual scatter s₀ added: s² = (Σ(ln y − mean)² + s₀²)/(ν + 1). A fall is within scatter up to two standard errors of
//! the difference of the two means.

use super::divergence::USUAL_SCATTER;
use super::{LoadingReading, Resistance};
use gatefrost_core::format::number;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order;

/// Greatest number of falls that are reported in sentences.
const TOLD: usize = 3;

/// Readings at one loading.
pub(super) struct Level {
    /// Loading [vol%].
    pub loading: f64,
    /// Mean of the logarithms.
    pub log: f64,
    count: f64,
    /// Sum of squares of the logarithms about their mean.
    squares: f64,
}

/// Readings by loading, rising.
pub(super) fn levels(readings: &[(Resistance, LoadingReading)]) -> Vec<Level> {
    let mut sorted: Vec<(f64, f64)> =
        readings.iter().map(|(_, r)| (r.loading, r.value.logarithm())).collect();
    order::sort_by(&mut sorted, |r| r.0);
    let of_one = sorted.chunk_by(|a, b| b.0 - a.0 < 1e-6);
    of_one
        .map(|run| {
            let count = run.len() as f64;
            let log = run.iter().map(|r| r.1).sum::<f64>() / count;
            let squares = run.iter().map(|r| (r.1 - log).powi(2)).sum();
            Level { loading: run[0].0, log, count, squares }
        })
        .collect()
}

/// A fall over one loading or several.
pub(super) struct Fall {
    /// Loading from which the readings fall [vol%], and ln of the mean there.
    pub at: f64,
    pub height: f64,
    /// The next loading [vol%].
    pub next: f64,
    /// Loading down to which they fall [vol%], and ln of the mean there.
    to: f64,
    fallen: f64,
    /// Whether a mean at a higher loading is above that at `at`.
    rises_again: bool,
    /// Whether the fall is no larger than scatter.
    within: bool,
}

impl Fall {
    /// Whether it bounds the recommended loading.
    pub fn stands(&self) -> bool {
        !(self.within && self.rises_again)
    }

    /// Whether it bounds the critical loading too.
    fn ends_the_rise(&self) -> bool {
        !self.within && !self.rises_again
    }
}

/// Every fall, from the lowest loading up.
pub(super) struct Falls {
    all: Vec<Fall>,
    /// The scatter that they are compared with, in words.
    scatter: String,
}

impl Falls {
    pub fn of(levels: &[Level]) -> Self {
        let repeated: f64 = levels.iter().map(|level| level.count - 1.0).sum();
        let squares: f64 = levels.iter().map(|level| level.squares).sum();
        let variance = (squares + USUAL_SCATTER.powi(2)) / (repeated + 1.0);
        let kind = if repeated > 0.0 { "of the repeated" } else { "usual for such" };
        let scatter = format!("the scatter {kind} readings ({} %)", number(100.0 * variance.sqrt(), 2));
        // Greatest mean at this level or above it.
        let mut highest: Vec<f64> = levels.iter().map(|level| level.log).collect();
        for place in (1..highest.len()).rev() {
            highest[place - 1] = highest[place - 1].max(highest[place]);
        }
        let mut all = Vec::new();
        let mut place = 0;
        while let Some(next) = levels.get(place + 1) {
            let level = &levels[place];
            let run = levels[place..].windows(2).take_while(|pair| pair[1].log <= pair[0].log).count();
            let bottom = &levels[place + run];
            if bottom.log < level.log {
                let error = (variance * (1.0 / level.count + 1.0 / bottom.count)).sqrt();
                all.push(Fall {
                    at: level.loading,
                    height: level.log,
                    next: next.loading,
                    to: bottom.loading,
                    fallen: bottom.log,
                    rises_again: highest[place + run] > level.log,
                    within: level.log - bottom.log <= 2.0 * error,
                });
            }
            place += run.max(1);
        }
        Self { all, scatter }
    }

    /// The deepest falls that are not taken for scatter, at most so many.
    pub fn deepest(&self, most: usize) -> Vec<&Fall> {
        let mut sorted: Vec<&Fall> = self.all.iter().filter(|fall| fall.stands()).collect();
        order::sort_by(&mut sorted, |fall| fall.fallen - fall.height);
        sorted.truncate(most);
        sorted
    }

    /// Least loading from which the readings fall by more than scatter, or do not rise again [vol%].
    pub fn ceiling(&self) -> Option<f64> {
        self.all.iter().find(|fall| fall.stands()).map(|fall| fall.at)
    }

    /// Loading of the first fall after which the readings do not rise again, and the next loading [vol%].
    pub fn bound(&self) -> Option<[f64; 2]> {
        self.all.iter().find(|fall| fall.ends_the_rise()).map(|fall| [fall.at, fall.next])
    }

    /// The falls below a loading [vol%] in sentences, those that bound the recommendation first.
    pub fn text(&self, of: Resistance, below: f64) -> String {
        let told = || self.all.iter().filter(move |fall| fall.at < below);
        let sorted = told().filter(|fall| fall.stands()).chain(told().filter(|fall| !fall.stands()));
        let mut text: String = sorted.take(TOLD).map(|fall| self.sentence(fall, of)).collect();
        let more = told().count().saturating_sub(TOLD);
        if more > 0 {
            text += &format!("There are {more} more falls. ");
        }
        text
    }

    fn sentence(&self, fall: &Fall, of: Resistance) -> String {
        let value = |log: f64| format!("{} {}", number(log.exponential(), 3), of.unit());
        let within = if fall.within { format!(", within {}", self.scatter) } else { String::new() };
        let then = match (fall.within, fall.rises_again) {
            (true, true) => ", and rises again: this is taken for scatter",
            (false, true) => " and rises again: repeat the readings there to tell whether one is off",
            (true, false) => ", and does not rise above that again",
            (false, false) => {
                " and does not rise above that again: the critical loading is taken to lie no higher than the first loading after the fall"
            }
        };
        format!(
            "The {} falls from {} at {} vol% to {} at {} vol%{within}{then}. ",
            of.label(),
            value(fall.height).trim_end(),
            number(fall.at, 4),
            value(fall.fallen).trim_end(),
            number(fall.to, 4)
        )
    }
}
