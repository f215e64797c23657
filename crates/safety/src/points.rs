//! Evenly spread points in several dimensions.

use super::DIMENSIONS;
use gatefrost_core::elementary::Elementary;

/// Points of the additive recurrence on the powers of the root of x^(d+1) = x + 1 (M. Roberts's R-sequence,
/// from memory): as even as a Sobol sequence for some hundreds of points, and shifted at will.
fn recurrence(dimensions: usize, shift: f64) -> impl Fn(usize, usize) -> f64 {
    let mut root = 1.0_f64;
    for _ in 0..60 {
        root = (1.0 + root).power(1.0 / (dimensions as f64 + 1.0));
    }
    // Shifts of the dimensions must not go together.
    move |n, k| {
        let start = 0.5 + shift * (1.0 + k as f64).sqrt();
        (start + n as f64 * root.powi(-(k as i32 + 1))).fract()
    }
}

/// Points in the unit cube of the disturbances.
pub(super) fn spread(count: usize, shift: f64) -> Vec<[f64; DIMENSIONS]> {
    let at = recurrence(DIMENSIONS, shift);
    (1..=count).map(|n| std::array::from_fn(|k| at(n, k))).collect()
}

/// The same, normally distributed.
pub(super) fn normal(count: usize, shift: f64) -> Vec<[f64; DIMENSIONS]> {
    spread(count, shift).into_iter().map(|p| p.map(quantile)).collect()
}

/// Directions spread evenly over the first of the dimensions, of length 1.
pub(super) fn directions(count: usize, shift: f64, dimensions: usize) -> Vec<[f64; DIMENSIONS]> {
    let mut directions = normal(count, shift);
    for direction in &mut directions {
        direction[dimensions..].fill(0.0);
        let length = direction.iter().map(|d| d * d).sum::<f64>().sqrt();
        direction.iter_mut().for_each(|d| *d /= length);
    }
    directions
}

/// Normally distributed points in any number of dimensions.
pub(super) fn normals(dimensions: usize, count: usize) -> Vec<Vec<f64>> {
    let at = recurrence(dimensions, 0.0);
    (1..=count).map(|n| (0..dimensions).map(|k| quantile(at(n, k))).collect()).collect()
}

/// Quantile of the normal distribution, to 2e-9 (Acklam's rational form with one step of Halley, from
/// memory).
fn quantile(share: f64) -> f64 {
    let p = share.clamp(1e-12, 1.0 - 1e-12);
    let tail = |q: f64| {
        let c = [-7.784894002430293e-3, -0.3223964580411365, -2.400758277161838, -2.549732539343734];
        let d = [7.784695709041462e-3, 0.3224671290700398, 2.445134137142996, 3.754408661907416];
        let top =
            c.iter().fold(0.0, |sum, c| sum * q + c) * q * q + 4.374664141464968 * q + 2.938163982698783;
        top / (d.iter().fold(0.0, |sum, d| sum * q + d) * q + 1.0)
    };
    if p < 0.02425 {
        return tail((-2.0 * p.logarithm()).sqrt());
    }
    if p > 1.0 - 0.02425 {
        return -tail((-2.0 * (1.0 - p).logarithm()).sqrt());
    }
    let q = p - 0.5;
    let r = q * q;
    let a = [-39.69683028665376, 220.9460984245205, -275.9285104469687, 138.357751867269, -30.66479806614716];
    let b =
        [-54.47609879822406, 161.5858368580409, -155.6989798598866, 66.80131188771972, -13.28068155288572];
    let top = a.iter().fold(0.0, |sum, a| sum * r + a) * r + 2.506628277459239;
    top * q / (b.iter().fold(0.0, |sum, b| sum * r + b) * r + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Table of the normal distribution: 84.13 % below one, 97.72 % below two, 99.865 % below three.
    #[test]
    fn quantiles_are_those_of_the_table() {
        for (share, expected) in
            [(0.5, 0.0), (0.841344746, 1.0), (0.977249868, 2.0), (0.998650102, 3.0), (0.001349898, -3.0)]
        {
            assert!((quantile(share) - expected).abs() < 1e-7, "{share}: {}", quantile(share));
        }
    }

    /// Second moments of 1 and no correlation over all replicates of a yield, to two hundredths.
    #[test]
    fn points_are_standard_normal() {
        let points: Vec<_> = (0..8).flat_map(|k| normal(2048, (f64::from(k) + 0.5) / 8.0)).collect();
        let n = points.len() as f64;
        for a in 0..DIMENSIONS {
            for b in 0..=a {
                let moment: f64 = points.iter().map(|p| p[a] * p[b]).sum::<f64>() / n;
                let expected = if a == b { 1.0 } else { 0.0 };
                assert!((moment - expected).abs() < 0.02, "{a} {b}: {moment}");
            }
        }
    }
}
