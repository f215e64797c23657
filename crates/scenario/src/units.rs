//! The units in which a reader sees numbers.
//!
//! Scenarios, files and links hold the units of the catalogue, the edge units. A reader may choose these, or the units of
//! a gauge in bar or of an inch drawing. Constants of materials other than pressures, lengths and temperatures are not
//! converted.

use crate::format::{number, parsed};
use serde::{Deserialize, Serialize};

/// A set of units.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Those of the catalogue: MPa, °C, mm, kN.
    #[default]
    Si,
    /// The same with pressures in bar.
    Bar,
    /// psi, °F, inches and US short tons-force.
    Inch,
}

/// How an edge unit is shown: `shown = edge · factor + offset`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Shown<'a> {
    /// The edge unit.
    pub edge: &'a str,
    /// The unit shown in its place.
    pub unit: &'a str,
    /// Units shown in one edge unit.
    pub factor: f64,
    /// Shown value of zero in the edge unit.
    pub offset: f64,
}

impl Shown<'_> {
    /// The shown value of an edge value.
    pub fn of(&self, edge: f64) -> f64 {
        edge * self.factor + self.offset
    }

    /// The edge value of a shown value.
    pub fn edge(&self, shown: f64) -> f64 {
        (shown - self.offset) / self.factor
    }
}

const fn scaled(edge: &'static str, unit: &'static str, factor: f64) -> Shown<'static> {
    Shown { edge, unit, factor, offset: 0.0 }
}

/// An inch in mm, exact by definition.
pub const INCH_MM: f64 = 25.4;
/// A pound in kg, exact by definition.
pub const POUND_KG: f64 = 0.453_592_37;
/// lbf/in² in MPa: 0.453 592 37 kg · 9.806 65 m/s² over a square inch, all exact by definition (NIST
/// SP 811, appendix B).
pub const PSI_MPA: f64 = POUND_KG * 9.806_65 / (INCH_MM * INCH_MM);
/// 2000 lbf in kN.
const TON_FORCE_KN: f64 = 2.0 * POUND_KG * 9.806_65;
/// 231 cubic inches in litres.
const GALLON_L: f64 = 231.0 * INCH_MM * INCH_MM * INCH_MM * 1e-6;

static BAR: [Shown<'static>; 1] = [scaled("MPa", "bar", 10.0)];
static INCH: [Shown<'static>; 11] = [
    scaled("MPa", "psi", 1.0 / PSI_MPA),
    Shown { edge: "°C", unit: "°F", factor: 1.8, offset: 32.0 },
    // A difference of temperatures.
    scaled("K", "°F", 1.8),
    scaled("mm", "in", 1.0 / INCH_MM),
    scaled("cm²", "in²", 100.0 / (INCH_MM * INCH_MM)),
    scaled("cm³", "in³", 1e3 / (INCH_MM * INCH_MM * INCH_MM)),
    scaled("cm³/s", "in³/s", 1e3 / (INCH_MM * INCH_MM * INCH_MM)),
    scaled("kN", "tonf", 1.0 / TON_FORCE_KN),
    scaled("m/s", "ft/s", 1e3 / (12.0 * INCH_MM)),
    scaled("L/min", "gal/min", 1.0 / GALLON_L),
    scaled("mm/s", "in/s", 1.0 / INCH_MM),
];

impl Units {
    /// Every set of units, the catalogue's first.
    pub const ALL: [Self; 3] = [Self::Si, Self::Bar, Self::Inch];

    /// The units in a few words.
    pub fn title(self) -> &'static str {
        match self {
            Self::Si => "MPa, °C, mm",
            Self::Bar => "bar, °C, mm",
            Self::Inch => "psi, °F, inch",
        }
    }

    /// The conversions of units other than the catalogue's.
    pub fn table(self) -> &'static [Shown<'static>] {
        match self {
            Self::Si => &[],
            Self::Bar => &BAR,
            Self::Inch => &INCH,
        }
    }

    /// The conversion of values in `edge`.
    pub fn shown<'a>(self, edge: &'a str) -> Shown<'a> {
        let itself = Shown { edge, unit: edge, factor: 1.0, offset: 0.0 };
        self.table().iter().find(|s| s.edge == edge).copied().unwrap_or(itself)
    }

    /// A sentence with its quantities in these units: each number before a unit of the catalogue, and both ends of
    /// `20 to 450 °C`. The number of digits is kept, from three to six.
    pub fn restated(self, sentence: &str) -> String {
        if self.table().is_empty() {
            return sentence.to_owned();
        }
        let mut words: Vec<String> = sentence.split(' ').map(str::to_owned).collect();
        for i in 1..words.len() {
            let bare = words[i].trim_end_matches(|c: char| ".,;:)?".contains(c));
            let Some(shown) = self.table().iter().find(|s| s.edge == bare) else { continue };
            let Some(value) = restated(&words[i - 1], shown) else { continue };
            let tail = words[i][bare.len()..].to_owned();
            words[i] = format!("{}{tail}", shown.unit);
            words[i - 1] = value;
            if i >= 3
                && matches!(words[i - 2].as_str(), "to" | "and" | "or")
                && let Some(value) = restated(&words[i - 3], shown)
            {
                words[i - 3] = value;
            }
        }
        words.join(" ")
    }
}

