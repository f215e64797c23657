//! Share of shots that stay inside when settings and loading scatter.

use super::surrogate::Surrogate;
use super::{DIMENSIONS, Values, bounds, counting, points, scatter, standing};
use crate::limits::{COUNT, Limit};
use crate::order;
use crate::scenario::{Scenario, ScenarioError};
use crate::window::Margins;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Samples of each replicate, and replicates: their spread is the error of the sampling.
const SAMPLES: usize = 2048;
const REPLICATES: usize = 8;
/// Half width of the box the margins are fitted over, in standard deviations.
const REACH: f64 = 3.5;

/// Share of shots inside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Yield {
    /// Share of shots that clear every limit, per cent.
    pub inside_percent: f64,
    /// Interval that holds it with 95 %: from the sampling, and from what the quadratics miss of the
    /// model (two standard errors of each margin, all to the same side).
    pub interval_percent: [f64; 2],
    /// The limits that are broken, the most often first, each counted where it is missed most.
    pub broken: Vec<Share>,
}

/// A limit and the share of shots in which it is the one missed most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Share {
    /// Which limit.
    pub limit: Limit,
    /// Its short name.
    pub label: Cow<'static, str>,
    /// Share of shots, per cent.
    pub percent: f64,
}

/// Share of shots that stay inside about a scenario's set point, by quasi-Monte Carlo on quadratics fitted
/// to the model there.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn yields(scenario: &Scenario) -> Result<Yield, ScenarioError> {
    scenario.validate()?;
    Ok(Sampled::about(scenario).shifted(&[0.0; COUNT]))
}

/// Margins of the samples about a set point.
pub(super) struct Sampled {
    replicates: Vec<Vec<Margins>>,
    error: Margins,
    counting: Vec<usize>,
}

impl Sampled {
    pub fn about(scenario: &Scenario) -> Self {
        let (centre, sigma) = (standing(scenario), scatter(scenario));
        let limits = bounds(scenario);
        let surrogate = Surrogate::over(scenario, centre, sigma.map(|s| REACH * s), &limits);
        let at = |z: [f64; DIMENSIONS]| -> Margins {
            let x: Values = std::array::from_fn(|k| centre[k] + sigma[k] * z[k]);
            surrogate.at(&x)
        };
        let replicate = |k: usize| {
            let shift = (k as f64 + 0.5) / REPLICATES as f64;
            points::normal(SAMPLES, shift).into_iter().map(at).collect()
        };
        Self {
            replicates: (0..REPLICATES).map(replicate).collect(),
            error: surrogate.error,
            counting: counting(scenario),
        }
    }

    /// The yield with every margin shifted.
    pub fn shifted(&self, shift: &Margins) -> Yield {
        let inside = |margins: &Margins, doubt: f64| {
            self.counting.iter().all(|&k| margins[k] + shift[k] + doubt * self.error[k] >= 0.0)
        };
        let shares = |doubt: f64| -> Vec<f64> {
            let of = |r: &Vec<Margins>| r.iter().filter(|m| inside(m, doubt)).count() as f64 / r.len() as f64;
            self.replicates.iter().map(of).collect()
        };
        let mean = |shares: &[f64]| shares.iter().sum::<f64>() / shares.len() as f64;
        let found = shares(0.0);
        let share = mean(&found);
        let spread: f64 = found.iter().map(|s| (s - share).powi(2)).sum();
        let n = found.len() as f64;
        // Student's t with seven degrees of freedom.
        let sampling = 2.365 * (spread / (n * (n - 1.0))).sqrt();
        let [low, high] = [-2.0, 2.0].map(|doubt| mean(&shares(doubt)));
        let mut worst = [0usize; COUNT];
        for margins in self.replicates.iter().flatten() {
            let least = self.counting.iter().copied().map(|k| (k, margins[k] + shift[k]));
            if let Some((k, g)) = least.min_by(|a, b| a.1.total_cmp(&b.1))
                && g < 0.0
            {
                worst[k] += 1;
            }
        }
        let all = (SAMPLES * REPLICATES) as f64;
        let mut broken: Vec<Share> = (0..COUNT)
            .filter(|&k| worst[k] > 0)
            .map(|k| Share {
                limit: Limit::ALL[k],
                label: Limit::ALL[k].label().into(),
                percent: 100.0 * worst[k] as f64 / all,
            })
            .collect();
        order::sort_by(&mut broken, |share| -share.percent);
        Yield {
            inside_percent: 100.0 * share,
            interval_percent: [
                100.0 * (low - sampling).clamp(0.0, share),
                100.0 * (high + sampling).clamp(share, 1.0),
            ],
            broken,
        }
    }
}
