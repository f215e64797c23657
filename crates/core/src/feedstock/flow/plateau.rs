//! The shape of a law that goes from a plateau at rest to a power law.

use gatefrost_numerics::elementary::Elementary;

/// ln M and d ln M/dx at x, for a law with x = L − c ln(1 + e^(bL)), L = x + ln M and cb = 1 − n: dx/dL falls from 1
/// at rest to n at high rates.
///
/// The right side rises with L and is concave, so Newton's method from max(x, x/n) converges monotonically.
pub(super) fn shape(x: f64, n: f64, b: f64, c: f64) -> (f64, f64) {
    let mut l = x.max(x / n);
    let mut slope = 1.0;
    for _ in 0..60 {
        // e^(bL)/(1 + e^(bL)) and ln(1 + e^(bL)), without overflow.
        let small = (-(b * l).abs()).exponential();
        let share = if l > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
        let log = (b * l).max(0.0) + small.logarithm_1p();
        slope = 1.0 - (1.0 - n) * share;
        let step = (l - c * log - x) / slope;
        l -= step;
        if step.abs() <= 1e-14 * (1.0 + l.abs()) {
            break;
        }
    }
    (l - x, 1.0 / slope - 1.0)
}