/// A number in a text, converted; `None` if it is not a number. A bracket before it and a comma after it stay.
fn restated(word: &str, shown: &Shown<'_>) -> Option<String> {
    let unled = word.trim_start_matches(['(', '“', '±']);
    let text = unled.trim_end_matches(',');
    let (lead, tail) = (&word[..word.len() - unled.len()], &unled[text.len()..]);
    let value = parsed(&text.replace('−', "-"))?;
    let digits = text.split(['e', 'E']).next().unwrap_or(text);
    let digits = digits.trim_start_matches(['−', '-', '+', '0', '.']).chars().filter(char::is_ascii_digit);
    let value = number(shown.of(value), digits.count().clamp(3, 6));
    let value =
        if text.starts_with('−') || !text.starts_with('-') { value.replace('-', "−") } else { value };
    Some(format!("{lead}{value}{tail}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue;

    /// Against `scipy.constants` 1.14: psi, pound_force, inch, foot, gallon (US) and the scales of
    /// temperature.
    #[test]
    fn factors_are_those_of_the_reference() {
        let inch = |unit, value| Units::Inch.shown(unit).of(value);
        for (ours, theirs) in [
            (inch("MPa", 6_894.757_293_168_361e-6), 1.0),
            (inch("kN", 2.0 * 4.448_221_615_260_5), 1.0),
            (inch("mm", 25.4), 1.0),
            (inch("m/s", 0.304_8), 1.0),
            (inch("L/min", 3.785_411_784), 1.0),
            (inch("cm³", 16.387_064), 1.0),
            (inch("cm²", 6.451_6), 1.0),
            (inch("°C", 37.0), 98.6),
            (inch("°C", -40.0), -40.0),
            (inch("K", 5.0), 9.0),
            (Units::Bar.shown("MPa").of(0.1), 1.0),
        ] {
            assert!((ours / theirs - 1.0).abs() < 1e-12, "{ours} is not {theirs}");
        }
    }

    #[test]
    fn what_is_shown_reads_back() {
        for units in Units::ALL {
            for parameter in catalogue::all() {
                let view = units.shown(parameter.unit);
                for value in [parameter.min, parameter.max] {
                    let back = view.edge(view.of(value));
                    assert!((back - value).abs() <= 1e-12 * value.abs().max(100.0), "{}", parameter.path());
                }
            }
        }
    }

    #[test]
    fn sentences_are_restated_quantity_by_quantity() {
        let of = |text| Units::Inch.restated(text);
        assert_eq!(of("accepted is 20 to 450 °C."), "accepted is 68 to 842 °F.");
        assert_eq!(
            of("at most 80 MPa is allowed: not met by 5 K, so cold"),
            "at most 11600 psi is allowed: not met by 9 °F, so cold"
        );
        assert_eq!(of("Nearest at 165 °C, 0.4 s (0.05 mm)"), "Nearest at 329 °F, 0.4 s (0.00197 in)");
        assert_eq!(of("coarser than 20 µm; 3 K and MPa"), "coarser than 20 µm; 5.4 °F and MPa");
        assert_eq!(of("from −40 to 0 °C"), "from −40 to 32 °F");
        assert_eq!(Units::Si.restated("20 °C"), "20 °C");
        assert_eq!(Units::Bar.restated("112.5 MPa, 20 °C"), "1125 bar, 20 °C");
    }
}
