//! Share of shots that stay inside when settings and loading scatter.

use super::surrogate::Surrogate;
use super::unknowns::{Unknown, unknowns};
use super::{COARSE, DISTURBED, Values, at_most, bounds, counting, scatter, standing};
use gatefrost_core::limits::{COUNT, Limit};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order;
use gatefrost_numerics::points;
use gatefrost_numerics::shares::{RULE_OF_THREE, mean_of_groups, score};
use gatefrost_window::{Margins, margins_here, margins_of};
use serde::Serialize;
use std::borrow::Cow;

/// Samples of each replicate, and number of replicates. The spread of the replicates is the sampling error.
const SAMPLES: usize = 2048;
const REPLICATES: usize = 8;
/// Shots in all.
pub(super) const SHOTS: usize = SAMPLES * REPLICATES;
/// Feedstocks that are drawn.
const FEEDSTOCKS: usize = 128;
/// Student's t with seven degrees of freedom, for the spread of the replicates; for that of the feedstocks, which are
/// many, two standard errors.
const T_REPLICATES: f64 = 2.365;
const T_FEEDSTOCKS: f64 = 2.0;
/// Half width of the box the margins are fitted over, in standard deviations.
const REACH: f64 = 3.5;
/// Beyond this many of its standard errors, the sign of a fitted margin is taken as certain.
const SURE: f64 = 2.5;
/// Uncertain shots that are evaluated for a change, of either kind.
const COUNTED: usize = 48;
/// Certain shots that are checked on the model.
const CHECKED: usize = 32;
/// Layers of the uncertain shots; shots evaluated in each at first, and in all at most.
const LAYERS: usize = 16;
const FIRST: usize = 2;
const MOST_SHOTS: usize = 256;
/// No more shots are evaluated once the half width of the interval is below this fraction.
const NARROW: f64 = 0.025;

/// Share of shots inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Yield {
    /// Share of shots that meet every limit, per cent.
    pub inside_percent: f64,
    /// Interval that holds it with 95 %: from the shots that were counted on the model itself and from the
    /// sampling; where the feedstock is uncertain, from how many were drawn, too. It always has a width: also
    /// where all shots, or all feedstocks, agree.
    pub interval_percent: [f64; 2],
    /// Whether the feedstock's own uncertainty is in it.
    pub feedstock_uncertain: bool,
    /// The limits that are broken, the most often first, each counted where it is missed most.
    pub broken: Vec<Share>,
    /// The uncertain numbers, the one that matters most first.
    pub unknowns: Vec<Unknown>,
}

/// A limit and the share of shots in which it is the one missed most.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Share {
    /// Which limit.
    pub limit: Limit,
    /// Its short name.
    pub label: Cow<'static, str>,
    /// Share of shots, per cent.
    pub percent: f64,
}

/// Share of shots that stay inside about a scenario's set point, by quasi-Monte Carlo. A surrogate decides the shots
/// whose least margin lies far from zero in its standard errors. The other, uncertain shots are sorted into layers by
/// that distance, and some of each layer are evaluated on the model. If any checked shot is misclassified, every
/// shot counts as uncertain.
/// Each shot has its own feedstock where the feedstock's numbers are uncertain.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn yields(scenario: &Scenario) -> Result<Yield, ScenarioError> {
    scenario.validate()?;
    Ok(Yield { unknowns: unknowns(scenario)?, ..Sampled::about(scenario).evaluate() })
}

/// By how much the share inside changes, and how far that may be off with 95 %, in percentage points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gained {
    pub points: f64,
    pub within: f64,
}

/// Shots about a set point.
pub(super) struct Sampled<'a> {
    scenario: &'a Scenario,
    /// Numbers by which feedstocks are drawn; none without uncertainty.
    draws: Vec<Vec<f64>>,
    /// Settings of each shot, replicate by replicate.
    shots: Vec<Values>,
    /// Their margins by the surrogate, shifted by what the feedstock changes at the set point.
    margins: Vec<Margins>,
    error: Margins,
    counting: Vec<usize>,
}

/// Some of the uncertain shots, and the model's results for them.
#[derive(Clone)]
struct Layer {
    shots: f64,
    inside: f64,
    missed: Margins,
}

impl Layer {
    /// By how much the variance falls with one shot more, up to the layers' common weight.
    fn worth(&self) -> f64 {
        let share = (self.inside + 0.5) / (self.shots + 1.0);
        share * (1.0 - share) / (self.shots * (self.shots + 1.0))
    }
}

