//! Fits of what a shop weighs and measures, for a worker. Each takes `{scenario, text}` and answers with the readings, the
//! fit, and the scenario with the fit in it.

use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_laboratory::trials::densities::{self, CurveFit, FurnaceRuns};
use gatefrost_laboratory::trials::mass_loss::{self, DiffusivityFit, Weighings};
use gatefrost_laboratory::trials::shrinkage::{self, MeasuredSizes, ShrinkageFit};
use gatefrost_laboratory::trials::{self, Fit, Fitted, Unfit};
use gatefrost_web::values::{args_of, document_to_js, read, thrown};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

/// Arguments of a fit.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct TrialArgs {
    /// The text of the scenario's document.
    scenario: String,
    /// The table of readings.
    text: String,
    /// Of weighings, the step of debinding that they belong to, counted from 1; the first bath if left out.
    #[serde(default)]
    #[cfg_attr(feature = "typescript", ts(optional))]
    step: Option<usize>,
}

/// How each table is written, and an example of it.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct TrialForms {
    losses: &'static [&'static str],
    losses_example: &'static str,
    sizes: &'static [&'static str],
    sizes_example: &'static str,
    runs: &'static [&'static str],
    runs_example: &'static str,
}

/// How each table is written, and an example of it.
///
/// # Errors
/// Only when the browser cannot hold it.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.TrialForms")]
pub fn forms() -> Result<JsValue, JsValue> {
    document_to_js(&TrialForms {
        losses: mass_loss::FORM,
        losses_example: include_str!("losses.csv"),
        sizes: shrinkage::FORM,
        sizes_example: include_str!("sizes.csv"),
        runs: densities::FORM,
        runs_example: include_str!("runs.csv"),
    })
}

/// Weighings with their fit.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct LossesFitted {
    table: Weighings,
    fit: DiffusivityFit,
    /// The document with the fit in its bath.
    scenario: Scenario,
}

/// Fits the diffusivity of a bath to weighings.
///
/// # Errors
/// Throws the problems of the table or of the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.LossesFitted")]
pub fn fit_losses(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TrialArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let Fitted { table, fit, scenario } = fitted(&args, trials::fit_losses)?;
    document_to_js(&LossesFitted { table, fit, scenario })
}

/// Measured sizes with their fit.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct SizesFitted {
    table: MeasuredSizes,
    fit: ShrinkageFit,
    /// The document with density and factors of the directions from the fit.
    scenario: Scenario,
}

/// Fits shrinkage and the factors of the directions to measured parts.
///
/// # Errors
/// Throws the problems of the table or of the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.SizesFitted")]
pub fn fit_shrinkage(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TrialArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let Fitted { table, fit, scenario } =
        fitted(&args, |scenario, text, _| trials::fit_sizes(scenario, text))?;
    document_to_js(&SizesFitted { table, fit, scenario })
}

/// Furnace runs with their fit.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct RunsFitted {
    table: FurnaceRuns,
    fit: CurveFit,
    /// The document with the curve in it.
    scenario: Scenario,
}

/// Fits the master sintering curve to densities of furnace runs.
///
/// # Errors
/// Throws the problems of the table or of the scenario.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.RunsFitted")]
pub fn fit_densities(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TrialArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let Fitted { table, fit, scenario } =
        fitted(&args, |scenario, text, _| trials::fit_runs(scenario, text))?;
    document_to_js(&RunsFitted { table, fit, scenario })
}

/// A fit whose scenario is valid.
fn fitted<R, F>(args: &JsValue, fit: Fit<R, F>) -> Result<Fitted<R, F>, JsValue> {
    let TrialArgs { scenario, text, step } = args_of(args)?;
    let fitted = fit(read(&scenario)?, &text, step).map_err(|unfit| match unfit {
        Unfit::Table(error) => thrown(error),
        Unfit::Readings(message) => thrown(ScenarioError::saying([message])),
    })?;
    fitted.scenario.validate().map_err(thrown)?;
    Ok(fitted)
}
