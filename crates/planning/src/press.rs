//! Pressure along a compact in a die, and what it makes of density and shrinkage.
//!
//! A slice of the compact is in balance: A dσ = −(U µ k σ) dz. With D = 4A/U (Janssen's balance without weight):
//!
//!   σ(z) = σ₀ exp(−4 µk z/D)
//!
//! Density follows the logarithm of the pressure, ρ = ρ₀ + b log₁₀(σ/σ₀), a usual fit over one or two decades (from
//! memory). A length of the sintered compact across the axis is (ρ/ρ_s)^⅓ of the pressed one.

use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::LN_10;

/// Whether one punch moves or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Punches {
    /// The upper one alone.
    One,
    /// Both, equally far.
    Both,
}

/// A compact in its die.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compact {
    /// Height along the axis \[m\].
    pub height: f64,
    /// Four times the area over the perimeter: the diameter of a round one \[m\].
    pub width: f64,
    /// Friction coefficient times the ratio of side pressure to axial pressure.
    pub friction: f64,
    /// Relative density at the punch.
    pub density: f64,
    /// Relative density that ten times the pressure adds.
    pub slope: f64,
}

/// The law of density holds no further down than to this share of the density at the punch.
const LEAST_DENSITY: f64 = 0.5;

impl Compact {
    /// ln(σ/σ₀) at the share `at` of the height, from 0 at the upper punch to 1 at the lower one.
    fn log_left(&self, at: f64, punches: Punches) -> f64 {
        let share = match punches {
            Punches::One => at,
            Punches::Both => at.min(1.0 - at),
        };
        -4.0 * self.friction * share * self.height / self.width
    }

    /// Pressure over that of the punch, σ/σ₀, at the share `at` of the height, 0 to 1.
    pub fn left(&self, at: f64, punches: Punches) -> f64 {
        self.log_left(at, punches).exponential()
    }

    /// Least σ/σ₀: at the lower end, or in the middle if both punches move.
    pub fn least(&self, punches: Punches) -> f64 {
        self.left(furthest(punches), punches)
    }

    /// Relative density at the share `at` of the height. `None` where the law would give less than half of that at the
    /// punch: it does not reach so far.
    pub fn density_at(&self, at: f64, punches: Punches) -> Option<f64> {
        let density = self.density + self.slope * self.log_left(at, punches) / LN_10;
        (density >= LEAST_DENSITY * self.density).then_some(density)
    }

    /// How much narrower the sintered compact is where it is least dense, 1 − (ρ/ρ₀)^⅓. `None` as [`Self::density_at`].
    pub fn narrower(&self, punches: Punches) -> Option<f64> {
        let least = self.density_at(furthest(punches), punches)?;
        Some(1.0 - (least / self.density).cube_root())
    }

    /// Greatest height over width at which the sintered widths differ by no more than `tolerance`, as a share; infinite
    /// without friction or slope.
    pub fn height_for(&self, tolerance: f64, punches: Punches) -> f64 {
        let lost = self.density * (1.0 - (1.0 - tolerance).powi(3));
        let depth = lost / self.slope * LN_10 / (4.0 * self.friction);
        depth / furthest(punches)
    }
}

/// Share of the height at which the pressure is least.
fn furthest(punches: Punches) -> f64 {
    match punches {
        Punches::One => 1.0,
        Punches::Both => 0.5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compact(height: f64) -> Compact {
        Compact { height, width: 1.0, friction: 0.15, density: 0.6, slope: 0.12 }
    }

    /// exp(−0.6 H/D) and exp(−0.3 H/D), worked out by hand.
    #[test]
    fn the_pressure_decays_from_each_punch() {
        for (height, one, both) in [(1.0, 0.5488, 0.7408), (2.0, 0.3012, 0.5488), (3.0, 0.1653, 0.4066)] {
            assert!((compact(height).least(Punches::One) - one).abs() < 5e-5);
            assert!((compact(height).least(Punches::Both) - both).abs() < 5e-5);
        }
        let c = compact(2.0);
        assert_eq!(c.left(0.0, Punches::One), 1.0);
        assert_eq!(c.left(1.0, Punches::Both), 1.0);
        assert!((c.left(0.25, Punches::Both) - c.left(0.75, Punches::Both)).abs() < 1e-15);
    }

    /// The balance of a slice, stepped: dσ/dz = −4µk σ/D.
    #[test]
    fn the_pressure_satisfies_the_balance_of_a_slice() {
        let c = compact(1.7);
        let (steps, mut p) = (20_000, 1.0_f64);
        let dz = c.height / f64::from(steps);
        for _ in 0..steps {
            let middle = p * (1.0 - 2.0 * c.friction * dz / c.width);
            p -= 4.0 * c.friction * middle * dz / c.width;
        }
        assert!((p / c.least(Punches::One) - 1.0).abs() < 1e-7);
    }

    /// H/D 2 from one side: log₁₀ 0.3012 = −0.5212, so ρ = 0.6 − 0.12 · 0.5212 = 0.5375, and (0.5375/0.6)^⅓ = 0.9640.
    #[test]
    fn less_pressure_is_less_density_and_more_shrinkage() {
        let c = compact(2.0);
        let density = c.density_at(1.0, Punches::One).expect("in range");
        assert!((density - 0.53746).abs() < 1e-4, "{density}");
        let narrower = c.narrower(Punches::One).expect("in range");
        assert!((narrower - 0.0360).abs() < 1e-4, "{narrower}");
        assert!(c.narrower(Punches::Both).expect("in range") < 0.55 * narrower);
        // The height at which that difference is just allowed is the height.
        assert!((c.height_for(narrower, Punches::One) - 2.0).abs() < 1e-9);
        assert_eq!(compact(50.0).density_at(1.0, Punches::One), None);
    }
}
