//! Evenly spread points in several dimensions.

use crate::elementary::Elementary;
use crate::statistics::normal_quantile as quantile;

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

/// `count` points in the unit cube of D dimensions. Another `shift` from 0 to 1 gives other points.
pub fn spread<const D: usize>(count: usize, shift: f64) -> Vec<[f64; D]> {
    let at = recurrence(D, shift);
    (1..=count).map(|n| std::array::from_fn(|k| at(n, k))).collect()
}

/// [`spread`], with every coordinate normally distributed.
pub fn normal<const D: usize>(count: usize, shift: f64) -> Vec<[f64; D]> {
    spread(count, shift).into_iter().map(|p| p.map(quantile)).collect()
}

/// `count` vectors of length 1, spread evenly over the first `dimensions` of D; the others are zero.
pub fn directions<const D: usize>(count: usize, shift: f64, dimensions: usize) -> Vec<[f64; D]> {
    let mut directions = normal(count, shift);
    for direction in &mut directions {
        direction[dimensions..].fill(0.0);
        let length = direction.iter().map(|d| d * d).sum::<f64>().sqrt();
        direction.iter_mut().for_each(|d| *d /= length);
    }
    directions
}

/// `count` normally distributed points in `dimensions` dimensions.
pub fn normals(dimensions: usize, count: usize) -> Vec<Vec<f64>> {
    let at = recurrence(dimensions, 0.0);
    (1..=count).map(|n| (0..dimensions).map(|k| quantile(at(n, k))).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const D: usize = 6;

    /// Second moments of 1 and no correlation over all replicates of a yield, to two hundredths.
    #[test]
    fn points_are_standard_normal() {
        let points: Vec<_> = (0..8).flat_map(|k| normal::<D>(2048, (f64::from(k) + 0.5) / 8.0)).collect();
        let n = points.len() as f64;
        for a in 0..D {
            for b in 0..=a {
                let moment: f64 = points.iter().map(|p| p[a] * p[b]).sum::<f64>() / n;
                let expected = if a == b { 1.0 } else { 0.0 };
                assert!((moment - expected).abs() < 0.02, "{a} {b}: {moment}");
            }
        }
    }
}
