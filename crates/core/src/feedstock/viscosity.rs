//! Flow laws in SI: viscosity against shear rate, temperature and pressure.
//!
//! Every law is thermorheologically simple: fluidity 1/η = a(T, p) M(τ/τ_r), a mobility times a
//! shape. The solvers need fluidity at a known stress, so this split is all they see
//! ([`Viscosity::mobility`] here, the shape in [`super::FlowCurve`]).

use crate::scenario::FlowLaw;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order::{greater, lesser};

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// ln of the greatest and least mobility that are told apart: beyond, nothing flows or everything does.
const GREATEST_LOG: f64 = 200.0;
/// Greatest viscosity that is told apart \[Pa s\]: that of a glass at its transition (common practice), nine decades
/// beyond what can be moulded.
const THICKEST: f64 = 1e12;
/// Least viscosity at rest that is told apart \[Pa s\]: a twentieth of that of air.
const THINNEST: f64 = 1e-6;
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
        /// Stress at the onset of thinning \[Pa\].
        tau_star: f64,
        /// Viscosity at T* \[Pa s\].
        d1: f64,
        /// Reference temperature at zero pressure \[K\].
        d2: f64,
        /// Rise of the reference temperature with pressure \[K/Pa\].
        d3: f64,
        /// First WLF constant.
        a1: f64,
        /// Second WLF constant \[K\].
        a2: f64,
    },
    /// η = K exp[(E/R)(1/T − 1/T_r)] γ̇^(n−1).
    PowerLaw {
        /// Flow exponent.
        n: f64,
        /// Consistency at T_r \[Pa sⁿ\].
        consistency: f64,
        /// Temperature dependence.
        shift: Arrhenius,
    },
    /// η = a_T η₀ [1 + (a_T λγ̇)^a]^((n−1)/a).
    CarreauYasuda {
        /// Viscosity at rest at T_r \[Pa s\].
        eta0: f64,
        /// Stress η₀/λ that scales the shape \[Pa\].
        stress: f64,
        /// Yasuda's exponent.
        a: f64,
        /// Flow exponent.
        n: f64,
        /// Temperature dependence.
        shift: Arrhenius,
    },
    /// τ = τ_y(1 − exp(−m b γ̇)) + K(b γ̇)ⁿ, b = a_T times the loading factor.
    HerschelBulkley {
        /// Yield stress \[Pa\].
        yield_stress: f64,
        /// Consistency at T_r \[Pa sⁿ\].
        consistency: f64,
        /// Flow exponent.
        n: f64,
        /// Regularisation \[s\].
        m: f64,
        /// Viscosity factor of the loading.
        factor: f64,
        /// Temperature dependence.
        shift: Arrhenius,
    },
}

/// Arrhenius's shift a_T = exp[(E/R)(1/T − 1/T_r)], 1 at T_r.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrhenius {
    /// Activation temperature E/R \[K\].
    pub activation: f64,
    /// Reference temperature \[K\].
    pub reference: f64,
}

impl Arrhenius {
    fn new(energy: f64, reference: f64) -> Self {
        Self { activation: energy * 1e3 / R, reference: reference + ZERO_CELSIUS }
    }

    fn log_at(self, t: f64) -> f64 {
        self.activation * (1.0 / t - 1.0 / self.reference)
    }

    fn at(self, t: f64) -> f64 {
        self.log_at(t).exponential()
    }
}

