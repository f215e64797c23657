//! Straight lines through points, slopes of curves and interpolation between their points.

use crate::least_squares::Sums;
use crate::order;

/// A straight line through points, with the standard errors of its constants.
#[derive(Debug, Clone, Copy)]
pub struct StraightLine {
    /// Value at x = 0.
    pub intercept: f64,
    /// Rise per unit of x.
    pub slope: f64,
    /// Variances of intercept and slope and their covariance; `None` with two points only.
    pub variances: Option<[f64; 3]>,
    /// Share of the scatter explained.
    pub r_squared: f64,
}

/// Least-squares line; `None` where all x are the same.
pub fn line(points: &[(f64, f64)]) -> Option<StraightLine> {
    let n = points.len() as f64;
    let mx = points.iter().map(|p| p.0).sum::<f64>() / n;
    let my = points.iter().map(|p| p.1).sum::<f64>() / n;
    let sxx = points.iter().map(|p| (p.0 - mx).powi(2)).sum::<f64>();
    let sxy = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum::<f64>();
    let syy = points.iter().map(|p| (p.1 - my).powi(2)).sum::<f64>();
    if points.len() < 2 || sxx <= 1e-12 * n * mx * mx {
        return None;
    }
    let slope = sxy / sxx;
    let intercept = my - slope * mx;
    let left = points.iter().map(|p| (p.1 - intercept - slope * p.0).powi(2)).sum::<f64>();
    let variances = (points.len() > 2).then(|| {
        let s2 = left / (n - 2.0);
        [s2 * (1.0 / n + mx * mx / sxx), s2 / sxx, -s2 * mx / sxx]
    });
    let r_squared = if syy > 0.0 { 1.0 - left / syy } else { 1.0 };
    Some(StraightLine { intercept, slope, variances, r_squared })
}

/// Slope of a curve at the point `at`: of the line through all points where there are fewer than five,
/// else of the parabola through the five nearest (three or four points carry no curvature worth
/// trusting). `points` rise in x.
pub fn slope_at(points: &[(f64, f64)], at: usize) -> Option<f64> {
    if points.len() < 5 {
        return line(points).map(|line| line.slope);
    }
    let start = at.saturating_sub(2).min(points.len() - 5);
    let near = &points[start..start + 5];
    let x0 = points[at].0;
    parabola(near, x0).or_else(|| line(near).map(|line| line.slope))
}

/// Slope at x0 of the least-squares parabola through points.
fn parabola(points: &[(f64, f64)], x0: f64) -> Option<f64> {
    let width = points.iter().map(|p| (p.0 - x0).abs()).fold(0.0, f64::max);
    if width <= 0.0 {
        return None;
    }
    let mut sums = Sums::new(3);
    for &(x, y) in points {
        let u = (x - x0) / width;
        sums.add(&[1.0, u, u * u, 0.0, 0.0], y);
    }
    let slope = sums.close().solution()?[1] / width;
    slope.is_finite().then_some(slope)
}

/// Value of a curve at x, inside its range: parabola through the three nearest points, or the line
/// through two. `points` rise in x.
pub fn interpolate(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    let room = 1e-9 * (1.0 + x.abs());
    if x < first.0 - room || x > last.0 + room {
        return None;
    }
    if points.len() == 1 {
        return Some(first.1);
    }
    let right = points.partition_point(|p| p.0 < x).clamp(1, points.len() - 1);
    let (a, b) = (points[right - 1], points[right]);
    let chord = a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0);
    // Newton's third point, on the nearer side.
    let below = right >= 2;
    let above = right + 1 < points.len();
    let third = match (below, above) {
        (true, true) if x - a.0 < b.0 - x => points[right - 2],
        (_, true) => points[right + 1],
        (true, false) => points[right - 2],
        (false, false) => return Some(chord),
    };
    let first_difference = (b.1 - a.1) / (b.0 - a.0);
    let second = ((third.1 - b.1) / (third.0 - b.0) - first_difference) / (third.0 - a.0);
    Some(chord + second * (x - a.0) * (x - b.0))
}

/// Value at x of the polygon through `points`, constant beyond its ends; 1 without points. `points` rise in x.
pub fn interpolate_linearly(points: &[(f64, f64)], x: f64) -> f64 {
    let right = points.partition_point(|p| p.0 < x);
    if points.is_empty() {
        return 1.0;
    }
    if right == 0 || right == points.len() {
        return points[right.min(points.len() - 1)].1;
    }
    let (a, b) = (points[right - 1], points[right]);
    a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
}

/// Sorts points by x and merges those closer than `apart` into their mean, so that slopes stay finite.
pub fn merged(mut points: Vec<(f64, f64)>, apart: f64) -> Vec<(f64, f64)> {
    order::sort_by(&mut points, |point| point.0);
    let mut out: Vec<(f64, f64, f64)> = Vec::new();
    for (x, y) in points {
        match out.last_mut() {
            Some(last) if x - last.0 / last.2 < apart => {
                last.0 += x;
                last.1 += y;
                last.2 += 1.0;
            }
            _ => out.push((x, y, 1.0)),
        }
    }
    out.into_iter().map(|(x, y, n)| (x / n, y / n)).collect()
}

/// Splits sorted items into runs in which `value` stays within `same` of the run's first.
pub fn runs<T: Copy>(items: &[T], value: impl Fn(&T) -> f64, same: impl Fn(f64, f64) -> bool) -> Vec<Vec<T>> {
    let mut sorted = items.to_vec();
    order::sort_by(&mut sorted, &value);
    let mut out: Vec<Vec<T>> = Vec::new();
    for item in sorted {
        match out.last_mut() {
            Some(run) if same(value(&run[0]), value(&item)) => run.push(item),
            _ => out.push(vec![item]),
        }
    }
    out
}
