//! Elementary numerics, written for the checks alone.

use std::f64::consts::PI;

/// ∫f over [a, b] by Simpson's rule on `2 n` equal steps.
pub fn simpson(f: impl Fn(f64) -> f64, a: f64, b: f64, n: usize) -> f64 {
    let h = (b - a) / (2 * n) as f64;
    let inner: f64 = (1..2 * n).map(|i| f(a + i as f64 * h) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    (f(a) + inner + f(b)) * h / 3.0
}

/// Zero of a function that changes sign between `a` and `b`, by bisection to rounding.
pub fn bisect(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let rising = f(a) < 0.0;
    for _ in 0..70 {
        let middle = 0.5 * (a + b);
        if (f(middle) < 0.0) == rising { a = middle } else { b = middle }
    }
    0.5 * (a + b)
}

/// Order of convergence seen on three values whose grids differ by a factor of two.
pub fn order(coarse: f64, medium: f64, fine: f64) -> f64 {
    ((coarse - medium) / (medium - fine)).abs().log2()
}

/// Value on an infinitely fine grid, from two grids that differ by a factor of two.
pub fn extrapolate(coarse: f64, fine: f64, order: f64) -> f64 {
    fine + (fine - coarse) / (2_f64.powf(order) - 1.0)
}

/// Value at `x` of the polyline through (xs, ys), xs rising.
pub fn interpolate(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let i = xs.partition_point(|&v| v < x).clamp(1, xs.len() - 1);
    let f = (x - xs[i - 1]) / (xs[i] - xs[i - 1]);
    ys[i - 1] + f * (ys[i] - ys[i - 1])
}

/// Bessel function J_k(x) from Bessel's integral, (1/π) ∫₀^π cos(kτ − x sin τ) dτ; the trapezoidal
/// rule is accurate to rounding for a periodic integrand.
pub fn bessel(k: u32, x: f64) -> f64 {
    let n = 200;
    let f = |i: usize| {
        let t = PI * i as f64 / f64::from(n);
        (f64::from(k) * t - x * t.sin()).cos()
    };
    let inner: f64 = (1..n as usize).map(f).sum();
    (0.5 * (f(0) + f(n as usize)) + inner) / f64::from(n)
}

/// Relative difference of a found value from an expected one.
pub fn off(found: f64, expected: f64) -> f64 {
    (found / expected - 1.0).abs()
}