/// The mobility of a melt at rest within the range that is told apart \[1/(Pa s)\].
fn mobile(mobility: f64) -> f64 {
    mobility.clamp(1.0 / THICKEST, 1.0 / THINNEST)
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
                consistency: c.consistency * factor.power(c.n),
                shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
            },
            FlowLaw::CarreauYasuda(c) => Self::CarreauYasuda {
                eta0: c.eta0 * factor,
                stress: c.eta0 / c.relaxation_time,
                a: c.transition,
                n: c.n,
                shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
            },
            FlowLaw::HerschelBulkley(c) => Self::HerschelBulkley {
                yield_stress: c.yield_stress * 1e3,
                consistency: c.consistency,
                n: c.n,
                m: c.regularisation,
                factor,
                shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
            },
        }
    }

    /// Flow exponent n of the shear-thinning range.
    pub fn exponent(&self) -> f64 {
        match *self {
            Self::CrossWlf { n, .. }
            | Self::PowerLaw { n, .. }
            | Self::CarreauYasuda { n, .. }
            | Self::HerschelBulkley { n, .. } => n,
        }
    }

    /// Whether viscosity depends on pressure.
    pub fn feels_pressure(&self) -> bool {
        matches!(*self, Self::CrossWlf { d3, .. } if d3 > 0.0)
    }

    /// Viscosity \[Pa s\] at shear rate γ̇ \[1/s\], temperature T \[K\] and pressure p \[Pa\], at most
    /// 1e12 Pa s.
    pub fn viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        let viscosity = match *self {
            Self::CrossWlf { n, tau_star, .. } => {
                let eta0 = 1.0 / self.mobility(t, p);
                eta0 / (1.0 + (eta0 * rate / tau_star).power(1.0 - n))
            }
            Self::PowerLaw { n, consistency, shift } => consistency * shift.at(t) * rate.power(n - 1.0),
            Self::CarreauYasuda { stress, a, n, .. } => {
                let rest = 1.0 / self.mobility(t, p);
                rest * (1.0 + (rest * rate / stress).power(a)).power((n - 1.0) / a)
            }
            Self::HerschelBulkley { factor, shift, .. } => {
                let b = factor * shift.at(t);
                self.herschel_bulkley_stress(b * rate).0 / rate
            }
        };
        viscosity.min(THICKEST)
    }

    /// Stress of the Herschel–Bulkley law at the shifted rate g = bγ̇, and dτ/dg.
    fn herschel_bulkley_stress(&self, g: f64) -> (f64, f64) {
        let Self::HerschelBulkley { yield_stress, consistency, n, m, .. } = *self else { return (0.0, 0.0) };
        let left = (-m * g).exponential();
        let thinning = consistency * g.power(n);
        (-yield_stress * (-m * g).exponential_m1() + thinning, yield_stress * m * left + n * thinning / g)
    }

    /// (x, L, dL/dx) of the Herschel–Bulkley law at the logarithm of its shifted rate: the shape by
    /// rate instead of by stress, which needs no inversion.
    pub(super) fn shape_at_rate(&self, log_g: f64) -> [f64; 3] {
        let g = log_g.exponential();
        let (stress, rise) = self.herschel_bulkley_stress(g);
        let x = (stress / self.reference_stress()).logarithm();
        [x, log_g, stress / (rise * g)]
    }

    /// Stress τ_r \[Pa\] that scales the shape of the flow curve: where thinning or flow sets in, 1 kPa
    /// where the law has no such stress.
    pub fn reference_stress(&self) -> f64 {
        match *self {
            Self::CrossWlf { tau_star, .. } => tau_star,
            Self::CarreauYasuda { stress, .. } => stress,
            Self::PowerLaw { .. } => 1e3,
            Self::HerschelBulkley { yield_stress, .. } => yield_stress.max(1e3),
        }
    }

    /// Mobility a(T, p) \[1/(Pa s)\]: the fluidity where the shape M is 1 (1/η₀ of the Cross law).
    #[inline]
    pub fn mobility(&self, t: f64, p: f64) -> f64 {
        match *self {
            Self::CrossWlf { d1, d2, d3, a1, a2, .. } => {
                // Far beyond any machine the form runs away: its own pressure would make it stiffer
                // without bound.
                let shift = d3 * lesser(1e9, p);
                let dt = t - d2 - shift;
                // The WLF form ends at its pole; nothing cold enough to come near it flows.
                let below = greater(1.0, a2 + shift + dt);
                mobile((a1 * dt / below).clamp(-GREATEST_LOG, GREATEST_LOG).exponential() / d1)
            }
            Self::PowerLaw { n, consistency, shift } => {
                let log_k = consistency.logarithm() + shift.log_at(t);
                let log = (1.0 / n - 1.0) * 1e3_f64.logarithm() - log_k / n;
                log.clamp(-GREATEST_LOG, GREATEST_LOG).exponential()
            }
            Self::CarreauYasuda { eta0, shift, .. } => mobile(1.0 / (eta0 * shift.at(t))),
            // The fluidity where the shifted rate is 1 1/s at the reference stress.
            Self::HerschelBulkley { factor, shift, .. } => {
                1.0 / (factor * shift.at(t) * self.reference_stress())
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
                    let small = (-(m * l).abs()).exponential();
                    let share = if l > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
                    let log = (m * l).max(0.0) + small.logarithm_1p();
                    slope = 1.0 - m * share;
                    let step = (l - log - x) / slope;
                    l -= step;
                    if step.abs() <= 1e-14 * (1.0 + l.abs()) {
                        break;
                    }
                }
                (l - x, 1.0 / slope - 1.0)
            }
            // With L = ln(a_T λγ̇): x = L + ((n−1)/a) ln(1 + e^(aL)), increasing and concave in L.
            Self::CarreauYasuda { a, n, .. } => {
                let mut l = x.max(x / n);
                let mut slope = 1.0;
                for _ in 0..60 {
                    let small = (-(a * l).abs()).exponential();
                    let share = if l > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
                    let log = (a * l).max(0.0) + small.logarithm_1p();
                    slope = 1.0 + (n - 1.0) * share;
                    let step = (l + (n - 1.0) / a * log - x) / slope;
                    l -= step;
                    if step.abs() <= 1e-14 * (1.0 + l.abs()) {
                        break;
                    }
                }
                (l - x, 1.0 / slope - 1.0)
            }
            // x = ln(τ(g)/τ_r) increases in ln g; safeguarded Newton between the bounds that either
            // term alone would give.
            Self::HerschelBulkley { consistency, n, .. } => {
                let target = x + self.reference_stress().logarithm();
                let (mut low, mut high) = (-700.0_f64, ((target - consistency.logarithm()) / n).max(-690.0));
                let mut log_g = high;
                let mut slope = 1.0;
                for _ in 0..200 {
                    let g = log_g.exponential();
                    let (stress, rise) = self.herschel_bulkley_stress(g);
                    slope = rise * g / stress;
                    let excess = stress.logarithm() - target;
                    if excess > 0.0 {
                        high = log_g
                    } else {
                        low = log_g
                    }
                    let newton = log_g - excess / slope;
                    let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
                    let moved = (next - log_g).abs();
                    log_g = next;
                    if moved <= 1e-14 * (1.0 + log_g.abs()) {
                        break;
                    }
                }
                (log_g - x, 1.0 / slope - 1.0)
            }
        }
    }

    /// Shear rate \[1/s\] at the stress τ \[Pa\].
    pub fn rate(&self, stress: f64, t: f64, p: f64) -> f64 {
        if stress <= 0.0 {
            return 0.0;
        }
        let (shape, _) = self.shape((stress / self.reference_stress()).logarithm());
        stress * self.mobility(t, p) * shape.exponential()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{
        CarreauYasudaConstants, CrossWlfConstants, HerschelBulkleyConstants, PowerLawConstants,
    };

    fn laws() -> Vec<Viscosity> {
        let mut laws = Vec::new();
        for n in [0.1, 0.35, 0.8, 1.0] {
            let cross = CrossWlfConstants { n, ..CrossWlfConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::CrossWlf(cross), 1.0));
            let power = PowerLawConstants { n, activation_energy: 40.0, ..PowerLawConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::PowerLaw(power), 1.0));
            let carreau = CarreauYasudaConstants { n, ..CarreauYasudaConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::CarreauYasuda(carreau), 1.0));
            let plastic = HerschelBulkleyConstants { n, ..HerschelBulkleyConstants::default() };
            laws.push(Viscosity::resolve(&FlowLaw::HerschelBulkley(plastic), 1.0));
        }
        laws
    }

    #[test]
    fn the_rate_at_a_stress_gives_back_that_stress() {
        for law in laws() {
            for stress in [1.0, 1e3, 3e4, 1e6, 1e7] {
                let t = 430.0;
                let rate = law.rate(stress, t, 0.0);
                let viscosity = law.viscosity(rate, t, 0.0);
                let back = viscosity * rate;
                // Thicker than any melt, viscosities are not told apart.
                assert!(
                    viscosity == THICKEST || (back / stress - 1.0).abs() < 1e-10,
                    "{law:?} at {stress}: {back}"
                );
            }
        }
    }

    #[test]
    fn a_loading_factor_multiplies_viscosity_at_constant_stress() {
        for law in [
            FlowLaw::CrossWlf(CrossWlfConstants::default()),
            FlowLaw::PowerLaw(PowerLawConstants::default()),
            FlowLaw::CarreauYasuda(CarreauYasudaConstants::default()),
            FlowLaw::HerschelBulkley(HerschelBulkleyConstants::default()),
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
