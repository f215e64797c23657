//! Nonlinear least squares within bounds, after Levenberg and Marquardt.
//!
//! Each step solves (JᵀJ + λ diag JᵀJ) δ = Jᵀr over the constants that are free, and is cut off at the bounds. A constant
//! is not free while it lies on a bound and the squares fall beyond it. λ follows H. B. Nielsen's rule (from memory).

use crate::least_squares::{Sums, solve};
use crate::matrix::{Matrix, Vector};

/// Where the iteration ended.
#[derive(Debug, Clone, Copy)]
pub struct Minimum {
    /// The constants.
    pub at: Vector,
    /// The sums there.
    pub sums: Sums,
    /// Whether it is a minimum: no step within the bounds lowers the squares. Otherwise the iteration was given up.
    pub converged: bool,
}

/// Steps after which the iteration is given up.
const MOST_STEPS: usize = 400;

/// Cosine between the residuals and a derivative below which they count as orthogonal.
const COSINE: f64 = 1e-7;

/// Minimises the squares of `sums(x)` from `start`, with each constant between its two `bounds`.
///
/// The residual of a reading is the reading less the model, and its row holds the derivatives of the model.
pub fn minimise(start: Vector, bounds: &[[f64; 2]], sums: impl Fn(&Vector) -> Sums) -> Minimum {
    let within = |x: Vector| -> Vector {
        std::array::from_fn(|i| bounds.get(i).map_or(x[i], |[low, high]| x[i].clamp(*low, *high)))
    };
    let mut at = within(start);
    let mut here = sums(&at);
    let (mut damping, mut tighter) = (1e-3, 2.0);
    for _ in 0..MOST_STEPS {
        let free = free(&at, bounds, &here);
        if !here.is_finite() || flat(&here, &free) {
            return Minimum { at, sums: here, converged: here.is_finite() };
        }
        let step = solve(&damped(&here.normal, &free, damping), &masked(&here.gradient, &free), here.count);
        let there = step.map(|step| within(std::array::from_fn(|i| at[i] + step[i])));
        let next = there.map(|there| (there, sums(&there)));
        let promised = there.map_or(0.0, |there| promised(&here, &at, &there));
        match next {
            Some((there, after))
                if after.is_finite() && here.squares - after.squares > (1e-4 * promised).max(0.0) =>
            {
                let gain = (here.squares - after.squares) / promised.max(1e-30 * here.squares);
                damping = (damping * (1.0 - (2.0 * gain.min(1.0) - 1.0).powi(3)).clamp(0.1, 2.0)).max(1e-12);
                tighter = 2.0;
                (at, here) = (there, after);
            }
            _ => {
                // What is left to gain is below the rounding of the squares.
                if promised.abs() <= 1e-13 * here.squares && step.is_some() {
                    return Minimum { at, sums: here, converged: true };
                }
                damping *= tighter;
                tighter *= 2.0;
            }
        }
        if damping > 1e30 {
            break;
        }
    }
    Minimum { at, sums: here, converged: false }
}

/// Which constants may move: all but those on a bound beyond which the squares fall.
fn free(at: &Vector, bounds: &[[f64; 2]], here: &Sums) -> Vec<bool> {
    let of = |(i, [low, high]): (usize, &[f64; 2])| {
        !(at[i] <= *low && here.gradient[i] < 0.0 || at[i] >= *high && here.gradient[i] > 0.0)
    };
    bounds.iter().enumerate().take(here.count).map(of).collect()
}

/// Whether the residuals are rounding, or orthogonal to each free derivative.
fn flat(here: &Sums, free: &[bool]) -> bool {
    let upright = |(i, &free): (usize, &bool)| {
        !free || here.gradient[i].abs() <= COSINE * (here.normal[i][i] * here.squares).sqrt()
    };
    here.squares <= 1e-26 || free.iter().enumerate().all(upright)
}

/// JᵀJ + λ diag JᵀJ, with the rows and columns of what is not free replaced by those of the unit matrix.
fn damped(normal: &Matrix, free: &[bool], damping: f64) -> Matrix {
    let of = |i: usize, j: usize| match (free.get(i), free.get(j)) {
        (Some(true), Some(true)) if i == j => normal[i][i].max(1e-30) * (1.0 + damping),
        (Some(true), Some(true)) => normal[i][j],
        _ => f64::from(i == j),
    };
    std::array::from_fn(|i| std::array::from_fn(|j| of(i, j)))
}

fn masked(gradient: &Vector, free: &[bool]) -> Vector {
    std::array::from_fn(|i| if free.get(i) == Some(&true) { gradient[i] } else { 0.0 })
}

/// By how much the linear model lowers the squares on the way from `at` to `there`: 2 δᵀJᵀr − δᵀJᵀJ δ.
fn promised(here: &Sums, at: &Vector, there: &Vector) -> f64 {
    let by = |i: usize| there[i] - at[i];
    (0..here.count)
        .map(|i| {
            let curved: f64 = (0..here.count).map(|j| here.normal[i][j] * by(j)).sum();
            by(i) * (2.0 * here.gradient[i] - curved)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock's valley, whose minimum is at (1, 1), and with x ≤ 0.5 at (0.5, 0.25) (closed form).
    #[test]
    fn a_curved_valley_is_followed_to_its_end_and_to_a_bound() {
        let sums = |x: &Vector| {
            let mut sums = Sums::new(2);
            sums.add(&[-20.0 * x[0], 10.0, 0.0, 0.0, 0.0], -10.0 * (x[1] - x[0] * x[0]));
            sums.add(&[1.0, 0.0, 0.0, 0.0, 0.0], 1.0 - x[0]);
            sums.close()
        };
        let start = [-1.2, 1.0, 0.0, 0.0, 0.0];
        let open = minimise(start, &[[-5.0, 5.0]; 2], sums);
        assert!(open.converged && (open.at[0] - 1.0).abs() < 1e-7 && (open.at[1] - 1.0).abs() < 1e-7);
        let bound = minimise(start, &[[-5.0, 0.5], [-5.0, 5.0]], sums);
        assert!(bound.converged && bound.at[0] == 0.5 && (bound.at[1] - 0.25).abs() < 1e-6, "{:?}", bound.at);
    }

    #[test]
    fn what_is_no_number_is_no_minimum() {
        let nothing = minimise([0.0; 5], &[[-1.0, 1.0]], |_| Sums { squares: f64::NAN, ..Sums::new(1) });
        assert!(!nothing.converged);
    }
}
