//! The boundary between the laboratory's page and the fits to its tables of readings, and the table of the trial log. Values in,
//! values out, no physics.
//!
//! Workers of the page load this module with the first table, so that the page's own module need not hold the fits. It
//! packs what the page's own module draws.

mod shots;

pub use shots::{read_log, write_log};

use gatefrost_core::scenario::LoadingScaling;
use gatefrost_laboratory::critical::{CriticalOptions, DensityOptions, ResistanceOptions};
use gatefrost_laboratory::dsc::{Direction, HeatFlowUnit, ReadOptions};
use gatefrost_laboratory::readings;
use gatefrost_laboratory::rheometry::fit::FitOptions;
use gatefrost_laboratory::torque;
use gatefrost_web::values::{args_of, document_to_js, thrown, told_and_packed, told_with};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct StudyArgs {
    /// The table of readings.
    text: String,
    /// Reference temperature of the Cross law \[°C\]; the customary one unless given.
    d2: Option<f64>,
    /// Whether the Cross law's A₂ is fitted.
    free_a2: bool,
    /// The breadth of Carreau and Yasuda's transition, if it is held.
    transition: Option<f64>,
}

/// Reads, corrects and fits rheometer readings: `{text, d2, free_a2, transition}`. Told, and packed as far as
/// the page draws it.
///
/// # Errors
/// Throws `{problems: [{line, column, message}], unlisted}`.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Told<Gatefrost.Studied>")]
pub fn study(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.StudyArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let StudyArgs { text, d2, free_a2, transition } = args_of(&args)?;
    let customary = FitOptions::default();
    let options = FitOptions { d2: d2.unwrap_or(customary.d2), free_a2, transition };
    let (studied, kept) = readings::study(&text, &options).map_err(thrown)?;
    told_with(&studied, &kept)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct AssessArgs {
    /// The table of readings.
    text: String,
    /// Density of the powder \[kg/m³\], fitted where it is not known.
    powder_density: Option<f64>,
    /// Density of the binder \[kg/m³\], fitted where it is not known.
    binder_density: Option<f64>,
    /// Exponent of the divergence, fitted where it is not given.
    exponent: Option<f64>,
    /// Standard error of the exponent that is given.
    exponent_error: f64,
    /// Flow exponent at the shear rate of the readings.
    flow_exponent: f64,
    /// What a higher relative viscosity means in a melt that thins.
    loading_scaling: LoadingScaling,
}

/// Fits a critical loading to densities and torques or viscosities:
/// `{text, powder_density, binder_density, exponent, exponent_error, flow_exponent, loading_scaling}`. Told and packed.
///
/// # Errors
/// Throws `{problems: [{line, column, message}], unlisted}`.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Told<Gatefrost.Assessed>")]
pub fn assess(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.AssessArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let args: AssessArgs = args_of(&args)?;
    let AssessArgs { text, powder_density, binder_density, exponent, exponent_error, .. } = args;
    let (flow_exponent, loading_scaling) = (args.flow_exponent, args.loading_scaling);
    let options = CriticalOptions {
        density: DensityOptions { powder_density, binder_density },
        resistance: ResistanceOptions { exponent, exponent_error, flow_exponent, loading_scaling },
    };
    told_and_packed(&readings::assess(&text, &options).map_err(thrown)?)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct ScanArgs {
    /// The table of readings.
    text: String,
    /// Whether the sample was heated or cooled.
    direction: Direction,
    /// Rate of heating or cooling \[K/min\].
    rate: Option<f64>,
    /// Mass of the sample \[mg\].
    mass: Option<f64>,
    /// Unit of the heat flow, where the header does not state it.
    unit: Option<HeatFlowUnit>,
    /// Share of the binder in the mass of the sample.
    binder_share: f64,
}

/// Finds the peaks of a scan of calorimetry: `{text, direction, rate, mass, unit, binder_share}`. Told, and packed with
/// the curve for the page to draw.
///
/// # Errors
/// Throws `{problems: [{line, column, message}], unlisted}`.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Told<Gatefrost.DscResult>")]
pub fn scan(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.ScanArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let ScanArgs { text, direction, rate, mass, unit, binder_share } = args_of(&args)?;
    let options = ReadOptions { rate, mass, unit };
    let scanned = readings::scan(&text, direction, &options, binder_share).map_err(thrown)?;
    told_with(&scanned.found, &scanned)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct SettleArgs {
    /// The table of readings.
    text: String,
    /// Share by which a settled torque may change in a minute.
    share: f64,
}

/// Judges when the torque of a mixer has settled: `{text, share}`.
///
/// # Errors
/// Throws `{problems: [{line, column, message}], unlisted}`.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Settled")]
pub fn settle(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.SettleArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let SettleArgs { text, share } = args_of(&args)?;
    document_to_js(&torque::settle(&text, share).map_err(thrown)?)
}

/// Adds the types of what crosses this boundary to those of the laboratory's page.
#[cfg(feature = "typescript")]
pub fn declare(declarations: &mut gatefrost_web::typescript::Declarations) {
    use ts_rs::TypeVisitor;
    declarations.visit::<shots::LogArgs>();
    declarations.visit::<shots::WriteArgs>();
    declarations.visit::<shots::ReadLog>();
    declarations.visit::<AssessArgs>();
    declarations.visit::<StudyArgs>();
    declarations.visit::<ScanArgs>();
    declarations.visit::<SettleArgs>();
    declarations.visit::<torque::Settled>();
    declarations.visit::<gatefrost_laboratory::dsc::DscResult>();
    declarations.visit::<readings::Assessed>();
    declarations.visit::<readings::Studied>();
}
