//! How a flow law that was measured at one solids loading is carried to another.

use crate::scenario::LoadingScaling;

/// Factors of stress and shear rate between the flow curves at two loadings: τ(γ̇) = s τ₁(r γ̇), τ₁ the measured curve.
///
/// With x = η_r(φ)/η_r(φ₁) and the shares of binder 1 − φ, every law that is a plateau becomes x times as viscous at
/// rest, s r = x. What the convention decides is s:
/// - equal stress: s = 1, so that the viscosity is x times as high at every shear stress;
/// - equal rate: s = x, so that it is x times as high at every shear rate;
/// - homogenised: s = √(x (1−φ)/(1−φ₁)). The binder between the particles is sheared √(η_r/(1−φ)) times faster than the
///   mixture, because both dissipate the same power: η_r γ̇² = (1−φ) γ̇_b² (X. Chateau, G. Ovarlez, K. L. Trung, J. Rheol.
///   52 (2008) 489, abstract read, formulas from memory).
///
/// A power-law branch K γ̇ⁿ so gets the factor s rⁿ = xⁿ s^(1−n), a stress such as a yield stress or that at the onset of
/// thinning the factor s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Factor s of stresses.
    pub stress: f64,
    /// Factor r of shear rates.
    pub rate: f64,
}

impl Shift {
    /// No change: the loading is that of the measurement.
    pub const NONE: Self = Self { stress: 1.0, rate: 1.0 };

    /// `viscosity` is η_r(φ)/η_r(φ₁), `binder` the ratio of the shares of binder by volume (1−φ)/(1−φ₁).
    pub fn new(scaling: LoadingScaling, viscosity: f64, binder: f64) -> Self {
        let stress = match scaling {
            LoadingScaling::Homogenised => (viscosity * binder).sqrt(),
            LoadingScaling::EqualStress => 1.0,
            LoadingScaling::EqualRate => viscosity,
        };
        Self { stress, rate: viscosity / stress }
    }

    /// Powers of x and of (1−φ)/(1−φ₁) in the factor s rⁿ, by which the viscosity at a given shear rate grows where
    /// d ln τ/d ln γ̇ is `n`.
    pub fn powers(scaling: LoadingScaling, n: f64) -> [f64; 2] {
        match scaling {
            LoadingScaling::Homogenised => [0.5 * (1.0 + n), 0.5 * (1.0 - n)],
            LoadingScaling::EqualStress => [n, 0.0],
            LoadingScaling::EqualRate => [1.0, 0.0],
        }
    }

    /// Factor s r of a viscosity at rest.
    pub fn at_rest(self) -> f64 {
        self.stress * self.rate
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_powers_are_those_of_the_factors() {
        for scaling in [LoadingScaling::Homogenised, LoadingScaling::EqualStress, LoadingScaling::EqualRate] {
            for n in [0.1_f64, 0.4, 1.0] {
                let Shift { stress, rate } = Shift::new(scaling, 6.0, 0.7);
                let [of_viscosity, of_binder] = Shift::powers(scaling, n);
                let expected = 6.0_f64.powf(of_viscosity) * 0.7_f64.powf(of_binder);
                assert!((stress * rate.powf(n) / expected - 1.0).abs() < 1e-12, "{scaling:?} {n}");
            }
        }
    }
}
