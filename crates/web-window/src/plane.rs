//! The plane that the window is drawn in, and the set point in it.

use gatefrost_core::document;
use gatefrost_core::scenario::{Axis, Scenario, Span};
use gatefrost_web::catalogue::Entry;
use gatefrost_web::values::{document_to_js, failed, to_js};
use serde::Serialize;
use wasm_bindgen::prelude::*;

#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct AxisEntry {
    axis: Axis,
    #[serde(flatten)]
    entry: Entry,
    logarithmic: bool,
}

/// The settings that may span the window, described as the numbers of the catalogue are.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.AxisEntry[]")]
pub fn axes() -> Result<JsValue, JsValue> {
    let entries: Vec<AxisEntry> = Axis::ALL
        .into_iter()
        .map(|axis| AxisEntry { axis, entry: Entry::of(axis.parameter()), logarithmic: axis.logarithmic() })
        .collect();
    document_to_js(&entries)
}

/// Where the set point stands on the two sides of the window, in edge units; `null` where a scenario has
/// no such setting.
///
/// # Errors
/// When it is no scenario.
#[wasm_bindgen(unchecked_return_type = "[number | null, number | null]")]
pub fn set_point(scenario: &str) -> Result<JsValue, JsValue> {
    let scenario: Scenario = document::read(scenario).map_err(failed)?;
    to_js(&scenario.window.place_of(&scenario))
}

/// The numbers that change when the set point is moved to values on the two sides, as `[path, value]`.
///
/// # Errors
/// When it is no scenario.
#[wasm_bindgen(unchecked_return_type = "[string, number][]")]
pub fn moves(scenario: &str, x: f64, y: f64) -> Result<JsValue, JsValue> {
    let scenario: Scenario = document::read(scenario).map_err(failed)?;
    let window = &scenario.window;
    document_to_js(&scenario.moves(&[(window.x.axis, x), (window.y.axis, y)]))
}

/// Value at a fraction 0..1 of a side of the window, given as its JSON; NaN for one that cannot be
/// read.
#[wasm_bindgen]
pub fn value_at(span: &str, fraction: f64) -> f64 {
    document::read::<Span>(span).map_or(f64::NAN, |s| s.at(fraction))
}

/// Fraction of a side of the window at which a value lies; NaN for one that cannot be read.
#[wasm_bindgen]
pub fn fraction_of(span: &str, value: f64) -> f64 {
    document::read::<Span>(span).map_or(f64::NAN, |s| s.fraction(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_of_the_window_reads_both_ways() {
        let span = r#"{"axis":"injection_time","from":0.05,"to":5}"#;
        assert!((value_at(span, 0.5) - 0.5).abs() < 1e-12);
        assert!((fraction_of(span, 0.5) - 0.5).abs() < 1e-12);
        assert!(value_at("{}", 0.5).is_nan());
    }
}
