//! Every number of a scenario, as the page describes it.

use crate::values::document_to_js;
use gatefrost_core::catalogue::{self, Parameter};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A catalogue entry with what the page would otherwise have to work out.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Entry {
    path: String,
    range: String,
    #[serde(flatten)]
    parameter: &'static Parameter,
}

impl Entry {
    /// The entry of a parameter.
    pub fn of(parameter: &'static Parameter) -> Self {
        Self { path: parameter.path(), range: parameter.range_text(), parameter }
    }
}

/// Every number of a scenario: path, title, symbol, unit, range. Help and source are in the page's own `words`.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Entry[]")]
pub fn catalogue() -> Result<JsValue, JsValue> {
    let entries: Vec<Entry> = catalogue::all().map(Entry::of).collect();
    document_to_js(&entries)
}