impl<'a> Sampled<'a> {
    pub fn about(scenario: &'a Scenario) -> Self {
        let (centre, sigma) = (standing(scenario), scatter(scenario));
        let surrogate = Surrogate::over(scenario, centre, sigma.map(|s| REACH * s), &bounds(scenario));
        let mut shots = Vec::new();
        for k in 0..REPLICATES {
            shots.extend(points::normal(SAMPLES, (k as f64 + 0.5) / REPLICATES as f64));
        }
        let draws = draws(scenario);
        let shifts = shifts(scenario, &draws);
        let mut margins = Vec::new();
        for (n, shot) in shots.iter_mut().enumerate() {
            *shot = std::array::from_fn(|k| centre[k] + sigma[k] * shot[k]);
            let mut there = surrogate.at(shot);
            if !shifts.is_empty() {
                there.iter_mut().zip(shifts[n % FEEDSTOCKS]).for_each(|(there, shift)| *there += shift);
            }
            margins.push(there);
        }
        Self { scenario, draws, shots, margins, error: surrogate.error(), counting: counting(scenario) }
    }

    /// The limit that is missed most, or least far from it, with its margin.
    fn least(&self, margins: &Margins) -> (usize, f64) {
        let mut least = (0, f64::INFINITY);
        for &k in &self.counting {
            if margins[k] < least.1 {
                least = (k, margins[k]);
            }
        }
        least
    }

    /// Least margin in its own standard errors.
    fn score(&self, margins: &Margins) -> f64 {
        let scaled = |&k: &usize| margins[k] / (self.error[k] + 1e-9);
        self.counting.iter().map(scaled).fold(f64::INFINITY, f64::min)
    }

    /// The same limit and margin for a shot on the model of this scenario or of one that differs a little; what
    /// cannot be computed counts as outside.
    fn shoot(&self, scenario: &Scenario, shot: usize) -> (usize, f64) {
        let draw = self.draws.get(shot % FEEDSTOCKS);
        let s = draw.map_or_else(|| scenario.clone(), |draw| drawn(scenario, draw));
        if s.validate().is_err() {
            return self.least(&[IMPOSSIBLE; COUNT]);
        }
        let (here, there, room) = (standing(self.scenario), standing(scenario), bounds(&s));
        let x: Values =
            std::array::from_fn(|k| (self.shots[shot][k] + there[k] - here[k]).clamp(room[k][0], room[k][1]));
        self.least(&margins_of(&s, &DISTURBED, &x)[0])
    }

    /// By how much the share inside changes, in percentage with a scenario that differs a little and its
    /// margins at the set point by so much. Shots that are sure before and after are taken from the
    /// surrogate. Of the others, some that change by the surrogate and some that do not are evaluated
    /// on both models. `before` keeps the results, one for each of [`SHOTS`].
    pub fn gained(&self, changed: &Scenario, shift: &Margins, before: &mut [Option<bool>]) -> Gained {
        let mut sure = 0.0;
        let mut unsure: [Vec<(usize, f64)>; 2] = Default::default();
        let mut seen = Vec::with_capacity(self.margins.len());
        for (shot, margins) in self.margins.iter().enumerate() {
            let scores = [*margins, std::array::from_fn(|k| margins[k] + shift[k])].map(|m| self.score(&m));
            let [was, is] = scores.map(|score| score >= 0.0);
            let change = f64::from(u8::from(is)) - f64::from(u8::from(was));
            seen.push(change);
            if scores.iter().any(|score| score.abs() < SURE) {
                unsure[usize::from(was != is)].push((shot, scores[0] + scores[1]));
            } else {
                sure += change;
            }
        }
        let all = self.margins.len() as f64;
        let (mut change, mut variance) = (sure / all, self.sampled(&seen, |_, variance, t| t * t * variance));
        for shots in &mut unsure {
            order::sort_by(shots, |(_, score)| *score);
            let counted = COUNTED.min(shots.len());
            let changes: Vec<f64> = (0..counted)
                .map(|n| {
                    let shot = shots[(2 * n + 1) * shots.len() / (2 * counted)].0;
                    let was = *before[shot].get_or_insert_with(|| self.shoot(self.scenario, shot).1 >= 0.0);
                    let is = self.shoot(changed, shot).1 >= 0.0;
                    f64::from(u8::from(is)) - f64::from(u8::from(was))
                })
                .collect();
            let weight = shots.len() as f64 / all;
            change += weight * changes.iter().sum::<f64>() / counted.max(1) as f64;
            if counted < shots.len() {
                let (_, spread) = mean_of_groups(&changes, counted, |n| n);
                let alike = if spread > 0.0 { 0.0 } else { RULE_OF_THREE / counted as f64 };
                variance += weight.powi(2) * (4.0 * spread + alike.powi(2));
            }
        }
        let within = variance.sqrt().max(self.unseen());
        Gained { points: 100.0 * change, within: 100.0 * within }
    }

