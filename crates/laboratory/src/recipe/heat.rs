//! Melting and heat of a binder: molten share, apparent heat capacity, enthalpy.

use super::library::BinderPart;

/// Molten share of a part between its melting range's ends, and what follows from it.
///
/// The latent heat is spread over the range as a trapezoid that rises over the first quarter and
/// falls over the last; its integral is closed, so that energy is conserved to rounding. With
/// u = (T − T₁)/(T₂ − T₁): m' = (4/3) min(4u, 1, 4(1 − u)) per unit of u.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Melting {
    /// Where melting begins \[°C\].
    pub from: f64,
    /// Where it is complete \[°C\].
    pub to: f64,
}

impl Melting {
    /// Melting range of a part.
    pub fn of(part: &BinderPart) -> Self {
        Self { from: part.melting_from.value, to: part.melting_to.value }
    }

    /// The range in which a part sets on cooling: that of melting, colder by what it is undercooled.
    pub fn on_cooling(part: &BinderPart) -> Self {
        let undercooled = part.melting_to.value - part.crystallises.value;
        Self { from: part.melting_from.value - undercooled, to: part.crystallises.value }
    }

    fn place(self, t: f64) -> f64 {
        (t - self.from) / (self.to - self.from)
    }

    /// Molten share m at `t` \[°C\].
    pub fn share(self, t: f64) -> f64 {
        let u = self.place(t).clamp(0.0, 1.0);
        if u < 0.25 {
            8.0 / 3.0 * u * u
        } else if u < 0.75 {
            1.0 / 6.0 + 4.0 / 3.0 * (u - 0.25)
        } else {
            1.0 - 8.0 / 3.0 * (1.0 - u).powi(2)
        }
    }

    /// dm/dT \[1/K\].
    pub fn slope(self, t: f64) -> f64 {
        let u = self.place(t);
        4.0 / 3.0 * (4.0 * u).min(1.0).min(4.0 * (1.0 - u)).max(0.0) / (self.to - self.from)
    }

    /// ∫m dT from far below to `t` \[K\].
    pub fn integral(self, t: f64) -> f64 {
        let u = self.place(t);
        let inner = if u <= 0.0 {
            0.0
        } else if u < 0.25 {
            8.0 / 9.0 * u.powi(3)
        } else if u < 0.75 {
            let v = u - 0.25;
            1.0 / 72.0 + v / 6.0 + 2.0 / 3.0 * v * v
        } else if u < 1.0 {
            18.0 / 72.0 + (u - 0.75) + 8.0 / 9.0 * (1.0 - u).powi(3)
        } else {
            0.5 + (u - 1.0)
        };
        inner * (self.to - self.from)
    }
}

impl BinderPart {
    /// Apparent heat capacity \[J/kgK\] at `t` \[°C\]: c_s + (c_l − c_s) m + L dm/dT.
    pub fn apparent_heat_capacity(&self, t: f64) -> f64 {
        let (melting, solid) = (Melting::of(self), self.heat_capacity_solid.value);
        solid
            + (self.heat_capacity_melt.value - solid) * melting.share(t)
            + self.latent_heat.value * 1e3 * melting.slope(t)
    }

    /// Heat to warm the part from `from` to `to` \[°C\], melting included \[J/kg\].
    pub fn enthalpy(&self, from: f64, to: f64) -> f64 {
        let (melting, solid) = (Melting::of(self), self.heat_capacity_solid.value);
        solid * (to - from)
            + (self.heat_capacity_melt.value - solid) * (melting.integral(to) - melting.integral(from))
            + self.latent_heat.value * 1e3 * (melting.share(to) - melting.share(from))
    }
}
