//! What fails first about a set point, and at which distance.

use super::super::lots::with_lots;
use super::super::surrogate::{Surrogate, ask};
use super::super::{DIMENSIONS, DISTURBED, Values, scatter_at};
use super::MOST;
use super::space::SearchSpace;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::Axis;
use gatefrost_numerics::order;
use gatefrost_numerics::points;
use gatefrost_numerics::search::secant;
use gatefrost_window::Margins;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Number of directions in which the stated distance is checked.
const DIRECTIONS: usize = 128;
/// Directions in which the coarse model keeps less than this fraction of the margin are checked on the own model.
const DOUBTFUL: f64 = 0.25;
/// Number of secant steps along a direction.
const LOOKS: usize = 4;
/// Number of the nearest limits whose distance is corrected twice.
const NEAREST: usize = 3;

/// A limit that a disturbance reaches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Failing {
    /// Which.
    pub limit: Limit,
    /// Its short name.
    pub label: Cow<'static, str>,
    /// Smallest disturbance that reaches it, in standard deviations of all settings at once.
    pub at: f64,
    /// That disturbance, setting by setting, in edge units.
    pub disturbance: Vec<(Axis, f64)>,
    /// How much thicker its lot of feedstock is, in standard deviations of the lots' viscosity.
    pub lot: f64,
}

impl Failing {
    pub(super) fn new(limit: usize, at: f64, disturbance: &Values, factor: f64) -> Self {
        let limit = Limit::ALL[limit];
        Self {
            limit,
            label: limit.label().into(),
            at: at.clamp(-MOST, MOST),
            disturbance: (0..DIMENSIONS).map(|k| (DISTURBED[k], disturbance[k] * factor)).collect(),
            lot: 0.0,
        }
    }

    /// The same where lots differ, too, by the slope of its margin g with one standard deviation of their viscosity: the
    /// disturbance d of the settings becomes d (t'/t)², since d = −t² σ² s/g.
    fn with_lots(self, g: f64, lot_slope: f64) -> Self {
        let at = with_lots(g, self.at, lot_slope);
        if at == self.at {
            return self;
        }
        let less = (at / self.at).powi(2);
        let disturbance = self.disturbance.into_iter().map(|(axis, d)| (axis, less * d)).collect();
        Self { at, disturbance, lot: -at * at * lot_slope / g, ..self }
    }
}

