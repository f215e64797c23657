//! Evaluations of one scenario, for a worker. Each takes `{scenario}`, the text of its document.

use gatefrost_report as report;
use gatefrost_web::values::{only_packed, scenario_of, thrown, told_and_packed};
use gatefrost_window::Detail;
use wasm_bindgen::prelude::*;

/// Evaluates a scenario in full: the report, told and packed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Told<Gatefrost.Report>")]
pub fn evaluate(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    told_and_packed(&report::evaluate(&scenario_of(args)?).map_err(thrown)?)
}

/// A scenario that is laid over another's window: it comes with that one's plane. Packed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Packed")]
pub fn beside(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let scenario = scenario_of(args)?;
    only_packed(&gatefrost_window::beside(&scenario, &scenario.window, Detail::Fine).map_err(thrown)?)
}

/// Follows one cycle moment by moment. Packed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Packed")]
pub fn moments(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    only_packed(&report::moments(&scenario_of(args)?).map_err(thrown)?)
}

/// Part mass against hold time, and why the gates freeze when they do. Packed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Packed")]
pub fn hold_study(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    only_packed(&report::hold_study(&scenario_of(args)?).map_err(thrown)?)
}

/// Fills the cavity of a scenario for the shear rates and temperatures of its part. The laboratory calls this: its own
/// module has no solver. Packed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Packed")]
pub fn span_of_part(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    only_packed(&report::PartSpan::of(&report::fill_of(&scenario_of(args)?).map_err(thrown)?))
}
