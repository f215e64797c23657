//! The figures of one scenario: holds the last report and window, draws them on canvases, writes
//! them as files.

use crate::to_js;
use gatefrost_core::report::Report;
use gatefrost_core::window::Window;
use gatefrost_plot::{Figure, Style, draw, svg, table};
use plotters_canvas::CanvasBackend;
use serde::Deserialize;
use wasm_bindgen::prelude::*;
use web_sys::HtmlCanvasElement;

/// How the page wants a figure.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(default)]
pub(crate) struct Options {
    dark: bool,
    print: bool,
    title: bool,
    /// Device pixels per CSS pixel.
    scale: f64,
    /// The set point on the window, (x, y) in edge units.
    set_point: [f64; 2],
    /// How much of the fill time has passed in the cavity figure, 0..1.
    progress: Option<f64>,
}

impl Default for Options {
    fn default() -> Self {
        Self { dark: false, print: false, title: false, scale: 1.0, set_point: [f64::NAN; 2], progress: None }
    }
}

impl Options {
    pub(crate) fn read(value: JsValue) -> Result<Self, JsValue> {
        serde_wasm_bindgen::from_value(value).map_err(JsValue::from)
    }

    pub(crate) fn style(self) -> Style {
        Style { dark: self.dark, scale: self.scale, print: self.print, title: self.title }
    }
}

/// The last results, ready to be drawn.
#[wasm_bindgen]
#[derive(Default)]
pub struct Sheet {
    report: Option<Report>,
    window: Option<Window>,
}

#[wasm_bindgen]
impl Sheet {
    /// An empty sheet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the text that `evaluate` gave.
    ///
    /// # Errors
    /// When it is no report.
    pub fn set_report(&mut self, text: &str) -> Result<(), JsError> {
        self.report = Some(serde_json::from_str(text)?);
        Ok(())
    }

    /// Takes the text that `trace` gave.
    ///
    /// # Errors
    /// When it is no window.
    pub fn set_window(&mut self, text: &str) -> Result<(), JsError> {
        self.window = Some(serde_json::from_str(text)?);
        Ok(())
    }

    /// Draws a figure over the whole canvas; returns where its plots came to lie.
    ///
    /// # Errors
    /// When the figure has no data yet, or the canvas cannot be drawn on.
    pub fn draw(
        &self,
        canvas: HtmlCanvasElement,
        figure: &str,
        options: JsValue,
    ) -> Result<JsValue, JsValue> {
        let options = Options::read(options)?;
        let figure = self.figure(figure, options)?;
        let backend = CanvasBackend::with_canvas_object(canvas)
            .ok_or_else(|| JsError::new("this canvas cannot be drawn on"))?;
        let layout = draw(backend, &figure, &options.style()).map_err(failed)?;
        to_js(&layout)
    }

    /// A figure as SVG text.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn svg(&self, figure: &str, width: u32, height: u32, options: JsValue) -> Result<String, JsValue> {
        let options = Options::read(options)?;
        svg(&self.figure(figure, options)?, width, height, &options.style()).map_err(failed)
    }

    /// The data of a figure: `{caption, columns, rows}`.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn table(&self, figure: &str, options: JsValue) -> Result<JsValue, JsValue> {
        to_js(&table(&self.figure(figure, Options::read(options)?)?))
    }

    /// The data of a figure as CSV text.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn csv(&self, figure: &str, options: JsValue) -> Result<String, JsValue> {
        Ok(table(&self.figure(figure, Options::read(options)?)?).to_csv())
    }
}

impl Sheet {
    fn figure(&self, name: &str, options: Options) -> Result<Figure<'_>, JsError> {
        let missing = || JsError::new("nothing has been computed yet");
        if name == "window" {
            let window = self.window.as_ref().ok_or_else(missing)?;
            return Ok(Figure::Window { window, set_point: options.set_point });
        }
        let report = self.report.as_ref().ok_or_else(missing)?;
        match name {
            "viscosity" => Ok(Figure::Viscosity(report)),
            "pressures" => Ok(Figure::FillPressure(report)),
            "path" => Ok(Figure::Path(report)),
            "hold" => Ok(Figure::Hold(report)),
            "cavity" => Ok(Figure::Cavity(report, options.progress.and_then(|p| front_at(report, p)))),
            "cycle" => Ok(Figure::Cycle(report)),
            other => Err(JsError::new(&format!("there is no figure {other:.40}"))),
        }
    }
}

/// Where the front stands after a share of the fill time; nothing once the fill is over.
fn front_at(report: &Report, share: f64) -> Option<f64> {
    let history = &report.fill.history;
    let time = share * report.fill.fill_time_s;
    let step = history.time_s.iter().position(|t| *t >= time).filter(|_| share < 1.0)?;
    history.front_mm.get(step).copied()
}

pub(crate) fn failed(error: impl std::fmt::Display) -> JsValue {
    JsError::new(&error.to_string()).into()
}
