//! Figures on the page of the classroom.

use gatefrost_classroom::figure;
use gatefrost_plot::{Chart, Drawing};
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::values::{document_to_js, from_js};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A figure, ready to be drawn.
#[wasm_bindgen]
pub struct Board(Chart);

#[wasm_bindgen]
impl Board {
    /// Takes what is to be drawn.
    ///
    /// # Errors
    /// When it is no figure.
    #[wasm_bindgen(constructor)]
    pub fn new(
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Chart")] chart: JsValue,
    ) -> Result<Self, JsValue> {
        from_js(chart).map(Self)
    }
}

export_figures!(Board);

impl Figures for Board {
    fn figure(&self, _name: &str, _options: Options) -> Result<impl Drawing, JsValue> {
        Ok(self.0.clone())
    }
}

/// Gas inside a wall.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct GasShown {
    chart: Chart,
    pressure_kpa: f64,
}

/// Pressure of the gas inside a wall, against its porosity and at one porosity \[%\].
///
/// # Errors
/// Only when the browser cannot hold it.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.GasShown")]
pub fn gas_shown(porosity_percent: f64) -> Result<JsValue, JsValue> {
    let (chart, pressure_kpa) = figure::gas_in_hall(porosity_percent);
    document_to_js(&GasShown { chart, pressure_kpa })
}
