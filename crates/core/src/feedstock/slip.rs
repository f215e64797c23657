//! Slip of the melt along the wall.

use crate::scenario;
use gatefrost_numerics::elementary::Elementary;

/// Wall stress at which the slip velocity is given \[Pa\].
const AT: f64 = 1e5;

/// Slip velocity u = u₁ (τ_w/100 kPa)^s at the melt temperature, as Mooney's analysis of capillaries gives it. What flows
/// slips along what has frozen to the wall, on a film of the same binder: u falls with the mobility of the melt, see
/// [`super::Material::slip_in`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// u₁ \[m/s\].
    velocity: f64,
    /// s.
    exponent: f64,
}

impl Slip {
    /// The slip of a validated feedstock; `None` if it does not slip.
    pub(super) fn resolve(f: &scenario::Feedstock) -> Option<Self> {
        (f.slip_velocity > 0.0).then_some(Self { velocity: f.slip_velocity / 1e3, exponent: f.slip_exponent })
    }

    /// u at a wall stress and the melt temperature: \[Pa\] to \[m/s\].
    pub fn velocity(&self, stress: f64) -> f64 {
        self.velocity * (stress / AT).power(self.exponent)
    }

    /// s.
    pub fn exponent(&self) -> f64 {
        self.exponent
    }

    /// u/τ_w at ln τ_w \[m/(s Pa)\].
    pub fn per_stress(&self, log_stress: f64) -> f64 {
        self.velocity / AT * ((self.exponent - 1.0) * (log_stress - AT.logarithm())).exponential()
    }
}

/// Slip in one section: the flow that it adds, Q_s/C = ratio u(τ_w), with the ratio of the area that slips to C.
#[derive(Debug, Clone, Copy)]
pub struct SlipFlow {
    /// Slip law.
    pub slip: Slip,
    /// Area that slips over the flow constant C \[1/m\]: see [`super::Material::slip_in`].
    pub ratio: f64,
}

impl SlipFlow {
    /// Q_s/(C τ_w) \[1/(Pa s)\].
    pub fn at(&self, log_stress: f64) -> f64 {
        self.ratio * self.slip.per_stress(log_stress)
    }
}
