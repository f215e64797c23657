//! The figures of a calibration, for its page.

use gatefrost_core::document;
use gatefrost_plot::{Drawing, TRIAL_SETTINGS, TrialFigure, TrialForecasts, TrialNumber, TrialReading};
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::values::failed;
use wasm_bindgen::prelude::*;

/// The calibration that is shown, with its figures.
#[wasm_bindgen]
#[derive(Default)]
pub struct TrialSheet {
    name: String,
    readings: Vec<TrialReading>,
    numbers: Vec<TrialNumber>,
    forecasts: TrialForecasts,
}

#[wasm_bindgen]
impl TrialSheet {
    /// Without a calibration.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes readings and numbers of a calibration as JSON, and the name of the scenario.
    ///
    /// # Errors
    /// When a text holds none.
    pub fn show(&mut self, readings: &str, numbers: &str, name: &str) -> Result<(), JsValue> {
        self.readings = document::read(readings).map_err(failed)?;
        self.numbers = document::read(numbers).map_err(failed)?;
        name.clone_into(&mut self.name);
        Ok(())
    }

    /// Takes what shots will read and have read, five and three numbers for each: see `TrialForecasts`.
    pub fn foresee(&mut self, predicted: &[f64], read: &[f64], name: &str) {
        let predicted = predicted.as_chunks().0.to_vec();
        self.forecasts = TrialForecasts { predicted, read: read.as_chunks().0.to_vec() };
        name.clone_into(&mut self.name);
    }
}

export_figures!(TrialSheet);

impl Figures for TrialSheet {
    /// The figure of a name: `readings`, `numbers`, `ahead`, or `residuals-NAME` against a setting.
    fn figure(&self, name: &str, _: Options) -> Result<impl Drawing, JsValue> {
        match name {
            "readings" => return Ok(TrialFigure::Readings(&self.readings, &self.name)),
            "numbers" => return Ok(TrialFigure::Numbers(&self.numbers, &self.name)),
            "ahead" => return Ok(TrialFigure::Ahead(&self.forecasts, &self.name)),
            _ => {}
        }
        let wanted = name.strip_prefix("residuals-").unwrap_or_default();
        let place = TRIAL_SETTINGS.iter().position(|setting| setting.0 == wanted);
        let place = place.ok_or_else(|| failed(format!("there is no figure {name}")))?;
        Ok(TrialFigure::Residuals(&self.readings, place, &self.name))
    }
}
