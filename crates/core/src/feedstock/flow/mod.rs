//! Flow laws in SI: viscosity against shear rate, temperature and pressure. One file for each law.
//!
//! Every law is thermorheologically simple: the fluidity is 1/η = a(T, p) M(τ/τ_r), a mobility a times a shape M that
//! depends on the shear stress τ alone. The solvers need the fluidity at a known stress, so they use only this split:
//! [`FlowModel::mobility`], and the shape as tabulated in [`FlowCurve`].

mod carreau_yasuda;
mod cross_wlf;
mod curve;
mod herschel_bulkley;
mod plateau;
mod power_law;
mod shift;

pub use carreau_yasuda::CarreauYasuda;
pub use cross_wlf::CrossWlf;
pub use curve::FlowCurve;
pub use herschel_bulkley::HerschelBulkley;
pub use power_law::PowerLaw;
pub use shift::Shift;

use crate::scenario::FlowLaw;
use gatefrost_numerics::elementary::Elementary;

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// Bound of |ln a|. Beyond it, mobilities are not distinguished: nothing flows, or everything does.
const GREATEST_LOG: f64 = 200.0;
/// Greatest viscosity that is distinguished \[Pa s\]: that of a glass at its transition (common practice), nine decades
/// beyond what can be moulded.
const THICKEST: f64 = 1e12;
/// Least viscosity at rest that is distinguished \[Pa s\]: a twentieth of that of air.
const THINNEST: f64 = 1e-6;
/// 0 °C in kelvin.
pub const ZERO_CELSIUS: f64 = 273.15;

/// What the solvers ask of a flow law. The shear rate must rise with the shear stress.
pub trait FlowModel {
    /// Flow exponent n = d ln τ/d ln γ̇ of the shear-thinning range.
    fn exponent(&self) -> f64;

    /// Whether the viscosity depends on pressure.
    fn feels_pressure(&self) -> bool {
        false
    }

    /// Viscosity η \[Pa s\] at shear rate γ̇ \[1/s\], temperature T \[K\] and pressure p \[Pa\], without an upper bound.
    fn unbounded_viscosity(&self, rate: f64, t: f64, p: f64) -> f64;

    /// Stress τ_r \[Pa\] that scales the shape: where thinning or flow sets in, 1 kPa if the law has no such stress.
    fn reference_stress(&self) -> f64;

    /// Mobility a(T, p) \[1/(Pa s)\] at temperature T \[K\] and pressure p \[Pa\]: the fluidity where M = 1.
    fn mobility(&self, t: f64, p: f64) -> f64;

    /// ln M and d ln M/dx at x = ln(τ/τ_r).
    fn shape(&self, x: f64) -> (f64, f64);

    /// The shape as a function of shear rate, for a law whose M rises so steeply that a table in x is too coarse:
    /// x, L = x + ln M and dL/dx at a given L. `None` for every other law.
    fn shape_at_rate(&self, log_rate: f64) -> Option<[f64; 3]> {
        let _ = log_rate;
        None
    }
}

/// A flow law, scaled to the solids loading in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Viscosity {
    /// Cross law with WLF temperature dependence.
    CrossWlf(CrossWlf),
    /// Power law with Arrhenius temperature dependence.
    PowerLaw(PowerLaw),
    /// Carreau–Yasuda law with Arrhenius temperature dependence.
    CarreauYasuda(CarreauYasuda),
    /// Herschel–Bulkley law, regularised after Papanastasiou, with Arrhenius temperature dependence.
    HerschelBulkley(HerschelBulkley),
}

/// Asks the law of a [`Viscosity`].
macro_rules! ask {
    ($viscosity:expr, $law:ident => $asked:expr) => {
        match $viscosity {
            Viscosity::CrossWlf($law) => $asked,
            Viscosity::PowerLaw($law) => $asked,
            Viscosity::CarreauYasuda($law) => $asked,
            Viscosity::HerschelBulkley($law) => $asked,
        }
    };
}

