//! Flow laws in SI: viscosity against shear rate, temperature and pressure.
//!
//! Both laws are thermorheologically simple: fluidity 1/η = a(T, p) M(τ/τ_r), a mobility times a
//! shape. The solvers need fluidity at a known stress, so this split is all they see
//! ([`Viscosity::mobility`] here, the shape in [`super::FlowCurve`]).

use crate::scenario::FlowLaw;

/// Gas constant [J/mol K].
const R: f64 = 8.314_462_618;
/// 0 °C in kelvin.
pub const ZERO_CELSIUS: f64 = 273.15;

/// A flow law, scaled to the solids loading in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Viscosity {
    /// η = η₀/(1 + (η₀γ̇/τ*)^(1−n)), η₀ = D₁ exp(−A₁(T−T*)/(A₂+T−T*)), T* = D₂ + D₃p,
    /// A₂ = Ã₂ + D₃p.
    CrossWlf {
        /// Flow exponent.
        n: f64,
        /// Stress at the onset of thinning [Pa].
        tau_star: f64,
        /// Viscosity at T* [Pa s].
        d1: f64,
        /// Reference temperature at zero pressure [K].
        d2: f64,
        /// Rise of the reference temperature with pressure [K/Pa].
        d3: f64,
        /// First WLF constant.
        a1: f64,
        /// Second WLF constant [K].
        a2: f64,
    },
    /// η = K exp[(E/R)(1/T − 1/T_r)] γ̇^(n−1).
    PowerLaw {
        /// Flow exponent.
        n: f64,
        /// Consistency at T_r [Pa sⁿ].
        consistency: f64,
        /// Activation temperature E/R [K].
        activation: f64,
        /// Reference temperature [K].
        reference: f64,
    },
}

impl Viscosity {
    /// The law in SI, its viscosity multiplied by `factor` at constant stress.
    ///
    /// A change of loading stretches the shear-rate axis at a given stress, so the Cross law scales
    /// η₀ alone and the power law scales K by factorⁿ.
    pub fn resolve(law: &FlowLaw, factor: f64) -> Self {
        match law {
            FlowLaw::CrossWlf(c) => Self::CrossWlf {
                n: c.n,
                tau_star: c.tau_star * 1e3,
                d1: c.d1 * factor,
                d2: c.d2 + ZERO_CELSIUS,
                d3: c.d3 * 1e-6,
                a1: c.a1,
                a2: c.a2,
            },
            FlowLaw::PowerLaw(c) => Self::PowerLaw {
                n: c.n,
                consistency: c.consistency * factor.powf(c.n),
                activation: c.activation_energy * 1e3 / R,
                reference: c.reference_temperature + ZERO_CELSIUS,
            },
        }
    }

    /// Flow exponent n of the shear-thinning range.
    pub fn exponent(&self) -> f64 {
        match *self {
            Self::CrossWlf { n, .. } | Self::PowerLaw { n, .. } => n,
        }
    }

    /// Whether viscosity depends on pressure.
    pub fn feels_pressure(&self) -> bool {
        matches!(*self, Self::CrossWlf { d3, .. } if d3 > 0.0)
    }

