//! How safe the set point is, in parts that workers compute side by side.

use gatefrost_safety::{Best, Opening, Tried};
use gatefrost_web::values::{args_of, document_to_js, read, scenario_of, thrown, to_js};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct TriedArgs {
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
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Tried")]
pub fn tried(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TriedArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let TriedArgs { scenario, present } = args_of(&args)?;
    let s = read(&scenario)?;
    let tried = if present { gatefrost_safety::present(&s) } else { gatefrost_safety::found(&s) };
    to_js(&tried.map_err(thrown)?)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct BestArgs {
    /// The scenario, as the text of its document.
    scenario: String,
    /// What [`tried`] found by a search, and at the present set point.
    found: Tried,
    present: Tried,
}

/// The best set point, from its two halves. For a worker: `{scenario, found, present}`.
///
/// # Errors
/// Throws the scenario's problems, or says that these are no such halves.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Best")]
pub fn best_of(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.BestArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let BestArgs { scenario, found, present } = args_of(&args)?;
    document_to_js(&Best::of(&read(&scenario)?, found, present))
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct ChangeArgs {
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
#[wasm_bindgen(unchecked_return_type = "number | null")]
pub fn usable_with(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ChangeArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let ChangeArgs { scenario, change } = args_of(&args)?;
    to_js(&gatefrost_safety::usable(&read(&scenario)?, change))
}

/// How many changes there are where the window is open, and where it is closed. For a worker: no arguments.
#[wasm_bindgen(unchecked_return_type = "[number, number]")]
pub fn levers_changed(_args: JsValue) -> Result<JsValue, JsValue> {
    to_js(&[gatefrost_safety::LASTING, gatefrost_safety::CHANGED])
}

/// How close a closed window comes to being open with one change made; `null` for a change that does not apply.
/// For a worker: `{scenario, change}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Opening | null")]
pub fn opening(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ChangeArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let ChangeArgs { scenario, change } = args_of(&args)?;
    document_to_js(&gatefrost_safety::opening(&read(&scenario)?, change))
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
struct OpeningsArgs {
    /// What [`opening`] gave so far.
    openings: Vec<Opening>,
}

/// Ranks the changes of a closed window that have been computed. For a worker: `{openings}`.
///
/// # Errors
/// When they are no answers of [`opening`].
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Closed")]
pub fn ranked_openings(
    #[wasm_bindgen(unchecked_param_type = "{ openings: Gatefrost.Opening[] }")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let OpeningsArgs { openings } = args_of(&args)?;
    document_to_js(&gatefrost_safety::ranked(openings))
}

/// Share of the shots that are inside. For a worker: `{scenario}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Yield")]
pub fn shots(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    document_to_js(&gatefrost_safety::yields(&scenario_of(args)?).map_err(thrown)?)
}

/// What each change does to the share of shots that are inside; what it does to the window is found with
/// [`usable_with`]. For a worker: `{scenario}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Lever[]")]
pub fn levers(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    document_to_js(&gatefrost_safety::leverage(&scenario_of(args)?, &[]).map_err(thrown)?)
}

/// The smallest gate, the highest loading and the most cavities. For a worker: `{scenario}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Answers")]
pub fn answers(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    document_to_js(&gatefrost_safety::answers(&scenario_of(args)?).map_err(thrown)?)
}

/// What the mould hands on to debinding and sintering, with the scatter that the machine's own scatter makes; `null` where
/// no part of a known size comes out of it. The page of what follows the mould calls this.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.FromMould | null")]
pub fn from_mould(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    document_to_js(&gatefrost_safety::from_mould(&scenario_of(args)?).map_err(thrown)?)
}
