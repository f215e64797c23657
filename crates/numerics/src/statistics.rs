//! Distributions and criteria of statistics.

use crate::elementary::Elementary;
use crate::search::bisect;
use std::f64::consts::PI;

/// The mean of some numbers; NaN of none.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// AICc = N ln(S/N) + 2k + 2k(k + 1)/(N − k − 1), k counting the variance as well; `None` with too few
/// readings (C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297, from memory).
pub fn aicc(squares: f64, readings: usize, parameters: usize) -> Option<f64> {
    let (n, k) = (readings as f64, parameters as f64 + 1.0);
    // Data without scatter would give minus infinity.
    let per_reading = (squares / n).max(1e-24);
    (n - k - 1.0 > 0.0).then(|| n * per_reading.logarithm() + 2.0 * k + 2.0 * k * (k + 1.0) / (n - k - 1.0))
}

/// Quantile of the normal distribution, to 2e-9 (Acklam's rational form with one step of Halley, from
/// memory).
pub fn normal_quantile(share: f64) -> f64 {
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

/// Share of the normal distribution below a value, and its density there: Φ(x) = ½ erfc(−x/√2).
pub fn normal(x: f64) -> [f64; 2] {
    [0.5 * (-x / 2.0_f64.sqrt()).error_beyond(), (-0.5 * x * x).exponential() / (2.0 * PI).sqrt()]
}

/// Student's t that leaves 2.5 % above it, for whole degrees of freedom.
///
/// Up to 60 degrees the distribution in closed form (Abramowitz and Stegun 26.7.3 and 26.7.4) is solved
/// for, beyond that the expansion about the normal quantile (26.7.5) is good to 1e-7.
pub fn student_95(degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::INFINITY;
    }
    if degrees > 60 {
        let (x, v) = (1.959_963_984_540_054_f64, degrees as f64);
        let (x3, x5, x7) = (x.powi(3), x.powi(5), x.powi(7));
        return x
            + (x3 + x) / (4.0 * v)
            + (5.0 * x5 + 16.0 * x3 + 3.0 * x) / (96.0 * v * v)
            + (3.0 * x7 + 19.0 * x5 + 17.0 * x3 - 15.0 * x) / (384.0 * v.powi(3));
    }
    bisect(1.0, 20.0, 60, |t| inside(t, degrees) >= 0.95)
}

/// Probability of |t| below a value.
fn inside(t: f64, degrees: usize) -> f64 {
    let tan = t / (degrees as f64).sqrt();
    let theta = tan.atan();
    let cos = 1.0 / tan.hypot(1.0);
    let sin = tan * cos;
    let odd = degrees % 2 == 1;
    let mut term = if odd { cos } else { 1.0 };
    let mut sum = 0.0;
    let mut k = if odd { 3 } else { 2 };
    while k <= degrees {
        sum += term;
        term *= cos * cos * (k - 1) as f64 / k as f64;
        k += 2;
    }
    if odd { 2.0 / PI * (theta + sin * sum) } else { sin * sum }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two-sided 95 % points as printed in every table of Student's t.
    #[test]
    fn student_matches_the_tables() {
        for (degrees, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (10, 2.228),
            (30, 2.042),
            (60, 2.000),
            (61, 1.9996),
            (120, 1.980),
            (100_000, 1.960),
        ] {
            assert!((student_95(degrees) - t).abs() < 6e-4, "{degrees}: {}", student_95(degrees));
        }
    }

    /// The same table the other way round, and the density by a difference of shares.
    #[test]
    fn shares_and_density_of_the_normal_distribution() {
        for (x, share) in [(0.0, 0.5), (1.0, 0.841344746), (-2.0, 0.022750132), (-8.0, 6.220961e-16)] {
            let [found, density] = normal(x);
            assert!((found / share - 1.0).abs() < 1e-6, "{x}: {found}");
            let slope = (normal(x + 1e-4)[0] - normal(x - 1e-4)[0]) / 2e-4;
            assert!((slope / density - 1.0).abs() < 1e-6, "{x}: {slope} {density}");
        }
    }

    /// Table of the normal distribution: 84.13 % below one, 97.72 % below two, 99.865 % below three.
    #[test]
    fn normal_quantiles_are_those_of_the_table() {
        for (share, expected) in
            [(0.5, 0.0), (0.841344746, 1.0), (0.977249868, 2.0), (0.998650102, 3.0), (0.001349898, -3.0)]
        {
            assert!((normal_quantile(share) - expected).abs() < 1e-7, "{share}: {}", normal_quantile(share));
        }
    }
}
