//! Numbers as people type and read them.

use crate::values::document_to_js;
use gatefrost_core::units::Units;
use gatefrost_core::{catalogue, format};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// What was typed: a value, or why it is not one.
#[derive(Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Entered {
    /// In the unit of the catalogue; `None` for an empty field that may be empty, and where there is a message.
    pub value: Option<f64>,
    /// Why it is not accepted.
    pub message: Option<String>,
}

/// Reads what was typed into the field of a parameter: `{value, message}`. A decimal comma or point,
/// spaces around and between groups of digits, and a power of ten are understood. An empty field is a
/// value (`null`) where the parameter may be absent.
///
/// # Errors
/// Only when the browser cannot hold the answer.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Entered")]
pub fn checked_number(path: &str, text: &str) -> Result<JsValue, JsValue> {
    document_to_js(&check(path, text))
}

fn check(path: &str, text: &str) -> Entered {
    let Some(parameter) = catalogue::at(path) else {
        return refused(format!("{path:.80} is not a number of the scenario"));
    };
    if text.trim().is_empty() && parameter.default.is_none() {
        return Entered { value: None, message: None };
    }
    let accepted = format!("accepted is {}", parameter.accepted());
    if text.trim().is_empty() {
        return refused(format!("{} is empty; {accepted}", parameter.title));
    }
    match typed_number(text) {
        Some(value) if parameter.accepts(value) => Entered { value: Some(value), message: None },
        Some(value) => {
            let value = format!("{} {}", format::number(value, 10), parameter.unit);
            refused(format!("{} is {}; {accepted}", parameter.title, value.trim_end()))
        }
        None => refused(format!(
            "{} is “{}”, which is not a number; {accepted}",
            parameter.title,
            format::shortened(text.trim(), 40)
        )),
    }
}

/// Reads a tolerance as people type it: `±0.3 %` is that share of a size \[mm\]; `0.075 mm`, `75 µm` and `0.003 in` are
/// lengths, and a number alone is one in the units in use. Its value is in mm, within the range of the catalogue.
pub fn tolerance(text: &str, size: f64, units: Units) -> Entered {
    const PATH: &str = "sizes.dimensions.*.tolerance";
    let typed = text.trim();
    let bare = ["±", "+/-", "+-"].iter().find_map(|sign| typed.strip_prefix(sign)).unwrap_or(typed);
    let unit =
        bare.trim_start_matches(|c: char| c.is_ascii_digit() || c.is_whitespace() || ".,+-−eE".contains(c));
    let number = bare[..bare.len() - unit.len()].trim_end_matches(['e', 'E']);
    let Some(value) = typed_number(number) else { return check(PATH, text) };
    let mm = match unit.trim().to_lowercase().as_str() {
        "%" => value * size / 100.0,
        "" => units.shown("mm").edge(value),
        "mm" => value,
        "µm" | "μm" | "um" => value / 1e3,
        "in" | "inch" | "\"" | "″" => Units::Inch.shown("mm").edge(value),
        other => {
            let unit = format::shortened(other, 20);
            return refused(format!("Tolerance ± has the unit “{unit}”; accepted are %, mm, µm and in"));
        }
    };
    check(PATH, &format::number(mm, 10))
}

fn refused(message: String) -> Entered {
    Entered { value: None, message: Some(message) }
}

/// A number as people type it, or NaN.
#[wasm_bindgen]
pub fn number_typed(text: &str) -> f64 {
    typed_number(text).unwrap_or(f64::NAN)
}

/// A typed number, with comma or point. Both in one number would leave open which of them groups
/// thousands, so that is no number.
fn typed_number(text: &str) -> Option<f64> {
    let plain: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            ',' => '.',
            '−' => '-',
            other => other,
        })
        .collect();
    let digits_only = plain.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    if !digits_only {
        return None;
    }
    format::parsed(&plain)
}

/// A number for reading, to so many significant digits.
#[wasm_bindgen]
pub fn format_number(value: f64, digits: u8) -> String {
    format::number(value, usize::from(digits)).replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(path: &str, text: &str) -> Option<f64> {
        let entered = check(path, text);
        assert_eq!(entered.message, None, "{text}");
        entered.value
    }

    #[test]
    fn comma_point_spaces_and_powers_are_understood() {
        assert_eq!(value("setup.melt_temperature", "172,5"), Some(172.5));
        assert_eq!(value("setup.melt_temperature", " 172.5 "), Some(172.5));
        assert_eq!(value("limits.shear_rate", "100 000"), Some(1e5));
        assert_eq!(value("feedstock.flow_law.cross_wlf.d1", "2,1e11"), Some(2.1e11));
        assert_eq!(value("feedstock.flow_law.cross_wlf.d2", "−10"), Some(-10.0));
        assert_eq!(value("cavity.passages.0.form.tube.diameter_end", " "), None);
    }

    #[test]
    fn what_is_refused_names_field_value_and_range() {
        for (text, shown) in [
            ("900", "is 900"),
            ("abc", "“abc”"),
            ("1,000.5", "“1,000.5”"),
            ("NaN", "“NaN”"),
            ("inf", "“inf”"),
            ("1e999", "“1e999”"),
            ("", "is empty"),
            ("1.2.3", "“1.2.3”"),
        ] {
            let entered = check("setup.melt_temperature", text);
            let message = entered.message.unwrap_or_default();
            assert_eq!(entered.value, None, "{text}");
            assert!(message.starts_with("Melt temperature"), "{message}");
            assert!(message.contains(shown) && message.contains("20 to 450 °C"), "{message}");
        }
        assert!(check("cavity.passages.0.copies", "1.5").message.is_some_and(|m| m.contains("whole")));
        assert!(check("setup.nonsense", "1").message.is_some());
    }

    /// 0.3 % of 25 mm is 0.075 mm; an inch is 25.4 mm. Each wrong text would be a part outside its tolerance.
    #[test]
    fn a_tolerance_is_a_length_or_a_share_of_the_size() {
        let of = |text: &str, units| tolerance(text, 25.0, units);
        for text in ["±0.3 %", "0,3%", "+/- 0.3 %", "0.075", "± 0.075 mm", "75 µm", "75um", "7.5e-2mm"] {
            assert_eq!(of(text, Units::Si).value, Some(0.075), "{text}");
        }
        for text in ["0.003", "0.003 in", "±0.003\"", "0.0762 mm", "0.3048 %"] {
            assert_eq!(of(text, Units::Inch).value, Some(0.0762), "{text}");
        }
        for (text, said) in [
            ("0.3 furlongs", "the unit “furlongs”; accepted are %, mm, µm and in"),
            ("%", "is “%”, which is not a number"),
            ("-0.1", "is -0.1 mm; accepted is"),
            ("500 %", "is 125 mm; accepted is"),
            ("", "is empty"),
        ] {
            let message = of(text, Units::Si).message.unwrap_or_default();
            assert!(message.starts_with("Tolerance ±") && message.contains(said), "{text}: {message}");
        }
    }
}
