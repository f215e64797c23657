//! Numbers as people type and read them.

use crate::values::document_to_js;
use gatefrost_core::{catalogue, format};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// What was typed: a value, or why it is not one.
#[derive(Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct Entered {
    value: Option<f64>,
    message: Option<String>,
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
}
