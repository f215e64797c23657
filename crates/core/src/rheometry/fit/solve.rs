//! Least squares with the Levenberg–Marquardt method of MINPACK (crate `levenberg-marquardt`), from
//! several starts, with coordinates held where the data say nothing of them.

use super::model::{Coordinates, Datum, Kind, Model};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn, U1};

/// Where the solver ended.
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

/// The best of all starts; `held` coordinates keep the value of the start.
pub(super) fn solve(
    model: &Model,
    data: &[Datum],
    starts: &[Coordinates],
    held: &[usize],
) -> Option<Solution> {
    let kinds = model.kinds();
    let free: Vec<usize> = (0..kinds.len()).filter(|place| !held.contains(place)).collect();
    let best = starts
        .iter()
        .filter_map(|start| from(model, data, &kinds, *start, &free))
        .min_by(|a, b| a.squares.total_cmp(&b.squares))?;
    let mut solution = best;
    // Each pass holds what ran into a bound; there are no more passes than coordinates.
    for _ in 0..kinds.len() {
        let hit = solution
            .free
            .iter()
            .find_map(|&place| kinds[place].bound(solution.coordinates[place]).map(|bound| (place, bound)));
        let Some((place, bound)) = hit else { break };
        let mut start = solution.coordinates;
        start[place] = bound;
        let rest: Vec<usize> = solution.free.iter().copied().filter(|&other| other != place).collect();
        let mut bounds = solution.bound.clone();
        bounds.push(place);
        let Some(next) = from(model, data, &kinds, start, &rest) else {
            break;
        };
        solution = Solution { bound: bounds, ..next };
    }
    Some(solution)
}

fn from(
    model: &Model,
    data: &[Datum],
    kinds: &[Kind],
    start: Coordinates,
    free: &[usize],
) -> Option<Solution> {
    let inner =
        DVector::from_iterator(free.len(), free.iter().map(|&place| kinds[place].inward(start[place])));
    let mut problem = Problem { model, data, kinds, free, base: start, inner };
    let mut converged = true;
    if !free.is_empty() {
        let (ended, report) = LevenbergMarquardt::new()
            .with_ftol(1e-13)
            .with_xtol(1e-12)
            .with_gtol(1e-13)
            .with_patience(40)
            .minimize(problem);
        problem = ended;
        converged = report.termination.was_successful();
    }
    let coordinates = problem.coordinates();
    let squares = problem.residuals()?.norm_squared();
    squares.is_finite().then(|| Solution {
        coordinates,
        free: free.to_vec(),
        bound: Vec::new(),
        squares,
        converged,
    })
}

/// Derivatives of ln η by the free coordinates, point by point.
pub(super) fn derivatives(model: &Model, data: &[Datum], solution: &Solution) -> DMatrix<f64> {
    let mut out = DMatrix::zeros(data.len(), solution.free.len());
    for (row, datum) in data.iter().enumerate() {
        let (_, slopes) = model.log_viscosity(&solution.coordinates, datum);
        for (column, &place) in solution.free.iter().enumerate() {
            out[(row, column)] = slopes[place];
        }
    }
    out
}

struct Problem<'a> {
    model: &'a Model,
    data: &'a [Datum],
    kinds: &'a [Kind],
    free: &'a [usize],
    base: Coordinates,
    inner: DVector<f64>,
}

impl Problem<'_> {
    fn coordinates(&self) -> Coordinates {
        let mut out = self.base;
        for (&place, &u) in self.free.iter().zip(self.inner.iter()) {
            out[place] = self.kinds[place].outward(u);
        }
        out
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn, U1>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn, U1>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.inner.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.inner.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let c = self.coordinates();
        let all = self.data.iter().map(|datum| self.model.log_viscosity(&c, datum).0 - datum.log_viscosity);
        let out = DVector::from_iterator(self.data.len(), all);
        out.iter().all(|value| value.is_finite()).then_some(out)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let c = self.coordinates();
        let mut out = DMatrix::zeros(self.data.len(), self.free.len());
        let slopes: Vec<f64> =
            self.free.iter().zip(self.inner.iter()).map(|(&place, &u)| self.kinds[place].slope(u)).collect();
        for (row, datum) in self.data.iter().enumerate() {
            let (_, by) = self.model.log_viscosity(&c, datum);
            for (column, (&place, slope)) in self.free.iter().zip(&slopes).enumerate() {
                out[(row, column)] = by[place] * slope;
            }
        }
        out.iter().all(|value| value.is_finite()).then_some(out)
    }
}