impl SearchSpace<'_> {
    /// What fails first about a place, each distance corrected by the model.
    pub(super) fn failing(&self, surrogate: &Surrogate, x: &Values) -> Vec<Failing> {
        let (slopes, sigma) = (surrogate.slopes(x), scatter_at(self.scenario, x));
        // The surrogate gives slopes only; the model decides inside or outside.
        let here = ask(self.scenario, &[*x])[0];
        let mut near: Vec<(usize, f64)> = self
            .counting
            .iter()
            .map(|&k| (k, distance(here[k], &slopes[k], &sigma)))
            .filter(|(_, at)| *at < MOST)
            .collect();
        order::sort_by(&mut near, |(_, at)| *at);
        near.truncate(6);
        let disturbances: Vec<Values> = near.iter().map(|&(k, at)| towards(&slopes[k], &sigma, at)).collect();
        let places: Vec<Values> = disturbances.iter().map(|d| self.moved(x, d)).collect();
        let margins = ask(self.scenario, &places);
        let mut failing = Vec::new();
        for (i, &(k, at)) in near.iter().enumerate() {
            let secant = secant(here[k], margins[i][k]);
            let factor = if at < 0.0 || !(0.2..5.0).contains(&secant) { 1.0 } else { secant };
            failing.push(Failing::new(k, at * factor, &disturbances[i], factor));
        }
        order::sort_by(&mut failing, |f| f.at);
        self.look_again(x, &here, &mut failing);
        self.doubt(x, &here, &mut failing);
        self.differ(&here, failing)
    }

    /// What fails first where lots differ, too.
    fn differ(&self, here: &Margins, failing: Vec<Failing>) -> Vec<Failing> {
        let unseen = |&k: &usize| !failing.iter().any(|f| f.limit == Limit::ALL[k]);
        // A limit that no setting reaches may be reached by the lot alone.
        let by_lot = self.counting.iter().copied().filter(unseen);
        let by_lot = by_lot.map(|k| Failing::new(k, MOST, &[0.0; DIMENSIONS], 1.0)).collect::<Vec<_>>();
        let with_lots = |f: Failing| {
            let k = f.limit as usize;
            f.with_lots(here[k], self.lots[k])
        };
        let mut failing: Vec<Failing> = failing
            .into_iter()
            .map(with_lots)
            .chain(by_lot.into_iter().map(with_lots).filter(|f| f.at < 0.9 * MOST))
            .collect();
        order::sort_by(&mut failing, |f| f.at);
        failing
    }

    /// Corrects the nearest distances once more, because margins are curved.
    fn look_again(&self, x: &Values, here: &Margins, failing: &mut [Failing]) {
        let near: Vec<usize> = (0..failing.len().min(NEAREST)).filter(|&i| failing[i].at > 0.0).collect();
        let disturbance = |f: &Failing| std::array::from_fn(|k| f.disturbance[k].1);
        let places: Vec<Values> = near.iter().map(|&i| self.moved(x, &disturbance(&failing[i]))).collect();
        let margins = ask(self.scenario, &places);
        for (i, found) in near.into_iter().zip(margins) {
            let Some(k) = Limit::ALL.iter().position(|&l| l == failing[i].limit) else { continue };
            let secant = secant(here[k], found[k]);
            if here[k] > 0.0 && (0.5..2.0).contains(&secant) {
                failing[i] = Failing::new(k, failing[i].at * secant, &disturbance(&failing[i]), secant);
            }
        }
        order::sort_by(failing, |f| f.at);
    }

    /// Checks the stated distance in many directions: a curved limit, or one that was not followed, may be reached
    /// sooner than the slopes say. A coarse model selects the directions.
    fn doubt(&self, x: &Values, here: &Margins, failing: &mut Vec<Failing>) {
        let promised = failing.first().map_or(MOST, |f| f.at);
        if promised <= 0.0 {
            return;
        }
        let sigma = scatter_at(self.scenario, x);
        let mut places = points::directions(DIRECTIONS, 0.2, DIMENSIONS);
        for place in &mut places {
            (0..DIMENSIONS).for_each(|k| place[k] *= promised * sigma[k]);
            *place = self.moved(x, place);
        }
        let rough = ask(&self.rough, &places);
        let mut worth = vec![false; places.len()];
        for &k in &self.counting {
            if let Some(d) = worst(&rough, k).filter(|&d| rough[d][k] < DOUBTFUL * here[k]) {
                worth[d] = true;
            }
        }
        let places: Vec<Values> =
            places.into_iter().zip(worth).filter(|(_, worth)| *worth).map(|(z, _)| z).collect();
        let found = ask(self.scenario, &places);
        for &k in &self.counting {
            let Some(worst) = worst(&found, k).filter(|&d| found[d][k] < 0.0) else { continue };
            let factor = self.met(x, &places[worst], k, [here[k], found[worst][k]]);
            failing.retain(|f| f.limit != Limit::ALL[k] || f.at < factor * promised);
            if !failing.iter().any(|f| f.limit == Limit::ALL[k]) {
                let mut disturbance = places[worst];
                (0..DIMENSIONS).for_each(|k| disturbance[k] -= x[k]);
                failing.push(Failing::new(k, factor * promised, &disturbance, factor));
            }
        }
        order::sort_by(failing, |f| f.at);
    }

    /// Share of a way at which a limit is met that is broken at its end, by its margins here and there: by the
    /// secant, and again on what is left of the way, since margins may jump on it.
    fn met(&self, x: &Values, end: &Values, limit: usize, [here, there]: [f64; 2]) -> f64 {
        let (mut inside, mut outside) = ((0.0, here), (1.0, there));
        for _ in 0..LOOKS {
            let share = secant(inside.1, outside.1).clamp(0.1, 0.9);
            let at = inside.0 + share * (outside.0 - inside.0);
            let place = std::array::from_fn(|k| x[k] + at * (end[k] - x[k]));
            let g = ask(self.scenario, &[place])[0][limit];
            if g < 0.0 {
                outside = (at, g);
            } else {
                inside = (at, g);
            }
        }
        outside.0
    }
}

/// Where a limit's margin is least.
fn worst(margins: &[Margins], limit: usize) -> Option<usize> {
    (0..margins.len()).min_by(|&a, &b| margins[a][limit].total_cmp(&margins[b][limit]))
}

/// Standard deviations to where a margin vanishes, by its slope.
pub(super) fn distance(g: f64, slope: &Values, sigma: &Values) -> f64 {
    (g / steepness(slope, sigma).max(1e-9)).clamp(-MOST, MOST)
}

/// ‖σ ∂g/∂x‖.
pub(super) fn steepness(slope: &Values, sigma: &Values) -> f64 {
    slope.iter().zip(sigma).map(|(s, sigma)| (s * sigma).powi(2)).sum::<f64>().sqrt()
}

/// The smallest disturbance that reaches a limit: −t σ² ∂g/∂x/‖σ ∂g/∂x‖.
pub(super) fn towards(slope: &Values, sigma: &Values, at: f64) -> Values {
    let steep = steepness(slope, sigma).max(1e-12);
    std::array::from_fn(|k| -at * sigma[k].powi(2) * slope[k] / steep)
}
