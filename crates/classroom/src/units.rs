//! Units as people type them.
//!
//! A unit is a product of named units with whole exponents; what follows a `/` is divided by, up to the next `/`. So
//! `W/mK`, `W/(m·K)` and `W m^-1 K^-1` are the same.

use crate::typed::plain_digit;
use gatefrost_core::units::{INCH_MM, POUND_KG, PSI_MPA};
use gatefrost_formula::{Dimension, Unit};

/// Whose share a per cent is of. `92.99 vol%` is no answer where a share of the mass is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    Anything,
    Volume,
    Mass,
}

/// A unit that was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypedUnit {
    factor: f64,
    offset: f64,
    dimension: Dimension,
    of: Of,
}

const fn base(at: usize) -> [f64; 5] {
    let mut exponents = [0.0; 5];
    exponents[at] = 1.0;
    exponents
}

const NONE: [f64; 5] = [0.0; 5];
const METRE: [f64; 5] = base(0);
const KILOGRAM: [f64; 5] = base(1);
const SECOND: [f64; 5] = base(2);
const KELVIN: [f64; 5] = base(3);
const VOLUME: [f64; 5] = [3.0, 0.0, 0.0, 0.0, 0.0];
const FORCE: [f64; 5] = [1.0, 1.0, -2.0, 0.0, 0.0];
const PRESSURE: [f64; 5] = [-1.0, 1.0, -2.0, 0.0, 0.0];
const ENERGY: [f64; 5] = [2.0, 1.0, -2.0, 0.0, 0.0];
const POWER: [f64; 5] = [2.0, 1.0, -3.0, 0.0, 0.0];

/// Names, factor to SI, dimension. The factor of the atmosphere is exact by definition (NIST SP 811, appendix B).
const NAMED: &[(&str, f64, [f64; 5])] = &[
    ("%", 0.01, NONE),
    ("percent", 0.01, NONE),
    ("ppm", 1e-6, NONE),
    ("m", 1.0, METRE),
    ("dm", 0.1, METRE),
    ("cm", 0.01, METRE),
    ("mm", 1e-3, METRE),
    ("µm", 1e-6, METRE),
    ("nm", 1e-9, METRE),
    ("in", 1e-3 * INCH_MM, METRE),
    ("inch", 1e-3 * INCH_MM, METRE),
    ("ft", 12e-3 * INCH_MM, METRE),
    ("kg", 1.0, KILOGRAM),
    ("g", 1e-3, KILOGRAM),
    ("mg", 1e-6, KILOGRAM),
    ("t", 1e3, KILOGRAM),
    ("lb", POUND_KG, KILOGRAM),
    ("s", 1.0, SECOND),
    ("sec", 1.0, SECOND),
    ("ms", 1e-3, SECOND),
    ("min", 60.0, SECOND),
    ("h", 3600.0, SECOND),
    ("hour", 3600.0, SECOND),
    ("hours", 3600.0, SECOND),
    ("K", 1.0, KELVIN),
    ("mol", 1.0, base(4)),
    ("l", 1e-3, VOLUME),
    ("L", 1e-3, VOLUME),
    ("ml", 1e-6, VOLUME),
    ("mL", 1e-6, VOLUME),
    ("cc", 1e-6, VOLUME),
    ("ccm", 1e-6, VOLUME),
    ("N", 1.0, FORCE),
    ("kN", 1e3, FORCE),
    ("MN", 1e6, FORCE),
    ("Pa", 1.0, PRESSURE),
    ("hPa", 100.0, PRESSURE),
    ("kPa", 1e3, PRESSURE),
    ("MPa", 1e6, PRESSURE),
    ("GPa", 1e9, PRESSURE),
    ("bar", 1e5, PRESSURE),
    ("mbar", 100.0, PRESSURE),
    ("atm", 101_325.0, PRESSURE),
    ("psi", 1e6 * PSI_MPA, PRESSURE),
    ("J", 1.0, ENERGY),
    ("kJ", 1e3, ENERGY),
    ("MJ", 1e6, ENERGY),
    ("W", 1.0, POWER),
    ("kW", 1e3, POWER),
];

impl TypedUnit {
    const PURE: Self = Self { factor: 1.0, offset: 0.0, dimension: Dimension(NONE), of: Of::Anything };

