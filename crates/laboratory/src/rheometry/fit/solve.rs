//! Least squares after Levenberg and Marquardt on the summed normal equations, from several starts. Coordinates that the
//! data do not determine are held.
//!
//! The solver is written here: with five constants at most, the sums of JᵀJ and Jᵀr take one pass over the readings and no
//! memory. The place where the gradient vanishes does not depend on the condition of JᵀJ, so a factorisation of J would
//! not be more accurate.

use super::basis::{Bounds, Coordinates, Datum};
use super::model::Model;
use gatefrost_numerics::least_squares::{self, Sums};
use gatefrost_numerics::matrix::{MOST, Matrix, Vector};

/// When a search ends.
#[derive(Clone, Copy)]
struct Patience {
    /// Until the gradient's cosine falls below this.
    cosine: f64,
    /// Greatest number of passes over the readings.
    passes: usize,
}

/// For the choice of the best start.
const ROUGH: Patience = Patience { cosine: 1e-3, passes: 40 };
/// For the final search.
const FINE: Patience = Patience { cosine: 1e-11, passes: 150 };

/// The result of the solver.
#[derive(Debug, Clone)]
pub(super) struct Solution {
    pub coordinates: Coordinates,
    /// Places that were fitted.
    pub free: Vec<usize>,
    /// Places that ran into a bound and were held there.
    pub bound: Vec<usize>,
    /// Sum of squares of ln η measured over fitted.
    pub squares: f64,
    pub converged: bool,
}

/// The minimum over `data` from the best start, which is chosen by a `sample` of the data. `held` coordinates keep the
/// value of the start.
pub(super) fn solve(
    model: &Model,
    data: &[Datum],
    sample: &[Datum],
    starts: &[Coordinates],
    held: &[usize],
) -> Option<Solution> {
    let bounds = model.bounds();
    let free: Vec<usize> = (0..bounds.len()).filter(|place| !held.contains(place)).collect();
    let from = |data, start, free: &[usize], patience| {
        Minimisation { model, data, bounds: &bounds, free, base: start }.minimum(patience)
    };
    let best = starts
        .iter()
        .filter_map(|start| from(sample, *start, &free, ROUGH))
        .min_by(|a, b| a.squares.total_cmp(&b.squares))?;
    let mut solution = from(data, best.coordinates, &free, FINE)?;
    // Each pass holds what ran into a bound; there are no more passes than coordinates.
    for _ in 0..bounds.len() {
        let hit = solution
            .free
            .iter()
            .find_map(|&place| bounds[place].bound(solution.coordinates[place]).map(|end| (place, end)));
        let Some((place, end)) = hit else { break };
        let mut start = solution.coordinates;
        start[place] = end;
        let rest: Vec<usize> = solution.free.iter().copied().filter(|&other| other != place).collect();
        let mut bound = solution.bound.clone();
        bound.push(place);
        let Some(next) = from(data, start, &rest, FINE) else {
            break;
        };
        solution = Solution { bound, ..next };
    }
    Some(solution)
}

/// JᵀJ of ln η by the free coordinates.
pub(super) fn normal(model: &Model, data: &[Datum], solution: &Solution) -> Matrix {
    let slopes = [1.0; MOST];
    sums(model, data, &solution.coordinates, &solution.free, &slopes).normal
}

fn sums(model: &Model, data: &[Datum], c: &Coordinates, free: &[usize], slopes: &Vector) -> Sums {
    let at = model.at(c);
    let mut out = Sums::new(free.len());
    for datum in data {
        let (value, by) = at.log_viscosity(datum);
        let mut row = [0.0; MOST];
        for (i, &place) in free.iter().enumerate() {
            row[i] = by[place] * slopes[i];
        }
        out.add(&row, value - datum.log_viscosity);
    }
    out.close()
}

struct Minimisation<'a> {
    model: &'a Model,
    data: &'a [Datum],
    bounds: &'a [Bounds],
    free: &'a [usize],
    base: Coordinates,
}

impl Minimisation<'_> {
    fn coordinates(&self, inner: &Vector) -> Coordinates {
        let mut out = self.base;
        for (&place, &u) in self.free.iter().zip(inner) {
            out[place] = self.bounds[place].outward(u);
        }
        out
    }

    fn sums(&self, inner: &Vector) -> Sums {
        let mut slopes = [0.0; MOST];
        for ((slope, &place), &u) in slopes.iter_mut().zip(self.free).zip(inner) {
            *slope = self.bounds[place].slope(u);
        }
        sums(self.model, self.data, &self.coordinates(inner), self.free, &slopes)
    }

    /// The minimum that the base leads to; `None` where its viscosities are not finite.
    fn minimum(&self, patience: Patience) -> Option<Solution> {
        let count = self.free.len();
        let mut inner = [0.0; MOST];
        for (u, &place) in inner.iter_mut().zip(self.free) {
            *u = self.bounds[place].inward(self.base[place]);
        }
        let mut here = self.sums(&inner);
        if !here.is_finite() {
            return None;
        }
        // Marquardt's damping, eased and tightened after H. B. Nielsen's rule (from memory).
        let (mut damping, mut tighter) = (1e-3, 2.0);
        let mut scale = [0.0_f64; MOST];
        let mut converged = count == 0;
        for _ in 0..patience.passes {
            if self.flat(&here, patience.cosine) {
                converged = true;
                break;
            }
            let mut damped = here.normal;
            for i in 0..count {
                scale[i] = scale[i].max(here.normal[i][i]).max(1e-30);
                damped[i][i] += damping * scale[i];
            }
            let Some(step) = least_squares::solve(&damped, &here.gradient, count) else {
                damping = (damping * 10.0).max(1e-10);
                continue;
            };
            let promised: f64 =
                (0..count).map(|i| step[i] * (here.gradient[i] + damping * scale[i] * step[i])).sum();
            // The step brings no gain although there is hardly any damping, or no step lowers the sum. What is left is
            // rounding.
            if damping < 1e-2 && promised <= 1e-3 * patience.cosine * here.squares || damping > 1e18 {
                converged = damping < 1e-2 || self.flat(&here, 1e-6);
                break;
            }
            let there: Vector = std::array::from_fn(|i| inner[i] - step[i]);
            let next = self.sums(&there);
            let gain = (here.squares - next.squares) / promised;
            if next.is_finite() && gain > 1e-4 {
                damping *= (1.0 - (2.0 * gain - 1.0).powi(3)).clamp(0.1, 2.0);
                tighter = 2.0;
                (inner, here) = (there, next);
            } else {
                damping *= tighter;
                tighter *= 2.0;
            }
        }
        let coordinates = self.coordinates(&inner);
        let squares = here.squares;
        Some(Solution { coordinates, free: self.free.to_vec(), bound: Vec::new(), squares, converged })
    }

    /// Whether the residuals are orthogonal to every derivative, or only rounding.
    fn flat(&self, here: &Sums, cosine: f64) -> bool {
        let upright = |i: usize| here.gradient[i].abs() <= cosine * (here.normal[i][i] * here.squares).sqrt();
        here.squares <= 1e-28 * self.data.len() as f64 || (0..here.count).all(upright)
    }
}
