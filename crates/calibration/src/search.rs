//! The search for the minimum: Gauss and Newton with Levenberg and Marquardt's damping.
//!
//! Derivatives B begin as differences of the coarse model. Each step Δz runs the full model once, and what it says of the
//! change Δm of the readings corrects them by Broyden's rank-one formula (C. G. Broyden, Math. Comp. 19 (1965) 577, from memory):
//!
//!   B ← B + (Δm − B Δz) Δzᵀ / |Δz|².
//!
//! So no difference of the full model is taken. Once the unknowns have moved far, the coarse derivatives are taken anew.

use crate::solve::{Datum, Found, Model, identity, information, solved};

/// Most runs of the full model in one search.
const MOST_RUNS: usize = 16;
/// Longest step of an unknown.
const FARTHEST: f64 = 2.0;
/// A step that promises to lower what is minimised by less than this is not taken where the end counts: ½ δ² at δ = 0.02
/// standard deviations.
pub(crate) const SETTLED: f64 = 2e-4;
/// The same where the search goes on with other errors of the readings, or where a step gained less than half of what it
/// promised: a third of a standard deviation is within the jumps of the grid.
pub(crate) const ROUGH: f64 = 0.05;
/// What may still be promised where the search is given up and its end counts: half a standard deviation.
const GOOD_ENOUGH: f64 = 0.125;
/// Runs without gain after which coarse derivatives are taken anew, and after which the search is given up.
const GAINLESS: [usize; 2] = [2, 3];
/// Shorter steps correct no derivative: the change of a reading would be that of the grid.
const LEARNT: f64 = 0.1;
/// Derivatives from so far are taken anew.
const OWN: f64 = 0.5;
/// How often a search goes on with derivatives of its place.
const ANEW: usize = 3;
/// Step of a difference, in standard deviations before the readings.
const DIFFERENCE: f64 = 0.2;

/// Called between the steps with the share that is done; returns whether to go on.
pub type Progress<'p> = &'p mut dyn FnMut(f64) -> bool;

/// Derivatives of the readings by the unknowns at z: central differences of the coarse model.
pub fn slopes(model: &impl Model, z: &[f64]) -> Vec<Vec<f64>> {
    differences(model, z, |moved| moved(-DIFFERENCE), 2.0 * DIFFERENCE)
}

/// The same on one side, which takes half of the work.
fn rough_slopes(model: &impl Model, z: &[f64]) -> Vec<Vec<f64>> {
    let here = model.predict(z, true);
    differences(model, z, |_| here.clone(), DIFFERENCE)
}

fn differences(
    model: &impl Model,
    z: &[f64],
    below: impl Fn(&dyn Fn(f64) -> Vec<f64>) -> Vec<f64>,
    step: f64,
) -> Vec<Vec<f64>> {
    let column = |k: usize| -> Vec<f64> {
        let at = |by: f64| {
            let mut moved = z.to_vec();
            moved[k] += by;
            model.predict(&moved, true)
        };
        model.known_slopes(k).unwrap_or_else(|| {
            let (above, below) = (at(DIFFERENCE), below(&at));
            above.iter().zip(&below).map(|(a, b)| (a - b) / step).collect()
        })
    };
    let columns: Vec<Vec<f64>> = (0..z.len()).map(column).collect();
    // Without unknowns, each reading still has its row.
    let rows = columns.first().map_or_else(|| model.predict(z, true).len(), Vec::len);
    (0..rows).map(|i| columns.iter().map(|c| c[i]).collect()).collect()
}

/// Where a search is: the unknowns with predictions and derivatives there.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The unknowns.
    pub z: Vec<f64>,
    /// Predictions there.
    pub predicted: Vec<f64>,
    /// Derivatives: a row for each reading.
    pub slopes: Vec<Vec<f64>>,
    /// Where the coarse model gave them.
    pub from: Vec<f64>,
}

impl Place {
    /// At z.
    pub fn at(model: &impl Model, z: Vec<f64>) -> Self {
        Self { predicted: model.predict(&z, false), slopes: slopes(model, &z), from: z.clone(), z }
    }

    /// Takes the derivatives anew, on one side, if they are from afar.
    pub(crate) fn renew(&mut self, model: &impl Model) {
        if self.moved() > OWN {
            self.slopes = rough_slopes(model, &self.z);
            self.from.clone_from(&self.z);
        }
    }

    /// How far it is from where the derivatives were taken.
    fn moved(&self) -> f64 {
        let apart = |(z, from): (&f64, &f64)| (z - from).abs();
        self.z.iter().zip(&self.from).map(apart).fold(0.0, f64::max)
    }