    /// Reads a unit; an empty text is a pure number. `None` for a unit that is not known.
    pub fn read(text: &str) -> Option<Self> {
        let text = tidied(text);
        let kind = |of| Self { factor: 0.01, of, ..Self::PURE };
        match text.to_lowercase().trim_end_matches(['.', '-', ' ']) {
            "vol%" | "vol.%" | "vol-%" | "vol.-%" | "vol %" | "%vol" | "% vol" | "v%" | "v/v%" => {
                return Some(kind(Of::Volume));
            }
            "wt%" | "wt.%" | "wt-%" | "wt.-%" | "wt %" | "%wt" | "% wt" | "mass%" | "mass-%" | "mass %"
            | "m%" | "ma%" | "ma.-%" | "w%" | "gew%" | "gew.-%" => return Some(kind(Of::Mass)),
            "°c" | "degc" | "deg c" | "celsius" => {
                return Some(Self { offset: 273.15, dimension: Dimension(KELVIN), ..Self::PURE });
            }
            "°f" | "degf" | "deg f" | "fahrenheit" => {
                return Some(Self {
                    factor: 5.0 / 9.0,
                    offset: 459.67,
                    dimension: Dimension(KELVIN),
                    ..Self::PURE
                });
            }
            _ => {}
        }
        let mut unit = Self::PURE;
        for (at, part) in text.split('/').enumerate() {
            let power = if at == 0 { 1.0 } else { -1.0 };
            unit = unit.times(product(part, at > 0)?, power);
        }
        Some(unit)
    }

    fn times(self, other: Self, power: f64) -> Self {
        let factor = if power < 0.0 { self.factor / other.factor } else { self.factor * other.factor };
        Self { factor, dimension: self.dimension.times(other.dimension, power), ..self }
    }

    /// The value in SI of a number in this unit.
    pub fn to_si(self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// Whether a number in this unit can be an answer in `wanted`.
    pub fn fits(self, wanted: Unit) -> bool {
        let of = match wanted.sign {
            "vol%" => Of::Volume,
            "wt%" => Of::Mass,
            _ => Of::Anything,
        };
        let same_share = self.of == Of::Anything || self.of == of;
        same_share && self.dimension.is(wanted.dimension)
    }
}

/// The text with one sign for each thing.
fn tidied(text: &str) -> String {
    let mut tidy = String::new();
    for c in text.trim().chars() {
        match c {
            '*' | '⋅' | '×' | '\u{a0}' | '\u{202f}' => tidy.push('·'),
            'μ' => tidy.push('µ'),
            '^' => {}
            '℃' => tidy.push_str("°C"),
            '℉' => tidy.push_str("°F"),
            _ if !c.is_ascii() && plain_digit(c).is_some() => tidy.extend(plain_digit(c)),
            _ => tidy.push(c),
        }
    }
    tidy
}

/// A product of named units with exponents. `1` stands for nothing before a `/`. Behind one, brackets may stand around it.
fn product(text: &str, divides: bool) -> Option<TypedUnit> {
    let text = text.trim();
    let inside = text.strip_prefix('(').and_then(|text| text.strip_suffix(')'));
    let text = if divides { inside.unwrap_or(text) } else { text };
    let mut unit = TypedUnit::PURE;
    if !divides && (text.is_empty() || text == "1") {
        return Some(unit);
    }
    let mut found = false;
    for word in text.split(['·', ' ', '.']).filter(|word| !word.is_empty()) {
        unit = power(word)?.into_iter().fold(unit, |unit, (named, exponent)| {
            (0..exponent.unsigned_abs()).fold(unit, |unit, _| unit.times(named, f64::from(exponent.signum())))
        });
        found = true;
    }
    found.then_some(unit)
}

/// Named units with their exponents in a word such as `mm2`, `s-1` or `mK`.
fn power(word: &str) -> Option<Vec<(TypedUnit, i32)>> {
    let found = |name: &str| {
        let name = if name == "um" { "µm" } else { name };
        let (_, factor, dimension) = NAMED.iter().find(|(known, ..)| *known == name)?;
        Some(TypedUnit { factor: *factor, dimension: Dimension(*dimension), ..TypedUnit::PURE })
    };
    let end = word.find(|c: char| c.is_ascii_digit() || c == '-' || c == '+').unwrap_or(word.len());
    let (name, exponent) = word.split_at(end);
    // The kelvin of `m2K` follows the exponent of another unit.
    if let Some(inner) = word.strip_suffix('K').filter(|_| end < word.len()) {
        let mut units = power(inner)?;
        units.push((found("K")?, 1));
        return Some(units);
    }
    let exponent: i32 =
        if exponent.is_empty() { 1 } else { exponent.parse().ok().filter(|e: &i32| e.abs() <= 9)? };
    if let Some(named) = found(name) {
        return Some(vec![(named, exponent)]);
    }
    // Units written without a sign between them, the exponent being of the last: mK, Pas.
    let pair = |last: &str| Some((found(name.strip_suffix(last)?)?, found(last)?));
    let (first, last) = pair("K").or_else(|| pair("s"))?;
    Some(vec![(first, 1), (last, exponent)])
}

/// A share of the mass. The catalogue of formulas has that of the volume.
pub const MASS_PERCENT: Unit = Unit::new("wt%", 0.01, NONE);
/// Density as powder people tell it.
pub const G_CM3: Unit = Unit::new("g/cm³", 1e3, [-3.0, 1.0, 0.0, 0.0, 0.0]);
/// Mass.
pub const KG: Unit = Unit::new("kg", 1.0, KILOGRAM);
/// Torque of a mixer.
pub const N_M: Unit = Unit::new("N·m", 1.0, ENERGY);
#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_formula::unit;

