//! How safe the set point is, in parts that workers compute side by side.

use gatefrost_safety::{Best, Opening, Tried};
use gatefrost_web::values::{document_to_js, failed, from_js, read, thrown, to_js};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
struct TriedArgs {
    /// The scenario, as the text of its document.
    scenario: String,
    /// Whether the present set point is meant, instead of one that a search finds.
    present: bool,
}

/// One half of the best set point, for [`best_of`]: what fails first at the present set point or at the one that
/// a search finds. For a worker: `{scenario, present}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn tried(args: JsValue) -> Result<JsValue, JsValue> {
    let TriedArgs { scenario, present } = from_js(args)?;
    let s = read(&scenario)?;
    let tried = if present { gatefrost_safety::present(&s) } else { gatefrost_safety::found(&s) };
    to_js(&tried.map_err(thrown)?)
}

#[derive(Deserialize)]
struct BestArgs {
    /// The scenario, as the text of its document.
    scenario: String,
    /// What [`tried`] found by a search, and at the present set point.
    found: Tried,
    present: Tried,
}

/// The best set point, from its two halves: `{scenario, found, present}`.
///
/// # Errors
/// Throws the scenario's problems, or says that these are no such halves.
#[wasm_bindgen]
pub fn best_of(args: JsValue) -> Result<JsValue, JsValue> {
    let BestArgs { scenario, found, present } = from_js(args)?;
    document_to_js(&Best::of(&read(&scenario)?, found, present))
}

#[derive(Deserialize)]
struct ChangeArgs {
    /// The scenario, as the text of its document.
    scenario: String,
    /// Which change, counted from 1; 0 for none.
    change: usize,
}

/// Usable share of the plane with one change made; `null` where it cannot be computed. For a worker:
/// `{scenario, change}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn usable_with(args: JsValue) -> Result<JsValue, JsValue> {
    let ChangeArgs { scenario, change } = from_js(args)?;
    to_js(&gatefrost_safety::usable(&read(&scenario)?, change))
}

/// How many changes there are where the window is open, and where it is closed.
#[wasm_bindgen]
pub fn levers_changed(closed: bool) -> usize {
    if closed { gatefrost_safety::CHANGED } else { gatefrost_safety::LASTING }
}

/// How close a closed window comes to being open with one change made; `null` for a change that does not apply.
/// For a worker: `{scenario, change}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn opening(args: JsValue) -> Result<JsValue, JsValue> {
    let ChangeArgs { scenario, change } = from_js(args)?;
    document_to_js(&gatefrost_safety::opening(&read(&scenario)?, change))
}

#[derive(Deserialize)]
struct OpeningsArgs {
    /// What [`opening`] gave so far.
    openings: Vec<Opening>,
}

/// Ranks the changes of a closed window that have been computed: `{openings}`.
///
/// # Errors
/// When they are no answers of [`opening`].
#[wasm_bindgen]
pub fn ranked_openings(args: JsValue) -> Result<JsValue, JsValue> {
    let OpeningsArgs { openings } = from_js(args)?;
    document_to_js(&gatefrost_safety::ranked(openings))
}

#[derive(Deserialize)]
struct PartArgs {
    /// The scenario, as the text of its document.
    scenario: String,
    /// `shots`, `levers` (the yield alone) or `answers`.
    part: String,
}

/// One part of how safe the set point is. For a worker: `{scenario, part}`.
///
/// # Errors
/// Throws the scenario's problems, or says that there is no such part.
#[wasm_bindgen]
pub fn safety(args: JsValue) -> Result<JsValue, JsValue> {
    let PartArgs { scenario, part } = from_js(args)?;
    let s = read(&scenario)?;
    match part.as_str() {
        "shots" => document_to_js(&gatefrost_safety::yields(&s).map_err(thrown)?),
        "levers" => document_to_js(&gatefrost_safety::leverage(&s, &[]).map_err(thrown)?),
        "answers" => document_to_js(&gatefrost_safety::answers(&s).map_err(thrown)?),
        other => Err(failed(format!("there is no part {other:.40}"))),
    }
}
