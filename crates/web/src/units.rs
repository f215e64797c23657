//! The units in which the page shows its numbers.

use crate::values::{document_to_js, failed};
use gatefrost_core::document;
use gatefrost_core::units::Units;
use serde::Serialize;
use wasm_bindgen::prelude::*;

#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct UnitSet {
    name: Units,
    title: &'static str,
}

/// The sets of units that a reader may choose from: `[{name, title}]`, the catalogue's own first.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.UnitSet[]")]
pub fn unit_sets() -> Result<JsValue, JsValue> {
    document_to_js(&Units::ALL.map(|name| UnitSet { name, title: name.title() }))
}

/// What a set of units shows in other units than the catalogue's: `[{edge, unit, factor, offset}]`, where
/// `shown = edge · factor + offset`.
///
/// # Errors
/// When there is no such set.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Shown[]")]
pub fn unit_table(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.Units")] units: &str,
) -> Result<JsValue, JsValue> {
    document_to_js(&named(units)?.table())
}

/// A sentence with its quantities in another set of units.
///
/// # Errors
/// When there is no such set.
#[wasm_bindgen]
pub fn restated(
    sentence: &str,
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.Units")] units: &str,
) -> Result<String, JsValue> {
    Ok(named(units)?.restated(sentence))
}

/// A set of units by its name.
///
/// # Errors
/// When there is no such set.
pub fn named(units: &str) -> Result<Units, JsValue> {
    document::read(&format!("\"{units:.20}\"")).map_err(failed)
}