    fn si(value: f64, text: &str) -> f64 {
        TypedUnit::read(text).unwrap_or_else(|| panic!("{text}")).to_si(value)
    }

    #[test]
    fn one_unit_may_be_written_in_several_ways() {
        for texts in [
            ["1/s", "/s", "s^-1", "s⁻¹"],
            ["g/cm3", "g/cm³", "g cm^-3", "g·cm⁻³"],
            ["W/mK", "W/(m·K)", "W/m/K", "W m^-1 K^-1"],
            ["W/m2K", "W/m²K", "W/(m² K)", "W m-2 K-1"],
            ["Pa·s", "Pa s", "Pas", "Pa*s"],
            ["µm", "um", "μm", "1e-3 mm"],
            ["cm³/s", "cm3/s", "ml/s", "ccm/s"],
        ] {
            let of = |text: &str| TypedUnit::read(text).map(|unit| (unit.to_si(1.0), unit.dimension));
            let first = of(texts[0]).expect("a unit");
            for text in texts.iter().filter(|text| !text.starts_with("1e")) {
                let (factor, dimension) = of(text).unwrap_or_else(|| panic!("{text}"));
                assert!((factor / first.0 - 1.0).abs() < 1e-12 && dimension.is(first.1), "{text}");
            }
        }
        for unknown in ["furlong", "m/", "kg/", "mx", "s^99", "(m", "%%", "m//s"] {
            assert_eq!(TypedUnit::read(unknown), None, "{unknown}");
        }
    }

    #[test]
    fn values_come_out_in_si() {
        for (value, unit, expected) in [
            (2.82, "h", 10152.0),
            (25.4, "mm", 0.0254),
            (1.0, "in", 0.0254),
            (14.503_773_8, "psi", 1e5),
            (5.13, "g/cm³", 5130.0),
            (60.0, "°C", 333.15),
            (140.0, "°F", 333.15),
            (92.99, "wt%", 0.9299),
            (0.93, "", 0.93),
        ] {
            assert!((si(value, unit) / expected - 1.0).abs() < 1e-8, "{value} {unit}");
        }
    }

    #[test]
    fn a_share_of_the_volume_is_no_share_of_the_mass() {
        let fits = |text: &str, wanted| TypedUnit::read(text).is_some_and(|unit| unit.fits(wanted));
        assert!(fits("wt%", MASS_PERCENT) && fits("%", MASS_PERCENT) && fits("", MASS_PERCENT));
        assert!(!fits("vol%", MASS_PERCENT) && !fits("wt%", unit::VOLUME_PERCENT));
        assert!(!fits("vol%", unit::PERCENT), "a plain per cent is of something else");
        assert!(!fits("kg", unit::MM));
    }
}
