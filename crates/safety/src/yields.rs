//! Share of shots that stay inside when settings and loading scatter.

use super::surrogate::Surrogate;
use super::{DIMENSIONS, Values, bounds, coarse, counting, points, scatter, standing};
use gatefrost_core::limits::{COUNT, Limit};
use gatefrost_core::order;
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_window::{Margins, margins_here};
use serde::Serialize;
use std::borrow::Cow;

/// Samples of each replicate, and replicates: their spread is the error of the sampling.
const SAMPLES: usize = 2048;
const REPLICATES: usize = 8;
/// Feedstocks that are drawn.
const FEEDSTOCKS: usize = 128;
/// Where every one of n feedstocks is inside, up to 3/n of all may not be, with 95 %.
const RULE_OF_THREE: f64 = 3.0;
/// Half width of the box the margins are fitted over, in standard deviations.
const REACH: f64 = 3.5;

/// Share of shots inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Yield {
    /// Share of shots that clear every limit, per cent.
    pub inside_percent: f64,
    /// Interval that holds it with 95 %: from the sampling, and from what the quadratics miss of the
    /// model (two standard errors of each margin, all to the same side); where the feedstock is uncertain,
    /// from how many were drawn, too.
    pub interval_percent: [f64; 2],
    /// Whether the feedstock's own uncertainty is in it.
    pub feedstock_uncertain: bool,
    /// The limits that are broken, the most often first, each counted where it is missed most.
    pub broken: Vec<Share>,
}

/// A limit and the share of shots in which it is the one missed most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Which limit.
    pub limit: Limit,
    /// Its short name.
    pub label: Cow<'static, str>,
    /// Share of shots, per cent.
    pub percent: f64,
}

/// Share of shots that stay inside about a scenario's set point, by quasi-Monte Carlo on quadratics fitted
/// to the model there. Where the feedstock's numbers are uncertain, the margins of feedstocks drawn from
/// them shift the samples, and the share is the mean over these.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn yields(scenario: &Scenario) -> Result<Yield, ScenarioError> {
    scenario.validate()?;
    Ok(Sampled::about(scenario).evaluate())
}

/// Margins of the samples about a set point.
pub(super) struct Sampled {
    /// By how much the margins of each feedstock drawn differ at the set point; none without uncertainty.
    feedstocks: Vec<Margins>,
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
            feedstocks: feedstocks(scenario),
            replicates: (0..REPLICATES).map(replicate).collect(),
            error: surrogate.error,
            counting: counting(scenario),
        }
    }

    fn drawn(&self) -> &[Margins] {
        if self.feedstocks.is_empty() { &[[0.0; COUNT]] } else { &self.feedstocks }
    }

    /// Shares inside of each replicate for each feedstock, every margin shifted, and each by so many of its
    /// standard errors.
    fn shares(&self, shift: &Margins, doubt: f64) -> Vec<Vec<f64>> {
        let inside = |margins: &Margins, feedstock: &Margins| {
            let margin = |k: usize| margins[k] + shift[k] + feedstock[k] + doubt * self.error[k];
            self.counting.iter().all(|&k| margin(k) >= 0.0)
        };
        let share = |r: &Vec<Margins>, feedstock: &Margins| {
            r.iter().filter(|m| inside(m, feedstock)).count() as f64 / r.len() as f64
        };
        self.replicates.iter().map(|r| self.drawn().iter().map(|f| share(r, f)).collect()).collect()
    }

    /// Share of the shots inside with every margin shifted, per cent.
    pub fn inside_percent(&self, shift: &Margins) -> f64 {
        100.0 * mean(&by_replicate(&self.shares(shift, 0.0)))
    }

    /// The yield.
    fn evaluate(&self) -> Yield {
        let drawn = self.drawn();
        let shares = self.shares(&[0.0; COUNT], 0.0);
        let found = by_replicate(&shares);
        let of_feedstock = |f: usize| mean(&shares.iter().map(|r| r[f]).collect::<Vec<_>>());
        let by_feedstock: Vec<f64> = (0..drawn.len()).map(of_feedstock).collect();
        let share = mean(&found);
        let error = |shares: &[f64]| {
            let n = shares.len() as f64;
            (shares.iter().map(|s| (s - share).powi(2)).sum::<f64>() / (n * (n - 1.0)).max(1.0)).sqrt()
        };
        // Student's t with seven degrees of freedom; for the feedstocks with many.
        let sampling = (2.365 * error(&found)).hypot(2.0 * error(&by_feedstock));
        let [low, high] = [-2.0, 2.0].map(|doubt| mean(&by_replicate(&self.shares(&[0.0; COUNT], doubt))));
        let mut worst = [0usize; COUNT];
        for margins in self.replicates.iter().flatten() {
            for feedstock in drawn {
                let margin = |k: usize| (k, margins[k] + feedstock[k]);
                let least = self.counting.iter().map(|&k| margin(k)).min_by(|a, b| a.1.total_cmp(&b.1));
                if let Some((k, g)) = least
                    && g < 0.0
                {
                    worst[k] += 1;
                }
            }
        }
        let unseen = if self.feedstocks.is_empty() { 0.0 } else { RULE_OF_THREE / drawn.len() as f64 };
        let lowest = (low - sampling).min(share * (1.0 - unseen));
        let all = (SAMPLES * REPLICATES * drawn.len()) as f64;
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
            interval_percent: [100.0 * lowest.clamp(0.0, share), 100.0 * (high + sampling).clamp(share, 1.0)],
            feedstock_uncertain: !self.feedstocks.is_empty(),
            broken,
        }
    }
}

fn mean(shares: &[f64]) -> f64 {
    shares.iter().sum::<f64>() / shares.len() as f64
}

fn by_replicate(shares: &[Vec<f64>]) -> Vec<f64> {
    shares.iter().map(|of_feedstocks| mean(of_feedstocks)).collect()
}

/// Differences of the margins at the set point for feedstocks drawn from what is uncertain about them.
fn feedstocks(scenario: &Scenario) -> Vec<Margins> {
    let Some(uncertainty) = &scenario.feedstock.uncertainty else { return Vec::new() };
    if uncertainty.numbers.is_empty() {
        return Vec::new();
    }
    // Differences from feedstock to feedstock are the coarse model's: they are small beside the margins.
    let scenario = &coarse(scenario);
    let here = margins_here(scenario);
    let drawn = |normals: &Vec<f64>| {
        let feedstock = uncertainty.draw(&scenario.feedstock, normals);
        let other = Scenario { feedstock, ..scenario.clone() };
        // What cannot be computed counts as outside.
        let mut there = if other.validate().is_ok() { margins_here(&other) } else { [-1e3; COUNT] };
        there.iter_mut().zip(here).for_each(|(there, here)| *there -= here);
        there
    };
    points::normals(uncertainty.numbers.len(), FEEDSTOCKS).iter().map(drawn).collect()
}
