//! How fast a part of the binder decomposes.
//!
//!   dα/dt = A exp(−E/RT) (1 − α)
//!
//! α is the share that is gone. A is not a number that anybody knows; a thermogravimetric curve shows the temperature at
//! which half of the mass is gone. So a reaction is given by its activation energy E and by that temperature at a ramp of
//! 10 K/min, and A follows from ∫ A exp(−E/RT) dT = β ln 2. The integral is the rational approximation of G. I. Senum
//! and R. T. Yang, J. Thermal Anal. 11 (1977) 445 (from memory; the test compares it with a quadrature).

use gatefrost_numerics::elementary::Elementary;

/// Gas constant, J/mol K (exact, SI).
pub const GAS: f64 = 8.314_462_618;

/// Heating rate at which the temperature of half the loss is stated, K/s.
pub const STATED_RAMP: f64 = 10.0 / 60.0;

/// A reaction of the first order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reaction {
    /// ln A, A in 1/s.
    pub log_factor: f64,
    /// Activation energy E, J/mol.
    pub energy: f64,
}

impl Reaction {
    /// The reaction with activation energy `energy` \[J/mol\] that has taken half of the mass at `half` \[K\], heated at
    /// 10 K/min.
    pub fn with_half_at(half: f64, energy: f64) -> Self {
        let log_factor = (STATED_RAMP * std::f64::consts::LN_2).logarithm() - log_integral(energy, half);
        Self { log_factor, energy }
    }

    /// Rate constant A exp(−E/RT) at `temperature` \[K\], 1/s.
    pub fn rate(self, temperature: f64) -> f64 {
        (self.log_factor - self.energy / (GAS * temperature)).min(60.0).exponential()
    }

    /// Share that is left when it is heated from cold to `temperature` \[K\] at `ramp` \[K/s\].
    pub fn left_after_ramp(self, temperature: f64, ramp: f64) -> f64 {
        (-(self.log_factor + log_integral(self.energy, temperature)).min(60.0).exponential() / ramp)
            .exponential()
    }
}

/// ln ∫₀ᵀ exp(−E/RT) dT, the integral in K.
fn log_integral(energy: f64, temperature: f64) -> f64 {
    let x = energy / (GAS * temperature);
    let above = ((x + 18.0) * x + 86.0) * x + 96.0;
    let below = (((x + 20.0) * x + 120.0) * x + 240.0) * x + 120.0;
    // p(x) = e⁻ˣ/x · above/below, and the integral is (E/R) p(x) = T e⁻ˣ · above/below.
    (temperature * above / below).logarithm() - x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_is_left_at_the_stated_temperature() {
        for (half, energy) in [(550.0, 80e3), (710.0, 230e3)] {
            let reaction = Reaction::with_half_at(half, energy);
            assert!((reaction.left_after_ramp(half, STATED_RAMP) - 0.5).abs() < 1e-12);
            // Ten times as slow: half is gone at a lower temperature.
            assert!(reaction.left_after_ramp(half, STATED_RAMP / 10.0) < 0.01);
        }
    }

    /// Simpson's rule over the rate itself.
    #[test]
    fn the_integral_follows_a_quadrature() {
        for (energy, temperature) in [(40e3, 900.0), (80e3, 550.0), (250e3, 700.0)] {
            let (low, steps) = (200.0, 20_000);
            let h = (temperature - low) / f64::from(steps);
            let f = |t: f64| (-energy / (GAS * t)).exp();
            let sum: f64 = (0..=steps)
                .map(|i| {
                    let weight = if i == 0 || i == steps {
                        1.0
                    } else if i % 2 == 1 {
                        4.0
                    } else {
                        2.0
                    };
                    weight * f(low + h * f64::from(i))
                })
                .sum();
            let found = log_integral(energy, temperature).exp() / (sum * h / 3.0) - 1.0;
            assert!(found.abs() < 1e-4, "{found} at {energy} J/mol");
        }
    }
}
