//! The library of powders and binder parts: data files, read once.
//!
//! `data/materials/powders.json` and `binders.json` hold the numbers, each with its range, unit and
//! source; nothing here knows any of them.

use gatefrost_core::document;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// 0 °C in kelvin.
pub(super) const ZERO_CELSIUS: f64 = gatefrost_core::feedstock::ZERO_CELSIUS;
/// Constant C of the Tait equation.
pub(super) const TAIT_C: f64 = 0.0894;

/// How a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum How {
    /// Seen in the source's own text.
    #[serde(rename = "read")]
    Read,
    /// Returned by the named package.
    #[serde(rename = "package")]
    Package,
    /// Not verified.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Customary in the trade.
    #[serde(rename = "common practice")]
    CommonPractice,
}

/// A number with its range and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// The value to use.
    pub value: f64,
    /// Low end of the range.
    pub low: f64,
    /// High end of the range.
    pub high: f64,
    /// Unit.
    pub unit: String,
    /// Source, in words.
    pub source: String,
    /// How it is known.
    pub how: How,
    /// Temperature it holds at \[°C\], where that matters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<f64>,
}

impl Value {
    /// Standard error: the range is read as four of them (about 95 % of a normal spread).
    pub fn error(&self) -> f64 {
        (self.high - self.low) / 4.0
    }

    /// Standard error of the logarithm, for values that spread by a factor.
    pub fn log_error(&self) -> f64 {
        (self.high / self.low).logarithm() / 4.0
    }
}

/// A powder; properties of the solid at room temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Powder {
    /// Key used by recipes.
    pub key: String,
    /// Name in words.
    pub name: String,
    /// Words by which people speak of it, most of all in names.
    pub words: Vec<String>,
    /// Metal, ceramic or cermet.
    pub kind: PowderKind,
    /// Density of the solid \[kg/m³\].
    pub density: Value,
    /// Specific heat \[J/kgK\].
    pub heat_capacity: Value,
    /// Thermal conductivity \[W/mK\].
    pub conductivity: Value,
    /// Median particle size \[µm\].
    pub particle_size: Value,
    /// Critical loading of a usual lot [vol%].
    pub critical_loading: Value,
    /// Relative density after sintering [%].
    pub sintered_density: Value,
    /// What to beware of; data sheets and local codes go before it.
    pub caution: String,
}

/// What a powder is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum PowderKind {
    /// Metal.
    Metal,
    /// Ceramic.
    Ceramic,
    /// Hard metal: carbide in a metal.
    Cermet,
}

/// What a binder part does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum PartRole {
    /// Thin melt that makes the feedstock flow and is taken out first.
    FillerWax,
    /// Polymer that holds the part together until it sinters.
    Backbone,
    /// Wets the powder.
    Surfactant,
}