impl Viscosity {
    /// The law in SI at the loading at which it was measured.
    pub fn measured(law: &FlowLaw) -> Self {
        Self::resolve(law, Shift::NONE)
    }

    /// The law in SI, carried to another loading.
    pub fn resolve(law: &FlowLaw, shift: Shift) -> Self {
        match law {
            FlowLaw::CrossWlf(c) => Self::CrossWlf(CrossWlf::resolve(c, shift)),
            FlowLaw::PowerLaw(c) => Self::PowerLaw(PowerLaw::resolve(c, shift)),
            FlowLaw::CarreauYasuda(c) => Self::CarreauYasuda(CarreauYasuda::resolve(c, shift)),
            FlowLaw::HerschelBulkley(c) => Self::HerschelBulkley(HerschelBulkley::resolve(c, shift)),
        }
    }

    /// [`FlowModel::exponent`].
    pub fn exponent(&self) -> f64 {
        ask!(self, law => law.exponent())
    }

    /// [`FlowModel::feels_pressure`].
    pub fn feels_pressure(&self) -> bool {
        ask!(self, law => law.feels_pressure())
    }

    /// Viscosity \[Pa s\] at shear rate γ̇ \[1/s\], temperature T \[K\] and pressure p \[Pa\], at most
    /// 1e12 Pa s.
    pub fn viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        ask!(self, law => law.unbounded_viscosity(rate, t, p)).min(THICKEST)
    }

    /// [`FlowModel::reference_stress`] \[Pa\].
    pub fn reference_stress(&self) -> f64 {
        ask!(self, law => law.reference_stress())
    }

    /// [`FlowModel::mobility`] a(T, p) \[1/(Pa s)\] at T \[K\] and p \[Pa\].
    #[inline]
    pub fn mobility(&self, t: f64, p: f64) -> f64 {
        ask!(self, law => law.mobility(t, p))
    }

    /// [`FlowModel::shape`]: ln M and d ln M/dx at x = ln(τ/τ_r).
    pub fn shape(&self, x: f64) -> (f64, f64) {
        ask!(self, law => law.shape(x))
    }

    /// [`FlowModel::shape_at_rate`].
    fn shape_at_rate(&self, log_rate: f64) -> Option<[f64; 3]> {
        ask!(self, law => law.shape_at_rate(log_rate))
    }

    /// Shear rate \[1/s\] at the shear stress τ \[Pa\], temperature T \[K\] and pressure p \[Pa\]; 0 without stress.
    pub fn rate(&self, stress: f64, t: f64, p: f64) -> f64 {
        if stress <= 0.0 {
            return 0.0;
        }
        let (shape, _) = self.shape((stress / self.reference_stress()).logarithm());
        stress * self.mobility(t, p) * shape.exponential()
    }
}

/// The mobility of a melt at rest within the range that is distinguished \[1/(Pa s)\].
fn mobile(mobility: f64) -> f64 {
    mobility.clamp(1.0 / THICKEST, 1.0 / THINNEST)
}

/// Arrhenius's shift a_T = exp[(E/R)(1/T − 1/T_r)], 1 at T_r.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Arrhenius {
    /// Activation temperature E/R \[K\].
    activation: f64,
    /// Reference temperature T_r \[K\].
    reference: f64,
}

impl Arrhenius {
    /// From the activation energy E \[kJ/mol\] and the reference temperature \[°C\].
    fn new(energy: f64, reference: f64) -> Self {
        Self { activation: energy * 1e3 / R, reference: reference + ZERO_CELSIUS }
    }

    /// ln a_T at T \[K\].
    fn log_at(self, t: f64) -> f64 {
        self.activation * (1.0 / t - 1.0 / self.reference)
    }

