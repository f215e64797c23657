//! The binder as a blend of its parts.

use super::heat::Melting;
use super::library::{BinderPart, PartRole, R, TAIT_C, ZERO_CELSIUS};
use gatefrost_core::scenario::TaitConstants;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;

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

/// An even range of setting \[°C\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// Where setting ends.
    pub from: f64,
    /// Where it begins, on cooling.
    pub to: f64,
    /// How far from it the latent heat is given up, as a root mean square over the heat \[K\].
    pub misfit: f64,
}

/// One peak in which parts of the binder set on cooling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SettingPeak {
    /// Latent heat for each kilogram of the whole binder \[J/kg\].
    pub latent: Spread,
    /// The even range in which it is given up.
    pub setting: Setting,
}

/// Volume expansion of a solid part \[1/K\], from memory: waxes and polyolefins 3 to 8e-4.
const SOLID_EXPANSION: f64 = 5e-4;
/// B of the solid over that of the melt at the transition, illustrative.
const SOLID_STIFFER: f64 = 1.7;

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
            (p.melt_viscosity(t).logarithm(), p.viscosity.log_error().hypot(tilt))
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

    /// The even range in which the latent heat is given up. With F(T) the share of it taken up on the way
    /// from cold to `T`, its middle is the mean temperature, ∫(1 − F) dT above the coldest, and its width
    /// six times the second L-moment, ∫F(1 − F) dT: for an even range both are exact. Unlike quantiles they
    /// follow the composition without a jump (J. R. M. Hosking's L-moments, from memory).
    pub fn setting_range(&self) -> Setting {
        self.even_range(Melting::of)
    }

    /// The even range of a melting or setting curve.
    fn even_range(&self, range: impl Fn(&BinderPart) -> Melting) -> Setting {
        const STEPS: u32 = 1000;
        let melts = self.parts.iter().filter(|(p, _)| p.latent_heat.value > 0.0);
        let ends = melts.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], (p, _)| {
            [a.min(range(p).from), b.max(range(p).to)]
        });
        let [cold, hot] = if ends[0] < ends[1] { ends } else { [ROOM, self.melting_end().max(ROOM + 1.0)] };
        let latent = |t: f64| self.by_mass(|p| (p.latent_heat.value * range(p).share(t), 0.0)).value;
        let whole = latent(hot).max(f64::MIN_POSITIVE);
        let step = (hot - cold) / f64::from(STEPS);
        let at = |i: u32| cold + step * f64::from(i);
        let shares: Vec<f64> = (0..=STEPS).map(|i| latent(at(i)) / whole).collect();
        let (mut mean, mut difference) = (cold, 0.0);
        for pair in shares.windows(2) {
            let f = 0.5 * (pair[0] + pair[1]);
            mean += (1.0 - f) * step;
            difference += f * (1.0 - f) * step;
        }
        let half = (3.0 * difference).max(0.5);
        let off = |i: u32, pair: &[f64]| {
            let (f, t) = (0.5 * (pair[0] + pair[1]), at(i) + 0.5 * step);
            (pair[1] - pair[0]) * (t - mean - half * (2.0 * f - 1.0)).powi(2)
        };
        let squares: f64 = (0..STEPS).zip(shares.windows(2)).map(|(i, pair)| off(i, pair)).sum();
        Setting { from: mean - half, to: mean + half, misfit: squares.sqrt() }
    }

    /// The peaks in which the binder sets on cooling, the coldest first: parts whose ranges overlap set in one.
    pub fn peaks(&self) -> Vec<SettingPeak> {
        let mut parts: Vec<(&'static BinderPart, f64)> =
            self.parts.iter().copied().filter(|(part, _)| part.latent_heat.value > 0.0).collect();
        parts.sort_by(|a, b| Melting::on_cooling(a.0).from.total_cmp(&Melting::on_cooling(b.0).from));
        let mut groups: Vec<(f64, Self)> = Vec::new();
        for (part, share) in parts {
            let Melting { from, to } = Melting::on_cooling(part);
            match groups.last_mut() {
                Some((end, group)) if from < *end => {
                    group.parts.push((part, share));
                    *end = end.max(to);
                }
                _ => groups.push((to, Self { parts: vec![(part, share)] })),
            }
        }
        let peak = |(_, group): &(f64, Self)| SettingPeak {
            latent: group.latent_heat(),
            setting: group.even_range(Melting::on_cooling),
        };
        groups.iter().map(peak).collect()
    }

    /// Specific volume \[m³/kg\] at `t` \[°C\] on cooling, without pressure: v = Σ w [(1−m) v_s + m v_m]. A solid part
    /// expands by [`SOLID_EXPANSION`].
    fn volume_on_cooling(&self, t: f64) -> f64 {
        self.by_mass(|part| {
            let molten = Melting::on_cooling(part).share(t);
            let solid = (1.0 + SOLID_EXPANSION * (t - ROOM)) / part.density_room.value;
            ((1.0 - molten) * solid + molten * part.specific_volume(t, 0.0), 0.0)
        })
        .value
    }

    /// Tait's equation in two domains for the blend, whose melt is v = Σ w v(t, p) of its parts.
    ///
    /// The transition is where the peak with the greatest heat begins to set; what sets before it expands as a melt. The
    /// melt's constants give the volume there and at `reference`
    /// \[°C\] exactly, without pressure and at 100 MPa. The solid's line is that of all parts solid; what melting adds below
    /// the transition, b₇ exp(b₈ t), is fitted to the volume on cooling, and leaves at most a thousandth of the volume at room temperature. The stiffness of
    /// the solid is illustrative.
    pub fn tait(&self, reference: f64) -> TaitConstants {
        let peaks = self.peaks();
        let main = peaks.iter().max_by(|a, b| a.latent.value.total_cmp(&b.latent.value));
        let sets = main.map_or_else(|| self.setting_range().to, |peak| peak.setting.to);
        let transition = sets.clamp(ROOM + 10.0, reference - 10.0);
        let melt = |t: f64| 1e3 * self.volume_melt(t, 0.0).value;
        // p/B from the relative loss of volume at p: 1 − C ln(1 + p/B).
        let stiffness = |t: f64| 100.0 / ((self.compressibility(t).value * 1e8 / TAIT_C).exponential() - 1.0);
        let (at, there) = (stiffness(transition), stiffness(reference));
        let line = |t: f64| 1e3 * self.volume_room().value * (1.0 + SOLID_EXPANSION * (t - ROOM));
        let (b1m, b1s) = (melt(transition), line(transition));
        let b7 = (b1m - b1s).max(0.0);
        let (mut top, mut bottom) = (0.0, 0.0);
        for i in 1..=40 {
            let below = (ROOM - transition) * f64::from(i) / 40.0;
            let added = 1e3 * self.volume_on_cooling(transition + below) - line(transition + below);
            // Weighted by what is there, so that the flat end decides nothing.
            let weight = added.max(0.0);
            top += weight * below * (added / b7).max(1e-6).logarithm();
            bottom += weight * below * below;
        }
        let least = (b7 / (1e-3 * line(ROOM))).max(1.0).logarithm() / (transition - ROOM);
        let b8 = if bottom > 0.0 { (top / bottom).clamp(least, 5.0) } else { least.max(0.1) };
        let usual = TaitConstants::default();
        TaitConstants {
            b1m,
            b2m: 1e4 * (melt(reference) - b1m) / (reference - transition),
            b3m: at,
            b4m: (1e3 * (at / there).logarithm() / (reference - transition)).max(0.0),
            b5: transition,
            b1s: b1m - b7,
            b2s: 1e4 * (line(transition) - line(ROOM)) / (transition - ROOM),
            b3s: SOLID_STIFFER * at,
            b7,
            b8,
            b9: 1.25 * b8 * usual.b6,
            ..usual
        }
    }

    /// Standard errors of a melt's Tait constants, from the spread of the parts' data: of b₁ₘ \[cm³/g\], of b₂ₘ
    /// \[1e-4 cm³/gK\], and of ln b₃ₘ. The melt expands by δb₂ₘ = Σ w v δβ, and b₃ₘ follows from the loss of volume κ p at
    /// p = 100 MPa as p/(eˣ − 1) with x = κp/C, so δ ln b₃ₘ = x eˣ/(eˣ − 1) δκ/κ.
    pub fn tait_errors(&self, t: &TaitConstants) -> [f64; 3] {
        let expansion = self.by_mass(|p| (0.0, p.specific_volume(t.b5, 0.0) * p.expansion_melt.error()));
        let squeeze = self.compressibility(t.b5);
        let x = squeeze.value * 1e8 / TAIT_C;
        let stiffness = x / -(-x).exponential_m1() * squeeze.error / squeeze.value;
        [1e3 * self.volume_melt(t.b5, 0.0).error, 1e3 * expansion.error, stiffness]
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

    /// Temperature at which the molten share is `share` on cooling \[°C\], by bisection: the share never falls
    /// with temperature.
    pub fn temperature_of_molten(&self, share: f64) -> f64 {
        let ends = |pick: fn(f64, f64) -> f64, of: fn(&BinderPart) -> f64, start: f64| {
            self.parts.iter().map(|(p, _)| of(p)).fold(start, pick)
        };
        let cold = ends(f64::min, |p| Melting::on_cooling(p).from, f64::INFINITY);
        let molten = |t: f64| self.by_mass(|p| (Melting::on_cooling(p).share(t), 0.0)).value;
        bisect(cold, self.melting_end(), 80, |t| molten(t) >= share)
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

    /// The part with at least `least` of the mass that sets first on cooling.
    pub fn first_to_set(&self, least: f64) -> Option<&'static BinderPart> {
        let hotter = |a: &&(&BinderPart, f64), b: &&(&BinderPart, f64)| {
            a.0.crystallises.value.total_cmp(&b.0.crystallises.value)
        };
        self.parts.iter().filter(|(_, w)| *w >= least).max_by(hotter).map(|(p, _)| *p)
    }

    /// The backbone polymer with at least `least` of the mass that sets first on cooling.
    pub fn backbone(&self, least: f64) -> Option<&'static BinderPart> {
        let backbone = |(part, _): &&(&BinderPart, f64)| part.role == PartRole::Backbone;
        Self { parts: self.parts.iter().filter(backbone).copied().collect() }.first_to_set(least)
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
