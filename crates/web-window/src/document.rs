//! Scenarios as documents, links and demos, and new pieces of them.

use gatefrost_core::document;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{FlowLaw, Form, Passage, PvtLaw, Scenario, demo};
use gatefrost_web::values::{document_to_js, failed, read};
use serde::Serialize;
use wasm_bindgen::prelude::*;

#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct DemoEntry {
    name: &'static str,
    title: String,
    earlier: bool,
}

/// The worked demos: short name, title, and whether a better one stands in its place; the first is the one a new user sees.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.DemoEntry[]")]
pub fn demos() -> Result<JsValue, JsValue> {
    let entry = |d: &demo::Demo| DemoEntry { name: d.name, title: d.scenario().name, earlier: d.earlier };
    let entries: Vec<DemoEntry> = demo::DEMOS.iter().map(entry).collect();
    document_to_js(&entries)
}

/// A passage of a shape ("tube", "strip" or "disc") with the catalogue's default sizes.
///
/// # Errors
/// When there is no such shape.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Passage")]
pub fn new_passage(shape: &str) -> Result<JsValue, JsValue> {
    document_to_js(&passage_of(shape).ok_or_else(|| unknown(shape))?)
}

/// A word that names nothing here.
fn unknown(word: &str) -> JsValue {
    failed(format!("there is no {word:.40}"))
}

fn passage_of(shape: &str) -> Option<Passage> {
    Form::named(shape).map(|form| Passage { form, ..Passage::default() })
}

/// A flow law of a kind, such as "cross_wlf", with the catalogue's default constants.
///
/// # Errors
/// When there is no such law.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.FlowLaw")]
pub fn new_flow_law(kind: &str) -> Result<JsValue, JsValue> {
    document_to_js(&FlowLaw::named(kind).ok_or_else(|| unknown(kind))?)
}

/// A pvT law of a kind ("linear" or "tait") with the catalogue's default constants.
///
/// # Errors
/// When there is no such law.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PvtLaw")]
pub fn new_pvt_law(kind: &str) -> Result<JsValue, JsValue> {
    document_to_js(&PvtLaw::named(kind).ok_or_else(|| unknown(kind))?)
}

/// Reads a scenario document.
///
/// # Errors
/// Throws its problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Scenario")]
pub fn read_json(text: &str) -> Result<JsValue, JsValue> {
    document_to_js(&read(text)?)
}

/// What is said of a document of an earlier version; `null` for one of today's, and for one that cannot be read.
///
/// # Errors
/// Only when the browser cannot hold it.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Earlier | null")]
pub fn earlier_of(text: &str) -> Result<JsValue, JsValue> {
    document_to_js(&Scenario::read(text).ok().and_then(|(_, earlier)| earlier))
}

/// The scenario as the document that is saved to a file.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn write_json(scenario: &str) -> Result<String, JsValue> {
    Ok(read(scenario)?.to_json())
}

/// What differs between two scenarios: `[{path, title, unit, here, there}]`.
///
/// # Errors
/// Throws their problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Difference[]")]
pub fn differences(here: &str, there: &str) -> Result<JsValue, JsValue> {
    document_to_js(&read(here)?.differences(&read(there)?))
}

/// The number of the scenario that says where a limit lies, by its path; nothing for what is no limit.
#[wasm_bindgen]
pub fn threshold_of(#[wasm_bindgen(unchecked_param_type = "Gatefrost.Limit")] limit: &str) -> Option<String> {
    let limit: Limit = document::read(&format!("\"{limit:.40}\"")).ok()?;
    Some(limit.threshold().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_the_page_offers_is_a_valid_passage() {
        for shape in ["tube", "strip", "disc"] {
            let mut scenario = demo::default_demo().scenario();
            scenario.cavity.passages.push(passage_of(shape).expect(shape));
            assert_eq!(scenario.validate(), Ok(()), "{shape}");
        }
        assert_eq!(passage_of("cube"), None);
    }
}