    /// a_T at T \[K\].
    fn at(self, t: f64) -> f64 {
        self.log_at(t).exponential()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document;
    use crate::scenario::{FlowLawKind, HerschelBulkleyConstants, LoadingScaling, PowerLawConstants};

    /// Every law of the catalogue over flow exponents.
    fn laws() -> Vec<Viscosity> {
        let with_exponent = |kind: FlowLawKind, n: f64| {
            let mut law = document::tree(&kind.usual()).unwrap();
            if let Some(field) = kind.exponent() {
                law[kind.name()][field] = n.into();
            }
            Viscosity::measured(&document::read(&law.to_string()).unwrap())
        };
        let exponents = [0.1, 0.35, 0.8, 1.0];
        FlowLawKind::ALL.iter().flat_map(|&kind| exponents.map(|n| with_exponent(kind, n))).collect()
    }

    #[test]
    fn the_rate_at_a_stress_gives_back_that_stress() {
        for law in laws() {
            for stress in [1.0, 1e3, 3e4, 1e6, 1e7] {
                let t = 430.0;
                let rate = law.rate(stress, t, 0.0);
                let viscosity = law.viscosity(rate, t, 0.0);
                let back = viscosity * rate;
                // Viscosities greater than that of any melt are not compared.
                assert!(
                    viscosity == THICKEST || (back / stress - 1.0).abs() < 1e-10,
                    "{law:?} at {stress}: {back}"
                );
            }
        }
    }

    /// The meaning of the three conventions, by their definitions and for every law: x times as viscous at equal stress,
    /// at equal rate; homogenised, at binder rates √(x/b) apart the stresses are √(x b) apart.
    #[test]
    fn each_convention_of_loading_multiplies_what_it_says() {
        use LoadingScaling::{EqualRate, EqualStress, Homogenised};
        let (x, binder, t) = (3.0, 0.9, 430.0);
        for law in FlowLawKind::ALL.iter().map(|kind| kind.usual()) {
            let measured = Viscosity::measured(&law);
            let at = |scaling| Viscosity::resolve(&law, Shift::new(scaling, x, binder));
            for stress in [1e3, 1e5] {
                let ratio = measured.rate(stress, t, 0.0) / at(EqualStress).rate(stress, t, 0.0);
                assert!((ratio - x).abs() < 1e-9, "{law:?} at {stress} Pa: {ratio}");
            }
            for rate in [0.1, 10.0, 1e4] {
                let ratio = at(EqualRate).viscosity(rate, t, 0.0) / measured.viscosity(rate, t, 0.0);
                assert!((ratio - x).abs() < 1e-9, "{law:?} at {rate} 1/s: {ratio}");
                let (faster, higher) = ((x / binder).sqrt(), (x * binder).sqrt());
                let stress = rate * at(Homogenised).viscosity(rate, t, 0.0);
                let of_binder = faster * rate * measured.viscosity(faster * rate, t, 0.0);
                assert!((stress / of_binder / higher - 1.0).abs() < 1e-9, "{law:?} at {rate} 1/s");
            }
        }
    }

    /// K ∝ η_r^((1+n)/2) (1−φ)^((1−n)/2), and a yield stress as √((1−φ) η_r).
    #[test]
    fn a_homogenised_consistency_and_yield_stress_grow_as_published() {
        let shift = Shift::new(LoadingScaling::Homogenised, 5.0, 0.8);
        for n in [0.2_f64, 0.5, 1.0] {
            let law = FlowLaw::PowerLaw(PowerLawConstants { n, ..PowerLawConstants::default() });
            let found = Viscosity::resolve(&law, shift).viscosity(7.0, 430.0, 0.0)
                / Viscosity::measured(&law).viscosity(7.0, 430.0, 0.0);
            let expected = 5.0_f64.powf(0.5 * (1.0 + n)) * 0.8_f64.powf(0.5 * (1.0 - n));
            assert!((found / expected - 1.0).abs() < 1e-12, "{n}: {found} against {expected}");
        }
        let constants = HerschelBulkleyConstants { consistency: 1e-4, ..HerschelBulkleyConstants::default() };
        let law = FlowLaw::HerschelBulkley(constants);
        let stress = |law: Viscosity| 100.0 * law.viscosity(100.0, 430.0, 0.0);
        let found = stress(Viscosity::resolve(&law, shift)) / stress(Viscosity::measured(&law));
        assert!((found - 2.0).abs() < 1e-6, "yield stress: {found}");
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