    /// The greatest share that may be of a kind which none of the shots has shown, with 95 %: by the rule of three, 3/n.
    /// Where feedstocks are drawn, n is their number: shots of one feedstock tend to go the same way.
    fn unseen(&self) -> f64 {
        let trials = if self.draws.is_empty() { self.shots.len() } else { FEEDSTOCKS };
        RULE_OF_THREE / trials as f64
    }

    /// What the sampling leaves open of a mean over the shots, summed over replicates and feedstocks: `of` takes
    /// the mean, its variance and how many standard errors hold it with 95 %.
    fn sampled(&self, values: &[f64], of: impl Fn(f64, f64, f64) -> f64) -> f64 {
        let (mean, variance) = mean_of_groups(values, REPLICATES, |n| n / SAMPLES);
        let mut sum = of(mean, variance, T_REPLICATES);
        if !self.draws.is_empty() {
            let (mean, variance) = mean_of_groups(values, FEEDSTOCKS, |n| n % FEEDSTOCKS);
            sum += of(mean, variance, T_FEEDSTOCKS);
        }
        sum
    }

    /// The yield.
    fn evaluate(&self) -> Yield {
        let all = self.shots.len();
        let scores: Vec<f64> = self.margins.iter().map(|m| self.score(m)).collect();
        let order = order::rising(&scores);
        let [mut low, mut high] = [-SURE, SURE].map(|edge| scores.iter().filter(|s| **s < edge).count());
        // The nearest of the sure ones more often than the others.
        let mistaken = (0..CHECKED).any(|i| {
            let away = ((i as f64 + 0.5) / CHECKED as f64).powi(2);
            let [below, above] = [low, all - high].map(|sure| (away * sure as f64) as usize);
            let near = if i % 2 == 0 && low > 0 { low - 1 - below } else { high + above };
            let Some(&shot) = order.get(near) else { return false };
            (self.shoot(self.scenario, shot).1 < 0.0) != (scores[shot] < 0.0)
        });
        if mistaken {
            (low, high) = (0, all);
        }
        let mut broken = [0.0; COUNT];
        for &shot in &order[..low] {
            broken[self.least(&self.margins[shot]).0] += 1.0 / all as f64;
        }
        let (inside, below, above) = self.count(&order[low..high], &mut broken);
        let share = (all - high) as f64 / all as f64 + inside;
        let seen: Vec<f64> = scores.iter().map(|score| f64::from(u8::from(*score >= 0.0))).collect();
        let sampling = [0, 1].map(|side| self.sampled(&seen, |p, v, t| score(p, v, t)[side].powi(2)).sqrt());
        let unseen = self.unseen();
        let lowest = (share - below.hypotenuse(sampling[0])).min(share * (1.0 - unseen));
        let highest = (share + above.hypotenuse(sampling[1])).max(share + (1.0 - share) * unseen);
        let mut broken: Vec<Share> = (0..COUNT)
            .filter(|&k| broken[k] > 0.0)
            .map(|k| Share {
                limit: Limit::ALL[k],
                label: Limit::ALL[k].label().into(),
                percent: 100.0 * broken[k],
            })
            .collect();
        order::sort_by(&mut broken, |share| -share.percent);
        Yield {
            inside_percent: 100.0 * share,
            interval_percent: [100.0 * lowest.max(0.0), 100.0 * highest.min(1.0)],
            feedstock_uncertain: self
                .scenario
                .feedstock
                .uncertainty
                .as_ref()
                .is_some_and(|uncertainty| !uncertainty.numbers.is_empty()),
            broken,
            unknowns: Vec::new(),
        }
    }

    /// Share, of all shots, of those of some that are inside by the model, and how far it may lie below and
    /// above with 95 %. Layers that reduce the variance most get more shots.
    fn count(&self, unsure: &[usize], broken: &mut Margins) -> (f64, f64, f64) {
        let (weight, mut layers) = (
            unsure.len() as f64 / self.shots.len() as f64,
            vec![Layer { shots: 0.0, inside: 0.0, missed: [0.0; COUNT] }; LAYERS],
        );
        let one = weight / LAYERS as f64;
        let mut found = (0.0, 0.0, 0.0);
        if unsure.is_empty() {
            return found;
        }
        for n in 0..MOST_SHOTS {
            let next = if n < FIRST * LAYERS { n % LAYERS } else { best_of(&layers) };
            let layer = &mut layers[next];
            // Golden section: even however many there will be.
            let within = (0.5 + 0.618_033_988_75 * layer.shots).fract();
            let place = (next as f64 + within) / LAYERS as f64 * unsure.len() as f64;
            let (limit, g) = self.shoot(self.scenario, unsure[(place as usize).min(unsure.len() - 1)]);
            layer.shots += 1.0;
            if g >= 0.0 {
                layer.inside += 1.0;
            } else {
                layer.missed[limit] += 1.0;
            }
            found = interval(&layers, one);
            if n + 1 >= FIRST * LAYERS && found.1.max(found.2) < NARROW {
                break;
            }
        }
        for layer in &layers {
            for k in 0..COUNT {
                broken[k] += one * layer.missed[k] / layer.shots;
            }
        }
        found
    }
}

