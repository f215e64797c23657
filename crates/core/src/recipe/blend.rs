//! The binder as a blend of its parts.

use super::heat::Melting;
use super::library::{BinderPart, R, ZERO_CELSIUS};

/// Room temperature, at which loadings are weighed \[°C\].
pub(super) const ROOM: f64 = 20.0;

/// A value with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The value.
    pub value: f64,
    /// Standard error, in the unit of the value.
    pub error: f64,
}

/// Binder parts with their shares by mass, which sum to 1.
#[derive(Debug, Clone)]
pub struct Blend {
    parts: Vec<(&'static BinderPart, f64)>,
}

impl Blend {
    /// A blend; shares are scaled to sum to 1.
    pub fn new(parts: Vec<(&'static BinderPart, f64)>) -> Self {
        let sum: f64 = parts.iter().map(|(_, w)| w).sum();
        Self { parts: parts.into_iter().map(|(p, w)| (p, w / sum)).collect() }
    }

    /// The parts with their shares by mass.
    pub fn parts(&self) -> &[(&'static BinderPart, f64)] {
        &self.parts
    }

    /// Σ w x over the parts, errors taken as independent.
    fn by_mass(&self, of: impl Fn(&BinderPart) -> (f64, f64)) -> Spread {
        let (mut value, mut variance) = (0.0, 0.0);
        for &(part, w) in &self.parts {
            let (x, error) = of(part);
            value += w * x;
            variance += (w * error).powi(2);
        }
        Spread { value, error: variance.sqrt() }
    }

    /// Specific volume at room temperature \[m³/kg\], v = Σ w/ρ.
    pub fn volume_room(&self) -> Spread {
        self.by_mass(|p| {
            let v = 1.0 / p.density_room.value;
            (v, v * p.density_room.error() / p.density_room.value)
        })
    }

    /// Specific volume of the melt \[m³/kg\] at `t` \[°C\] and `p` \[Pa\], v = Σ w v(t, p).
    pub fn volume_melt(&self, t: f64, p: f64) -> Spread {
        self.by_mass(|part| {
            let v = part.specific_volume(t, p);
            let warmer = t - part.density_melt.at.unwrap_or(t);
            let level = part.density_melt.error() / part.density_melt.value;
            let slope = part.expansion_melt.error() * 1e-4 * warmer;
            (v, v * level.hypot(slope))
        })
    }

    /// Relative loss of volume of the melt from no pressure to 100 MPa at `t` \[°C\], per pressure \[1/Pa\].
    pub fn compressibility(&self, t: f64) -> Spread {
        const P: f64 = 1e8;
        let (loose, tight) = (self.volume_melt(t, 0.0).value, self.volume_melt(t, P).value);
        let error = self.by_mass(|p| {
            let share = p.specific_volume(t, 0.0) / loose;
            (0.0, share * p.compressibility.error() * 1e-9)
        });
        Spread { value: (loose - tight) / loose / P, error: error.error }
    }

    /// Thermal conductivity \[W/mK\]: mean by volume at room temperature.
    pub fn conductivity(&self) -> Spread {
        let v = self.volume_room().value;
        self.by_mass(|p| {
            let share = 1.0 / p.density_room.value / v;
            (share * p.conductivity.value, share * p.conductivity.error())
        })
    }

    /// Logarithm of the low-rate melt viscosity η \[Pa·s\] at `t` \[°C\], mixed by mass:
    /// ln η = Σ w ln η_part(t).
    ///
    /// The parts' viscosities are Arrhenian, so the blend's is, with E = Σ w E_part. The error here
    /// is that of the parts' data alone; the rule adds its own, see [`super::flow`].
    pub fn log_viscosity(&self, t: f64) -> Spread {
        self.by_mass(|p| {
            let tilt = p.activation_energy.error() * 1e3 / R * p.inverse_distance(t);
            (p.melt_viscosity(t).ln(), p.viscosity.log_error().hypot(tilt))
        })
    }

    /// Flow activation energy [kJ/mol], Σ w E.
    pub fn activation_energy(&self) -> Spread {
        self.by_mass(|p| (p.activation_energy.value, p.activation_energy.error()))
    }

    /// Latent heat of melting of the whole binder \[J/kg\].
    pub fn latent_heat(&self) -> Spread {
        self.by_mass(|p| (p.latent_heat.value * 1e3, p.latent_heat.error() * 1e3))
    }

    /// Ends of the range in which the latent heat is given up, evenly spread \[°C\]: the straight line
    /// through the temperatures at which a tenth and nine tenths of it have been.
    pub fn setting_range(&self) -> [f64; 2] {
        let latent = |t: f64| self.by_mass(|p| (p.latent_heat.value * Melting::of(p).share(t), 0.0)).value;
        let whole = latent(1e3);
        let at = |share: f64| {
            let (mut low, mut high) = (-200.0, 500.0);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if latent(middle) < share * whole { low = middle } else { high = middle }
            }
            0.5 * (low + high)
        };
        let (from, to) = (at(0.1), at(0.9));
        let margin = ((to - from) / 8.0).max(0.5);
        [from - margin, to + margin]
    }

    /// Apparent heat capacity \[J/kgK\] at `t` \[°C\].
    pub fn heat_capacity(&self, t: f64) -> f64 {
        self.by_mass(|p| (p.apparent_heat_capacity(t), 0.0)).value
    }

    /// Heat to warm the binder from `from` to `to` \[°C\], melting included \[J/kg\].
    pub fn enthalpy(&self, from: f64, to: f64) -> f64 {
        self.by_mass(|p| (p.enthalpy(from, to), 0.0)).value
    }

    /// Mean heat capacity between `from` and `to` \[°C\], with the latent heat or without it \[J/kgK\].
    pub fn mean_heat_capacity(&self, from: f64, to: f64, latent: bool) -> Spread {
        let span = to - from;
        let keep = if latent { 1.0 } else { 0.0 };
        self.by_mass(|p| {
            let melting = Melting::of(p);
            let molten = (melting.integral(to) - melting.integral(from)) / span;
            let melted = keep * (melting.share(to) - melting.share(from)) / span;
            let value = (1.0 - molten) * p.heat_capacity_solid.value
                + molten * p.heat_capacity_melt.value
                + melted * p.latent_heat.value * 1e3;
            let error = ((1.0 - molten) * p.heat_capacity_solid.error())
                .hypot(molten * p.heat_capacity_melt.error())
                .hypot(melted * p.latent_heat.error() * 1e3);
            (value, error)
        })
    }

    /// Molten share of the binder by mass at `t` \[°C\].
    pub fn molten(&self, t: f64) -> f64 {
        self.by_mass(|p| (Melting::of(p).share(t), 0.0)).value
    }

    /// Temperature at which the molten share is `share` \[°C\], by bisection: the share never falls
    /// with temperature.
    pub fn temperature_of_molten(&self, share: f64) -> f64 {
        let ends = |pick: fn(f64, f64) -> f64, of: fn(&BinderPart) -> f64, start: f64| {
            self.parts.iter().map(|(p, _)| of(p)).fold(start, pick)
        };
        let mut cold = ends(f64::min, |p| p.melting_from.value, f64::INFINITY);
        let mut hot = self.melting_end();
        for _ in 0..80 {
            let middle = 0.5 * (cold + hot);
            if self.molten(middle) < share { cold = middle } else { hot = middle }
        }
        0.5 * (cold + hot)
    }

    /// Where the last part has melted \[°C\].
    pub fn melting_end(&self) -> f64 {
        self.parts.iter().map(|(p, _)| p.melting_to.value).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The part that decomposes first.
    pub fn first_to_decompose(&self) -> Option<&'static BinderPart> {
        let earlier = |a: &&(&BinderPart, f64), b: &&(&BinderPart, f64)| {
            a.0.decomposition.value.total_cmp(&b.0.decomposition.value)
        };
        self.parts.iter().min_by(earlier).map(|(p, _)| *p)
    }

    /// The part with at least `least` of the mass that melts last.
    pub fn last_to_melt(&self, least: f64) -> Option<&'static BinderPart> {
        let later = |a: &&(&BinderPart, f64), b: &&(&BinderPart, f64)| {
            a.0.melting_to.value.total_cmp(&b.0.melting_to.value)
        };
        self.parts.iter().filter(|(_, w)| *w >= least).max_by(later).map(|(p, _)| *p)
    }
}

/// Arrhenius's E/R(1/T − 1/T_r) with E in kJ/mol and temperatures in °C.
pub(super) fn arrhenius(energy: f64, t: f64, reference: f64) -> f64 {
    energy * 1e3 / R * (1.0 / (t + ZERO_CELSIUS) - 1.0 / (reference + ZERO_CELSIUS))
}
