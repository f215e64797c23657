//! Closed forms of conduction, for the hand check beside every transient, and of the way from the coolant to the steel.

pub mod steel;

use crate::cavity::Kind;
use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::PI;

/// First zero of the Bessel function J₀.
const FIRST_ZERO: f64 = 2.404_825_557_695_773;
/// 2/(j₀₁ J₁(j₀₁)), the centre's coefficient in a cylinder.
const CYLINDER_CENTRE: f64 = 1.601_974_697;

/// Which temperature of the section is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Where {
    /// Mean over the section.
    Mean,
    /// Middle of the gap.
    Centre,
}

/// Time \[s\] until a section of half gap (radius) `half_gap` \[m\], at `start` throughout and its wall
/// suddenly at `wall`, has cooled to `target` \[K\]; one term of the series of Carslaw and Jaeger
/// (Conduction of Heat in Solids, §3.3 and §7.6; the section numbers from memory).
///
/// Slab: t = h²/(π²α) ln[A (T_m − T_w)/(T − T_w)], A = 8/π² for the mean, 4/π for the centre.
/// Cylinder: t = R²/(j₀₁²α) ln[A …], A = 4/j₀₁², 2/(j₀₁J₁(j₀₁)).
/// `None` when the wall is no colder than the target; zero where one term already says so.
pub fn cooling_time(
    kind: Kind,
    place: Where,
    half_gap: f64,
    diffusivity: f64,
    start: f64,
    wall: f64,
    target: f64,
) -> Option<f64> {
    if wall >= target {
        return None;
    }
    let (rate, coefficient) = match (kind, place) {
        (Kind::Flat, Where::Mean) => (PI * PI / 4.0, 8.0 / (PI * PI)),
        (Kind::Flat, Where::Centre) => (PI * PI / 4.0, 4.0 / PI),
        (Kind::Round, Where::Mean) => (FIRST_ZERO * FIRST_ZERO, 4.0 / (FIRST_ZERO * FIRST_ZERO)),
        (Kind::Round, Where::Centre) => (FIRST_ZERO * FIRST_ZERO, CYLINDER_CENTRE),
    };
    let ratio = coefficient * (start - wall) / (target - wall);
    Some(half_gap * half_gap / (rate * diffusivity) * ratio.logarithm().max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slab and cylinder of 3 mm, α = 1e-6 m²/s, 160 °C into 40 °C down to 60 °C: worked by hand.
    #[test]
    fn the_worked_example_comes_out() {
        let t = |kind, place| cooling_time(kind, place, 1.5e-3, 1e-6, 160.0, 40.0, 60.0).expect("cools");
        for (kind, place, expected) in [
            (Kind::Flat, Where::Centre, 1.8542),
            (Kind::Flat, Where::Mean, 1.4424),
            (Kind::Round, Where::Centre, 0.8804),
            (Kind::Round, Where::Mean, 0.5537),
        ] {
            assert!((t(kind, place) - expected).abs() < 1e-4, "{kind:?} {place:?}");
        }
        assert_eq!(cooling_time(Kind::Flat, Where::Mean, 1e-3, 1e-6, 160.0, 60.0, 60.0), None);
    }
}
