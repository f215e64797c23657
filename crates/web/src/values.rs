//! How values cross the boundary.

use gatefrost_core::document;
use gatefrost_core::scenario::Scenario;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_bytes::Bytes;
use serde_wasm_bindgen::Serializer;
use wasm_bindgen::prelude::*;

/// What a worker computed, packed for the page's own module, which draws from it. Packed, a value is a third as
/// long as its JSON, and what unpacks it is small.
#[derive(Serialize)]
struct Packed<'a> {
    bytes: &'a Bytes,
}

/// A worker's answer for the page's scripts and for its module: `{told, bytes}`.
///
/// # Errors
/// When the value cannot be written.
pub fn told_and_packed(value: &impl Serialize) -> Result<JsValue, JsValue> {
    told_with(value, value)
}

/// A worker's answer with one value for the page's scripts and another for its module: `{told, bytes}`.
///
/// # Errors
/// When a value cannot be written.
pub fn told_with(told: &impl Serialize, kept: &impl Serialize) -> Result<JsValue, JsValue> {
    let answer = only_packed(kept)?;
    js_sys::Reflect::set(&answer, &"told".into(), &document_to_js(told)?)?;
    Ok(answer)
}

/// A worker's answer for the page's module alone: `{bytes}`.
///
/// # Errors
/// When the value cannot be packed.
pub fn only_packed(value: &impl Serialize) -> Result<JsValue, JsValue> {
    to_js(&Packed { bytes: Bytes::new(&packed(value)?) })
}

/// A value as plain objects, arrays, numbers and texts. A missing value becomes `null`, bytes a `Uint8Array`.
///
/// # Errors
/// Only when the browser cannot hold it.
pub fn to_js(value: &impl Serialize) -> Result<JsValue, JsValue> {
    let plain = Serializer::new().serialize_missing_as_null(true).serialize_maps_as_objects(true);
    value.serialize(&plain).map_err(JsValue::from)
}

/// A document, or what holds one, as plain objects, by way of its JSON text: the code that writes a document
/// exists once. A number that is not finite becomes `null`.
///
/// # Errors
/// When the value cannot be written.
pub fn document_to_js(value: &impl Serialize) -> Result<JsValue, JsValue> {
    js_sys::JSON::parse(&json(value)?)
}

/// Named arguments of a call, from a plain object by way of its JSON text: the code that reads a document exists once
/// (3 kB packed). Numbers that are not finite do not come across.
///
/// # Errors
/// When a member is missing or has another type. That is a fault of the page, not of its user.
pub fn args_of<T: DeserializeOwned>(args: &JsValue) -> Result<T, JsValue> {
    let text = js_sys::JSON::stringify(args)?;
    document::read(&String::from(text)).map_err(failed)
}

/// Options or lists of numbers, from plain objects and arrays.
///
/// # Errors
/// When a member is missing or has another type. That is a fault of the page, not of its user.
pub fn from_js<T: DeserializeOwned>(value: JsValue) -> Result<T, JsValue> {
    serde_wasm_bindgen::from_value(value).map_err(JsValue::from)
}

/// A value as JSON text. A number that is not finite becomes `null`.
///
/// # Errors
/// When the value cannot be written.
pub fn json(value: &impl Serialize) -> Result<String, JsValue> {
    document::write(value).map_err(failed)
}

/// A value packed for [`unpacked`].
///
/// # Errors
/// When the value cannot be packed.
pub fn packed(value: &impl Serialize) -> Result<Vec<u8>, JsValue> {
    postcard::to_allocvec(value).map_err(failed)
}

/// What [`packed`] made.
///
/// # Errors
/// When the bytes hold no such value.
pub fn unpacked<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, JsError> {
    postcard::from_bytes(bytes).map_err(|e| JsError::new(&e.to_string()))
}

/// A scenario from the text of its document.
///
/// # Errors
/// Throws the scenario's problems.
pub fn read(scenario: &str) -> Result<Scenario, JsValue> {
    Scenario::from_json(scenario).map_err(thrown)
}

/// The arguments of a call about one scenario.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct ScenarioArgs {
    /// The text of its document.
    scenario: String,
}

/// The scenario of named arguments `{scenario}`, where that is the text of its document.
///
/// # Errors
/// Throws the scenario's problems.
pub fn scenario_of(args: JsValue) -> Result<Scenario, JsValue> {
    read(&args_of::<ScenarioArgs>(&args)?.scenario)
}

/// What is wrong with a scenario or a table, to be thrown: `{problems: [{path, message}]}` or
/// `{problems: [{line, column, message}], unlisted}`.
pub fn thrown(error: impl Serialize) -> JsValue {
    document_to_js(&error).unwrap_or_else(|e| e)
}

/// An error of another kind, to be thrown.
pub fn failed(error: impl std::fmt::Display) -> JsValue {
    JsError::new(&error.to_string()).into()
}