    /// Corrects the derivatives by what a step changed.
    fn learn(&mut self, by: &[f64], there: &[f64]) {
        let square: f64 = by.iter().map(|d| d * d).sum();
        if square < LEARNT * LEARNT || !there.iter().all(|m| m.is_finite()) {
            return;
        }
        for ((row, before), after) in self.slopes.iter_mut().zip(&self.predicted).zip(there) {
            let foretold: f64 = row.iter().zip(by).map(|(g, d)| g * d).sum();
            let off = (after - before - foretold) / square;
            row.iter_mut().zip(by).for_each(|(g, d)| *g += off * d);
        }
    }

    /// What is minimised.
    fn cost(&self, data: &[Datum], robust: bool) -> f64 {
        total(data, &self.z, &self.predicted, robust)
    }

    /// The step to the minimum of the model that is linear here, cut where it is long, and the gain that it promises.
    fn step(&self, data: &[Datum], robust: bool, damping: f64) -> (Vec<f64>, f64) {
        let count = self.z.len();
        let parts: Vec<[f64; 3]> =
            data.iter().zip(&self.predicted).map(|(d, m)| d.cost(*m, robust)).collect();
        let weights: Vec<f64> = parts.iter().map(|p| p[2]).collect();
        let mut normal = information(identity(count), &self.slopes, &weights);
        (0..count).for_each(|i| normal[i][i] *= 1.0 + damping);
        let downhill: Vec<f64> = (0..count)
            .map(|k| -self.z[k] - parts.iter().zip(&self.slopes).map(|(p, row)| p[1] * row[k]).sum::<f64>())
            .collect();
        let by = solved(normal, &downhill);
        let promised = 0.5 * by.iter().zip(&downhill).map(|(b, d)| b * d).sum::<f64>();
        let far = by.iter().fold(0.0_f64, |most, b| most.max(b.abs()));
        let cut = if far > FARTHEST { FARTHEST / far } else { 1.0 };
        (by.iter().map(|b| cut * b).collect(), promised)
    }
}

fn total(data: &[Datum], z: &[f64], predicted: &[f64], robust: bool) -> f64 {
    let prior: f64 = z.iter().map(|z| 0.5 * z * z).sum();
    let cost: f64 = data.iter().zip(predicted).map(|(d, m)| d.cost(*m, robust)[0]).sum();
    if cost.is_finite() { prior + cost } else { f64::INFINITY }
}

/// Searches from where `at` is and leaves it at the end; `None` if it was stopped. Where the coarse derivatives are of another
/// place, the end is a minimum as far as they are right: [`settled`] looks at it again.
pub(crate) fn descend(
    model: &impl Model,
    data: &[Datum],
    at: &mut Place,
    (robust, enough): (bool, f64),
    progress: Progress<'_>,
) -> Option<Found> {
    let mut cost = at.cost(data, robust);
    let (mut damping, mut gainless, mut converged) = (1e-3, 0, false);
    for run in 0..MOST_RUNS {
        if !progress(run as f64 / MOST_RUNS as f64) {
            return None;
        }
        let (by, promised) = at.step(data, robust, damping);
        converged = promised < GOOD_ENOUGH;
        if promised < enough || gainless == GAINLESS[1] {
            break;
        }
        let next: Vec<f64> = at.z.iter().zip(&by).map(|(z, by)| z + by).collect();
        let there = model.predict(&next, false);
        let after = total(data, &next, &there, robust);
        let gain = cost - after;
        if gain >= 0.0 {
            at.learn(&by, &there);
            (at.z, at.predicted, cost) = (next, there, after);
            (damping, gainless) = ((0.3 * damping).max(1e-9), 0);
        } else {
            (damping, gainless) = ((10.0 * damping).max(0.1), gainless + 1);
        }
        if promised < ROUGH && gain < 0.5 * promised {
            break;
        }
        if gainless == GAINLESS[0] {
            at.renew(model);
        }
    }
    let (z, predicted, slopes) = (at.z.clone(), at.predicted.clone(), at.slopes.clone());
    Some(Found { z, predicted, slopes, cost, converged })
}

/// Searches on with derivatives of the place itself, until it has hardly moved from there. Those of the result are central
/// differences of the coarse model as the full one corrects them.
pub fn settled(
    model: &impl Model,
    data: &[Datum],
    at: &mut Place,
    robust: bool,
    progress: Progress<'_>,
) -> Option<Found> {
    let mut found = None;
    for _ in 0..ANEW {
        (at.slopes, at.from) = (slopes(model, &at.z), at.z.clone());
        found = Some(descend(model, data, at, (robust, SETTLED), progress)?);
        if at.moved() <= OWN {
            break;
        }
    }
    found
}
