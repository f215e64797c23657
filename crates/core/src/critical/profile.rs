//! Fits of models with one nonlinear parameter, the critical loading: for each value of it the others
//! follow by linear least squares, so the sum of squares is scanned, not searched (variable
//! projection). The 95 % interval is the set of values whose sum of squares stays below
//! S(1 + t²/ν) (profile likelihood, textbook nonlinear regression): it is honest where the model has a
//! kink or a pole, and may be open.

use super::Estimate;
use crate::rheometry::fit::statistics::{covariance, student_95};
use crate::rheometry::small::{MOST, Sums, Vector};

/// Readings as a linear problem at each critical loading.
#[derive(Clone, Copy)]
pub(super) struct Linear<'a> {
    /// Linear parameters that are free.
    pub free: usize,
    /// Readings.
    pub readings: usize,
    /// Critical loading, as a fraction, that the model must lie above.
    pub above: f64,
    /// Derivatives of a reading by the free parameters, and the value they have to make up, at a
    /// critical loading.
    pub row: &'a dyn Fn(f64, usize) -> ([f64; 2], f64),
}

impl Linear<'_> {
    fn row(&self, x: f64, i: usize) -> (Vector, f64) {
        let ([a, b], value) = (self.row)(x, i);
        ([a, b, 0.0, 0.0, 0.0], value)
    }

    /// How far the linear parameters are from making up a reading.
    fn misfit(&self, x: f64, i: usize, linear: &Vector) -> f64 {
        let (row, value) = self.row(x, i);
        row.iter().zip(linear).map(|(a, b)| a * b).sum::<f64>() - value
    }
}

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
pub(super) fn scan(model: Linear<'_>, grid: &[f64], ceiling: Option<f64>) -> Option<Found> {
    let squares = |x: f64| solve(model, x).map_or(f64::INFINITY, |(_, s)| s);
    let values: Vec<f64> = grid.iter().map(|&x| squares(x)).collect();
    let at = (0..grid.len())
        .filter(|&i| values[i].is_finite())
        .min_by(|&a, &b| values[a].total_cmp(&values[b]))?;
    let best = golden(&squares, grid[at.saturating_sub(1)], grid[(at + 1).min(grid.len() - 1)], grid[at]);
    let (linear, least) = solve(model, best)?;
    let degrees = model.readings.checked_sub(model.free + 1).filter(|&d| d > 0)?;
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
        linear: linear[..model.free].to_vec(),
        linear_errors: errors,
        scatter: variance.sqrt(),
        t,
    })
}

/// Linear parameters and sum of squares at x.
pub(super) fn solve(model: Linear<'_>, x: f64) -> Option<(Vector, f64)> {
    if x <= model.above {
        return None;
    }
    let mut linear = [0.0; MOST];
    if model.free > 0 {
        let mut sums = Sums::new(model.free);
        for i in 0..model.readings {
            let (row, value) = model.row(x, i);
            sums.add(&row, value);
        }
        linear = sums.close().solution()?;
    }
    // Summed afresh: the sum of squares is small against what the parameters make up.
    let left: f64 = (0..model.readings).map(|i| model.misfit(x, i, &linear).powi(2)).sum();
    left.is_finite().then_some((linear, left))
}

/// Standard errors of the linear parameters and of the critical loading, from all derivatives.
fn errors(
    model: Linear<'_>,
    x: f64,
    linear: &Vector,
    variance: f64,
) -> Option<(Vec<Option<f64>>, Option<f64>)> {
    let h = 1e-7 * x;
    if x - h <= model.above {
        return None;
    }
    let count = model.free + 1;
    let mut sums = Sums::new(count);
    for i in 0..model.readings {
        let ([a, b, ..], _) = model.row(x, i);
        let by_x = (model.misfit(x + h, i, linear) - model.misfit(x - h, i, linear)) / (2.0 * h);
        sums.add(&[by_x, a, b, 0.0, 0.0], 0.0);
    }
    let found = covariance(&sums.close().normal, count, variance);
    let error = |i: usize| (!found.undetermined[i]).then(|| found.matrix[i][i].max(0.0).sqrt());
    Some(((1..count).map(error).collect(), error(0)))
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