/// A part of a binder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct BinderPart {
    /// Key used by recipes.
    pub key: String,
    /// Name in words.
    pub name: String,
    /// What it does.
    pub role: PartRole,
    /// How it is taken out of a green part.
    pub debinding: String,
    /// Density at 20 °C \[kg/m³\].
    pub density_room: Value,
    /// Density of the melt \[kg/m³\].
    pub density_melt: Value,
    /// Volume expansion of the melt \[1e-4/K\].
    pub expansion_melt: Value,
    /// Relative loss of volume of the melt per pressure, mean up to 100 MPa \[1/GPa\].
    pub compressibility: Value,
    /// Specific heat of the solid \[J/kgK\].
    pub heat_capacity_solid: Value,
    /// Specific heat of the melt \[J/kgK\].
    pub heat_capacity_melt: Value,
    /// Thermal conductivity \[W/mK\].
    pub conductivity: Value,
    /// Where melting begins on heating \[°C\].
    pub melting_from: Value,
    /// Where it is complete \[°C\].
    pub melting_to: Value,
    /// Where it begins to set on cooling \[°C\].
    pub crystallises: Value,
    /// Latent heat of melting [kJ/kg].
    pub latent_heat: Value,
    /// Where decomposition sets in \[°C\].
    pub decomposition: Value,
    /// Low-rate viscosity of the melt \[Pa·s\].
    pub viscosity: Value,
    /// Flow activation energy [kJ/mol].
    pub activation_energy: Value,
    /// Tait constants of the melt, where published.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tait: Option<Tait>,
    /// What to beware of; data sheets and local codes go before it.
    pub caution: String,
    /// Anything else worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl BinderPart {
    /// Specific volume of the melt \[m³/kg\] at `t` \[°C\] and `p` \[Pa\]: Tait where its constants are
    /// published, else linear in temperature and pressure from the melt density.
    pub fn specific_volume(&self, t: f64, p: f64) -> f64 {
        if let Some(tait) = &self.tait {
            return tait.specific_volume(t, p);
        }
        let warmer = t - self.density_melt.at.unwrap_or(t);
        (1.0 + self.expansion_melt.value * 1e-4 * warmer) * (1.0 - self.compressibility.value * 1e-9 * p)
            / self.density_melt.value
    }

    /// Low-rate viscosity of the melt \[Pa·s\] at `t` \[°C\]: η = η₁ exp[(E/R)(1/T − 1/T₁)].
    pub fn melt_viscosity(&self, t: f64) -> f64 {
        self.viscosity.value
            * (self.activation_energy.value * 1e3 / R * self.inverse_distance(t)).exponential()
    }

    /// 1/T − 1/T₁ \[1/K\], T₁ being where the viscosity is known.
    pub(super) fn inverse_distance(&self, t: f64) -> f64 {
        let at = self.viscosity.at.unwrap_or(t);
        1.0 / (t + ZERO_CELSIUS) - 1.0 / (at + ZERO_CELSIUS)
    }
}

/// Constants of the Tait equation of a melt, V = V₀[1 − 0.0894 ln(1 + p/B)],
/// V₀ = A₀ + A₁t + A₂t² \[m³/kg\], B = B₀ exp(−B₁t) \[Pa\], t in °C.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Tait {
    /// A₀ \[m³/kg\].
    pub a0: f64,
    /// A₁ \[m³/kgK\].
    pub a1: f64,
    /// A₂ \[m³/kgK²\].
    pub a2: f64,
    /// B₀ \[Pa\].
    pub b0: f64,
    /// B₁ \[1/K\].
    pub b1: f64,
    /// Lower end of the range of validity \[°C\].
    pub from_c: f64,
    /// Upper end \[°C\].
    pub to_c: f64,
    /// Source, in words.
    pub source: String,
    /// How it is known.
    pub how: How,
}

impl Tait {
    /// Specific volume \[m³/kg\] at `t` \[°C\] and `p` \[Pa\].
    pub fn specific_volume(&self, t: f64, p: f64) -> f64 {
        let b = self.b0 * (-self.b1 * t).exponential();
        (self.a0 + self.a1 * t + self.a2 * t * t) * (1.0 - TAIT_C * (p / b).logarithm_1p())
    }
}

/// Every powder of the library.
pub fn powders() -> &'static [Powder] {
    &POWDERS.rows
}

/// Every binder part of the library.
pub fn binders() -> &'static [BinderPart] {
    &BINDERS.rows
}

/// The powder of that key.
pub fn powder(key: &str) -> Option<&'static Powder> {
    powders().iter().find(|p| p.key == key)
}

/// The binder part of that key.
pub fn binder(key: &str) -> Option<&'static BinderPart> {
    binders().iter().find(|p| p.key == key)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
struct LibraryFile<T> {
    #[serde(rename = "about")]
    _about: String,
    rows: Vec<T>,
}

static POWDERS: LazyLock<LibraryFile<Powder>> = LazyLock::new(|| {
    document::read(include_str!("../../data/materials/powders.json")).expect("a test reads every row")
});

static BINDERS: LazyLock<LibraryFile<BinderPart>> = LazyLock::new(|| {
    document::read(include_str!("../../data/materials/binders.json")).expect("a test reads every row")
});
