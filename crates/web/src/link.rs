//! The scenario that a page opens with, and what is wrong with one.

use crate::values::{document_to_js, read};
use gatefrost_core::scenario::{Earlier, Problem, Scenario, link};
use serde::Serialize;
use wasm_bindgen::prelude::*;

#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct Opened {
    scenario: Scenario,
    demo: &'static str,
    /// How many entries of the link are in it.
    kept: usize,
    /// Whether the demo's name is all that is in it.
    only_demo: bool,
    problems: Vec<Problem>,
    /// How many more entries were left out than have a problem here.
    unlisted: usize,
    /// What is said of a link of an earlier version.
    earlier: Option<Earlier>,
}

/// Opens the text behind `#` in a link. Always gives a valid scenario, and says what it could not
/// read.
///
/// # Errors
/// Only when the browser cannot hold the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Opened")]
pub fn open_link(text: &str) -> Result<JsValue, JsValue> {
    let link::Opened { scenario, demo, kept, only_demo, problems, unlisted, earlier } = link::decode(text);
    document_to_js(&Opened { scenario, demo, kept, only_demo, problems, unlisted, earlier })
}

/// The text behind `#` that opens this scenario again.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn link_of(scenario: &str) -> Result<String, JsValue> {
    Ok(link::encode(&read(scenario)?))
}

/// All that is wrong with a scenario, as a list of `{path, message}`; empty when it can be computed.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Problem[]")]
pub fn problems_of(scenario: &str) -> Result<JsValue, JsValue> {
    let checked = Scenario::from_json(scenario).and_then(|s| s.validate_plane());
    let problems = checked.err().map_or_else(Vec::new, |e| e.problems);
    document_to_js(&problems)
}
