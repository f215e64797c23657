//! Calibrations on shots, predictions and the next shots. The log stands in the scenario. What is wrong with it is thrown as `{problems: [{message}]}`.

mod drawn;

use gatefrost_calibration::{Calibration, ShotPrediction, Unusable, calibrate, fits, plan, predict};
use gatefrost_core::scenario::{Scenario, ScenarioError, Shot};
use gatefrost_plot::{TrialForecasts, TrialNumber, TrialReading};
use gatefrost_web::values::{args_of, document_to_js, failed, read, scenario_of, thrown};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    /// Sends a message from the worker to its page.
    #[wasm_bindgen(js_name = postMessage)]
    fn post(message: &JsValue);
}

/// Arguments of a calibration.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct CalibrateArgs {
    /// The text of the scenario's document, with its log.
    scenario: String,
    /// The day that is told with the feedstock.
    date: String,
}

/// Arguments about the next shots.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct ShotPlanArgs {
    /// The text of the scenario's document.
    scenario: String,
    /// How many shots.
    count: usize,
    /// Whether the size of the part is to be narrowed instead of the limits.
    size: bool,
}

/// A calibration with what the page draws of it.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct CalibratedLog {
    calibration: Calibration,
    readings: Vec<TrialReading>,
    numbers: Vec<TrialNumber>,
}

/// Predictions with what the page draws of them.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct PredictedShots {
    predictions: Vec<ShotPrediction>,
    forecasts: TrialForecasts,
}

fn sentences(list: Vec<String>) -> JsValue {
    thrown(ScenarioError::saying(list))
}

/// Calibrates a scenario on the shots of its log that are not in the calibration yet: `{scenario, date}`. Sends messages
/// `{share}` on its way.
///
/// # Errors
/// Throws what is wrong with the log.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.CalibratedLog")]
pub fn calibrated(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.CalibrateArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let CalibrateArgs { scenario, date } = args_of(&args)?;
    let scenario = read(&scenario)?;
    let mut step = |share: f64| {
        let message = js_sys::Object::new();
        let _ = js_sys::Reflect::set(&message, &"share".into(), &share.into());
        post(&message);
        true
    };
    let calibration = calibrate(&scenario, &date, &mut step).map_err(|unusable| match unusable {
        Unusable::Log(list) => sentences(list),
        Unusable::Stopped => failed("stopped"),
    })?;
    let readings = calibration.readings.iter().map(|r| drawn::reading(&scenario.shots, r)).collect();
    let numbers = calibration.numbers.iter().map(|n| drawn::number(n, calibration.reference)).collect();
    document_to_js(&CalibratedLog { calibration, readings, numbers })
}

/// Says whether the new readings of the log fit the feedstock: `{scenario}`.
///
/// # Errors
/// Throws what is wrong with the log.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Agreement")]
pub fn fitting(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    document_to_js(&fits(&scenario_of(args)?).map_err(sentences)?)
}

/// Predicts what the shots of the log without any reading will read: `{scenario}`. The places are those of the log.
///
/// # Errors
/// Throws what is wrong with the log.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PredictedShots")]
pub fn predicted(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScenarioArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let scenario: Scenario = scenario_of(args)?;
    let untried: Vec<(usize, Shot)> = gatefrost_calibration::untried(&scenario);
    let shots: Vec<Shot> = untried.iter().map(|(_, shot)| shot.clone()).collect();
    let mut found: Vec<ShotPrediction> = predict(&scenario, &shots).map_err(sentences)?;
    found.iter_mut().for_each(|one| one.shot = untried[one.shot].0);
    let forecasts = drawn::forecasts(&scenario.shots, &found);
    document_to_js(&PredictedShots { predictions: found, forecasts })
}

/// Proposes the next shots: `{scenario, count, size}`.
///
/// # Errors
/// Throws what is wrong with the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.ShotPlan")]
pub fn next_shots(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ShotPlanArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let ShotPlanArgs { scenario, count, size } = args_of(&args)?;
    document_to_js(&plan(&read(&scenario)?, count, size).map_err(sentences)?)
}

/// Adds the types of these values to those of a page.
#[cfg(feature = "typescript")]
pub(crate) fn declare(declarations: &mut gatefrost_web::typescript::Declarations) {
    use ts_rs::TypeVisitor;
    declarations.visit::<CalibrateArgs>();
    declarations.visit::<ShotPlanArgs>();
    declarations.visit::<CalibratedLog>();
    declarations.visit::<gatefrost_calibration::Agreement>();
    declarations.visit::<PredictedShots>();
    declarations.visit::<gatefrost_calibration::ShotPlan>();
}