    /// Viscosity at shear rate γ̇ [1/s], temperature T [K] and pressure p [Pa].
    pub fn viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        match *self {
            Self::CrossWlf { n, tau_star, .. } => {
                let eta0 = 1.0 / self.mobility(t, p);
                eta0 / (1.0 + (eta0 * rate / tau_star).powf(1.0 - n))
            }
            Self::PowerLaw { n, consistency, activation, reference } => {
                consistency * (activation * (1.0 / t - 1.0 / reference)).exp() * rate.powf(n - 1.0)
            }
        }
    }

    /// Stress τ_r [Pa] that scales the shape of the flow curve: τ* of the Cross law, 1 kPa otherwise.
    pub fn reference_stress(&self) -> f64 {
        match *self {
            Self::CrossWlf { tau_star, .. } => tau_star,
            Self::PowerLaw { .. } => 1e3,
        }
    }

    /// Mobility a(T, p) [1/(Pa s)]: the fluidity where the shape M is 1 (1/η₀ of the Cross law).
    #[inline]
    pub fn mobility(&self, t: f64, p: f64) -> f64 {
        match *self {
            Self::CrossWlf { d1, d2, d3, a1, a2, .. } => {
                let shift = d3 * p;
                let dt = t - d2 - shift;
                // The WLF form ends at its pole; nothing cold enough to come near it flows.
                let below = (a2 + shift + dt).max(1.0);
                (a1 * dt / below).min(600.0).exp() / d1
            }
            Self::PowerLaw { n, consistency, activation, reference } => {
                let k = consistency * (activation * (1.0 / t - 1.0 / reference)).exp();
                k.powf(-1.0 / n) * 1e3_f64.powf(1.0 / n - 1.0)
            }
        }
    }

    /// Shape exponent ln M at x = ln(τ/τ_r), and its slope d ln M/dx; M(τ/τ_r) = fluidity/mobility.
    ///
    /// Cross: with L = ln(η₀γ̇/τ*), L − ln(1 + e^((1−n)L)) = x. The left side is increasing and
    /// concave in L, so Newton from max(x, x/n) converges monotonically; ln M = L − x.
    pub fn shape(&self, x: f64) -> (f64, f64) {
        match *self {
            Self::PowerLaw { n, .. } => ((1.0 / n - 1.0) * x, 1.0 / n - 1.0),
            Self::CrossWlf { n, .. } => {
                let m = 1.0 - n;
                let mut l = x.max(x / n);
                let mut slope = 1.0;
                for _ in 0..60 {
                    // e^(mL)/(1 + e^(mL)) and ln(1 + e^(mL)), without overflow.
                    let small = (-(m * l).abs()).exp();
                    let share = if l > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
                    let log = (m * l).max(0.0) + small.ln_1p();
                    slope = 1.0 - m * share;
                    let step = (l - log - x) / slope;
                    l -= step;
                    if step.abs() <= 1e-14 * (1.0 + l.abs()) {
                        break;
                    }
                }
                (l - x, 1.0 / slope - 1.0)
            }
        }
    }

    /// Shear rate [1/s] at the stress τ [Pa].
    pub fn rate(&self, stress: f64, t: f64, p: f64) -> f64 {
        if stress <= 0.0 {
            return 0.0;
        }
        let (shape, _) = self.shape((stress / self.reference_stress()).ln());
        stress * self.mobility(t, p) * shape.exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{CrossWlfConstants, PowerLawConstants};

    fn laws() -> Vec<Viscosity> {
        let mut laws = Vec::new();
        for n in [0.1, 0.35, 0.8, 1.0] {
            let cross = CrossWlfConstants { n, ..CrossWlfConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::CrossWlf(cross), 1.0));
            let power = PowerLawConstants { n, activation_energy: 40.0, ..PowerLawConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::PowerLaw(power), 1.0));
        }
        laws
    }

    #[test]
    fn the_rate_at_a_stress_gives_back_that_stress() {
        for law in laws() {
            for stress in [1.0, 1e3, 3e4, 1e6, 1e7] {
                let t = 430.0;
                let rate = law.rate(stress, t, 0.0);
                let back = law.viscosity(rate, t, 0.0) * rate;
                assert!((back / stress - 1.0).abs() < 1e-10, "{law:?} at {stress}: {back}");
            }
        }
    }

    #[test]
    fn a_loading_factor_multiplies_viscosity_at_constant_stress() {
        for law in [
            FlowLaw::CrossWlf(CrossWlfConstants::default()),
            FlowLaw::PowerLaw(PowerLawConstants::default()),
        ] {
            let (one, three) = (Viscosity::resolve(&law, 1.0), Viscosity::resolve(&law, 3.0));
            for stress in [1e3, 1e5] {
                let ratio = one.rate(stress, 430.0, 0.0) / three.rate(stress, 430.0, 0.0);
                assert!((ratio - 3.0).abs() < 1e-9, "{law:?}: {ratio}");
            }
        }
    }

    #[test]
    fn the_slope_of_the_shape_is_its_derivative() {
        for law in laws() {
            for x in [-8.0, -1.0, 0.0, 2.0, 6.0] {
                let h = 1e-5;
                let numeric = (law.shape(x + h).0 - law.shape(x - h).0) / (2.0 * h);
                let (_, slope) = law.shape(x);
                assert!((numeric - slope).abs() < 1e-6 * (1.0 + slope), "{law:?} at {x}");
            }
        }
    }
}
