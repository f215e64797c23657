//! Fits of models with one nonlinear parameter, the critical loading: for each value of it the others
//! follow by linear least squares, so the sum of squares is scanned, not searched (variable
//! projection). The 95 % interval is the set of values whose sum of squares stays below
//! S(1 + t²/ν) (profile likelihood, textbook nonlinear regression): it is honest where the model has a
//! kink or a pole, and may be open.

use super::Estimate;
use crate::rheometry::fit::statistics::{covariance, student_95};
use nalgebra::{DMatrix, DVector};

/// The linear problem at one critical loading: columns of the free parameters, and the values that
/// they have to make up. `None` where the model cannot exist.
pub(super) type Linear<'a> = &'a dyn Fn(f64) -> Option<(DMatrix<f64>, DVector<f64>)>;

/// What a scan found.
pub(super) struct Found {
    /// Critical loading, as a fraction.
    pub critical: Estimate,
    /// Linear parameters at the minimum.
    pub linear: Vec<f64>,
    /// Their standard errors; `None` where not determined.
    pub linear_errors: Vec<Option<f64>>,
    /// Standard deviation of the residuals.
    pub scatter: f64,
    /// Student's t for 95 %.
    pub t: f64,
}

/// Scans `grid` (rising), refines the minimum and finds the interval. `ceiling` is the sum of squares
/// of the model without a critical loading in reach, if there is such a thing.
pub(super) fn scan(model: Linear<'_>, grid: &[f64], readings: usize, ceiling: Option<f64>) -> Option<Found> {
    let squares = |x: f64| solve(model, x).map_or(f64::INFINITY, |(_, s)| s);
    let values: Vec<f64> = grid.iter().map(|&x| squares(x)).collect();
    let at = (0..grid.len())
        .filter(|&i| values[i].is_finite())
        .min_by(|&a, &b| values[a].total_cmp(&values[b]))?;
    let best = golden(&squares, grid[at.saturating_sub(1)], grid[(at + 1).min(grid.len() - 1)], grid[at]);
    let (linear, least) = solve(model, best)?;
    let degrees = readings.checked_sub(linear.len() + 1).filter(|&d| d > 0)?;
    let variance = least / degrees as f64;
    let t = student_95(degrees);
    let limit = least * (1.0 + t * t / degrees as f64) + 1e-300;

    // Outward from the minimum to where the sum of squares passes the limit.
    let edge = |steps: &mut dyn Iterator<Item = usize>| {
        let mut inside = best;
        for i in steps {
            if values[i] > limit {
                return Some(crossing(&squares, inside, grid[i], limit));
            }
            inside = grid[i];
        }
        None
    };
    let below = grid.partition_point(|&x| x < best);
    let low = edge(&mut (0..below).rev());
    let above = grid.partition_point(|&x| x <= best);
    let high = edge(&mut (above..grid.len())).filter(|_| ceiling.is_none_or(|s| s > limit));

    let (errors, own) = errors(model, best, &linear, variance)?;
    Some(Found {
        critical: Estimate { value: best, standard_error: own, low, high },
        linear: linear.iter().copied().collect(),
        linear_errors: errors,
        scatter: variance.sqrt(),
        t,
    })
}

/// Linear parameters and sum of squares at x.
pub(super) fn solve(model: Linear<'_>, x: f64) -> Option<(DVector<f64>, f64)> {
    let (columns, values) = model(x)?;
    if columns.ncols() == 0 {
        return Some((DVector::zeros(0), values.norm_squared()));
    }
    // Columns of length 1, so that the normal equations stay well conditioned.
    let lengths: Vec<f64> = columns.column_iter().map(|c| c.norm().max(1e-300)).collect();
    let scaled = DMatrix::from_fn(columns.nrows(), columns.ncols(), |r, c| columns[(r, c)] / lengths[c]);
    let normal = scaled.transpose() * &scaled;
    let mut found = normal.lu().solve(&(scaled.transpose() * &values))?;
    let left = (&scaled * &found - values).norm_squared();
    for (value, length) in found.iter_mut().zip(&lengths) {
        *value /= length;
    }
    left.is_finite().then_some((found, left))
}

/// Standard errors of the linear parameters and of the critical loading, from all derivatives.
fn errors(
    model: Linear<'_>,
    x: f64,
    linear: &DVector<f64>,
    variance: f64,
) -> Option<(Vec<Option<f64>>, Option<f64>)> {
    let misfit = |x: f64| model(x).map(|(columns, values)| columns * linear - values);
    let h = 1e-7 * x;
    let by_x = (misfit(x + h)? - misfit(x - h)?) / (2.0 * h);
    let (columns, _) = model(x)?;
    let mut j = columns.insert_column(0, 0.0);
    j.set_column(0, &by_x);
    let found = covariance(&j, variance);
    let error = |i: usize| (!found.undetermined[i]).then(|| found.matrix[(i, i)].max(0.0).sqrt());
    Some(((1..j.ncols()).map(error).collect(), error(0)))
}

/// Minimum between a and b by golden section; never worse than `known`.
fn golden(f: &impl Fn(f64) -> f64, a: f64, b: f64, known: f64) -> f64 {
    let share = 0.5 * (5_f64.sqrt() - 1.0);
    let (mut low, mut high) = (a, b);
    let (mut x1, mut x2) = (high - share * (high - low), low + share * (high - low));
    let (mut f1, mut f2) = (f(x1), f(x2));
    for _ in 0..80 {
        if f1 < f2 {
            (high, x2, f2) = (x2, x1, f1);
            x1 = high - share * (high - low);
            f1 = f(x1);
        } else {
            (low, x1, f1) = (x1, x2, f2);
            x2 = low + share * (high - low);
            f2 = f(x2);
        }
    }
    let found = 0.5 * (low + high);
    if f(found) <= f(known) { found } else { known }
}

/// Where f passes `limit` between an inside and an outside value.
fn crossing(f: &impl Fn(f64) -> f64, mut inside: f64, mut outside: f64, limit: f64) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (inside + outside);
        if f(middle) > limit { outside = middle } else { inside = middle }
    }
    0.5 * (inside + outside)
}

impl Estimate {
    /// The same in vol%.
    pub(super) fn in_percent(self) -> Self {
        let percent = |x: Option<f64>| x.map(|x| 100.0 * x);
        Self {
            value: 100.0 * self.value,
            standard_error: percent(self.standard_error),
            low: percent(self.low),
            high: percent(self.high),
        }
    }
}
