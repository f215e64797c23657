//! Roots and minima of a function of one number.

use crate::elementary::Elementary;

/// The place between `low` and `high` at which `is_above` begins to hold, by bisection.
///
/// `is_above` must be false from `low` up to that place and true from there to `high`; `low` may be the greater
/// of the two. Returns the middle of the interval that is left after `halvings` evaluations, which is
/// |high − low|/2^halvings wide.
pub fn bisect(mut low: f64, mut high: f64, halvings: usize, mut is_above: impl FnMut(f64) -> bool) -> f64 {
    for _ in 0..halvings {
        let middle = 0.5 * (low + high);
        if is_above(middle) { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

/// A root of `f` between `low` and `high`, where |f| ≤ `within`, by regula falsi that halves the value of an end which stays
/// (the Illinois method: Dowell and Jarratt, BIT 11 (1971) 168, from memory).
///
/// `below` = f(low) is negative and `above` = f(high) is positive. After 50 evaluations the last place is returned.
pub fn root(
    [mut low, mut below]: [f64; 2],
    [mut high, mut above]: [f64; 2],
    within: f64,
    mut f: impl FnMut(f64) -> f64,
) -> f64 {
    let (mut x, mut last) = (low, 0.0);
    for _ in 0..50 {
        x = low + (high - low) * below / (below - above);
        let found = f(x);
        if found.abs() <= within {
            break;
        }
        if found < 0.0 {
            (low, below) = (x, found);
            above *= if last < 0.0 { 0.5 } else { 1.0 };
        } else {
            (high, above) = (x, found);
            below *= if last > 0.0 { 0.5 } else { 1.0 };
        }
        last = found;
    }
    x
}

/// The minimum of `f` between `a` and `b` by golden section, or `known` where that is lower.
///
/// 80 sections leave 2e-17 of the interval. A function with several minima gives one of them.
pub fn golden_section(f: &impl Fn(f64) -> f64, a: f64, b: f64, known: f64) -> f64 {
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

/// Share of the way between two places at which the secant through the values there, `from` and `to`, meets zero;
/// 1 if the values differ by no more than 1e-9.
pub fn secant(from: f64, to: f64) -> f64 {
    if (from - to).abs() > 1e-9 { from / (from - to) } else { 1.0 }
}

/// `count` values from `from` to `to`, evenly spaced in their logarithm. Both ends are positive, `count` is at least
/// 2.
pub fn geometric(from: f64, to: f64, count: u32) -> Vec<f64> {
    (0..count).map(|i| from * (to / from).power(f64::from(i) / f64::from(count - 1))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ∛2, whatever end stays, in a few evaluations.
    #[test]
    fn regula_falsi_finds_a_root_of_a_bent_function() {
        let cube = |x: f64| x * x * x - 2.0;
        let mirrored = |x: f64| -cube(-x);
        let find = |f: &dyn Fn(f64) -> f64, low: f64, high: f64| {
            let mut evaluations = 0;
            let found = root([low, f(low)], [high, f(high)], 1e-12, |x| {
                evaluations += 1;
                f(x)
            });
            assert!(evaluations < 20, "{evaluations}");
            found
        };
        assert!((find(&cube, 0.0, 5.0) - 2.0_f64.cbrt()).abs() < 1e-12);
        assert!((find(&mirrored, -5.0, 0.0) + 2.0_f64.cbrt()).abs() < 1e-12);
    }

    #[test]
    fn a_bisection_finds_a_root_from_either_side() {
        for (low, high) in [(0.0, 2.0), (-50.0, 2.0)] {
            let root = bisect(low, high, 80, |x| x * x * x > 2.0);
            assert!((root - 2_f64.cbrt()).abs() < 1e-15, "{root}");
        }
        let root = bisect(2.0, 0.0, 80, |x| x * x * x <= 2.0);
        assert!((root - 2_f64.cbrt()).abs() < 1e-15, "{root}");
    }

    #[test]
    fn a_golden_section_finds_a_minimum_and_never_one_worse_than_known() {
        let f = |x: f64| (x - 0.3).powi(2) * (1.0 + 0.2 * x);
        assert!((golden_section(&f, -1.0, 2.0, 0.5) - 0.3).abs() < 1e-7);
        // Two minima, the lower of them known.
        let two = |x: f64| (x * x - 1.0).powi(2) + 0.1 * x;
        assert_eq!(golden_section(&two, 0.5, 1.5, -1.0), -1.0);
    }

    #[test]
    fn a_secant_is_exact_on_a_straight_line() {
        assert_eq!(secant(3.0, -1.0), 0.75);
        assert_eq!(secant(0.5, 0.5), 1.0);
    }

    #[test]
    fn geometric_values_keep_their_ratio() {
        let values = geometric(0.1, 100.0, 4);
        for (value, expected) in values.iter().zip([0.1, 1.0, 10.0, 100.0]) {
            assert!((value / expected - 1.0).abs() < 1e-14, "{values:?}");
        }
    }
}