/// The layer in which one more shot reduces the variance most.
fn best_of(layers: &[Layer]) -> usize {
    let mut best = 0;
    for (k, layer) in layers.iter().enumerate() {
        if layer.worth() > layers[best].worth() {
            best = k;
        }
    }
    best
}

/// Share inside, and how far it may lie below and above: two standard errors of the layers that are mixed, the
/// rule of three for those that are not.
fn interval(layers: &[Layer], weight: f64) -> (f64, f64, f64) {
    let (mut share, mut variance) = (0.0, 0.0);
    let mut pure = [[0.0; 2]; 2];
    for layer in layers {
        let inside = layer.inside / layer.shots.max(1.0);
        share += weight * inside;
        if inside > 0.0 && inside < 1.0 {
            variance += weight.powi(2) * inside * (1.0 - inside) / (layer.shots - 1.0);
        } else {
            let [weights, shots] = &mut pure[inside as usize];
            (*weights, *shots) = (*weights + weight, *shots + layer.shots);
        }
    }
    let [above, below] = pure.map(|[weights, shots]| {
        (2.0 * variance.sqrt()).hypotenuse(RULE_OF_THREE * weights / shots.max(1.0)).min(1.0)
    });
    (share, below, above)
}

/// Margin of what cannot be computed.
const IMPOSSIBLE: f64 = -1e3;

/// Numbers by which feedstocks are drawn: the lot first, then what is uncertain about the feedstock.
fn draws(scenario: &Scenario) -> Vec<Vec<f64>> {
    let uncertain =
        scenario.feedstock.uncertainty.as_ref().map_or(0, |uncertainty| uncertainty.numbers.len());
    let numbers = uncertain + usize::from(scenario.scatter.viscosity > 0.0);
    if numbers == 0 { Vec::new() } else { points::normals(numbers, FEEDSTOCKS) }
}

/// The scenario with a feedstock that is drawn.
fn drawn(scenario: &Scenario, draw: &[f64]) -> Scenario {
    let lots = scenario.lots();
    let (lot, draw) = draw.split_at(usize::from(!lots.numbers.is_empty()).min(draw.len()));
    let uncertainty = scenario.feedstock.uncertainty.as_ref();
    let drawn = uncertainty.map_or_else(|| scenario.clone(), |uncertainty| uncertainty.draw(scenario, draw));
    // The constants that scale the viscosity go together.
    lot.first().map_or_else(|| drawn.clone(), |&z| lots.draw(&drawn, &vec![z; lots.numbers.len()]))
}

/// Differences of the margins at the set point from feedstock to feedstock: the coarse model's, they are small
/// beside the margins.
fn shifts(scenario: &Scenario, draws: &[Vec<f64>]) -> Vec<Margins> {
    let scenario = &at_most(scenario, COARSE);
    let here = margins_here(scenario);
    let shift = |draw: &Vec<f64>| {
        let other = drawn(scenario, draw);
        let mut there = if other.validate().is_ok() { margins_here(&other) } else { [IMPOSSIBLE; COUNT] };
        there.iter_mut().zip(here).for_each(|(there, here)| *there -= here);
        there
    };
    draws.iter().map(shift).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::case::Case;
    use gatefrost_core::scenario::demo;

    /// A lot is thicker or thinner by the same factor at every rate and temperature; version 1 knew of no lots.
    #[test]
    fn lots_differ_by_one_factor_of_the_viscosity() {
        let mut scenario = demo::find("latch").expect("a demo").scenario();
        scenario.feedstock.uncertainty = None;
        scenario.scatter.viscosity = 10.0;
        let viscosity =
            |s: &Scenario, rate: f64, t: f64| Case::resolve(s).material.viscosity.viscosity(rate, t, 0.0);
        let lot = drawn(&scenario, &[1.5]);
        for (rate, t) in [(1e2, 430.0), (1e4, 430.0), (1e3, 450.0)] {
            let factor = viscosity(&lot, rate, t) / viscosity(&scenario, rate, t);
            assert!((factor / 0.15_f64.exp() - 1.0).abs() < 1e-9, "{factor} at {rate} 1/s and {t} K");
        }
        let all = draws(&scenario);
        assert_eq!(all.len(), FEEDSTOCKS);
        assert!(all.iter().all(|draw| draw.len() == 1));
        let first = demo::default_demo().scenario();
        assert_eq!(first.scatter.viscosity, 0.0);
        assert!(draws(&first).is_empty() || first.feedstock.uncertainty.is_some());
    }
}
