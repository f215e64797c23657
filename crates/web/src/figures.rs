//! Figures on a canvas, and how the page wants them.

use crate::values::{failed, from_js, to_js};
use gatefrost_core::units::Units;
use gatefrost_plot::{Drawing, Style, draw_fine};
use plotters_canvas::CanvasBackend;
use serde::Deserialize;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// How the page wants a figure.
#[derive(Debug, Clone, Copy, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default)]
pub struct Options {
    /// For a dark page.
    pub dark: bool,
    /// For paper.
    pub print: bool,
    /// Whether the caption stands in the figure.
    pub title: bool,
    /// The units in which numbers are shown.
    pub units: Units,
    /// Device pixels per CSS pixel.
    pub scale: f64,
    /// The set point on the window, (x, y) in edge units; `null` where the scenario has no such setting.
    pub set_point: [Option<f64>; 2],
    /// Whether the window shows the bands of its lines.
    pub bands: bool,
    /// The best set point on the window, likewise.
    pub best: [Option<f64>; 2],
    /// Which moment of the cycle the cavity and what stands along it show.
    pub moment: Option<usize>,
    /// The passage whose end leads along the way.
    pub end: Option<usize>,
    /// The passage that is picked out in the path alone.
    pub chosen: Option<usize>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            dark: false,
            print: false,
            title: false,
            units: Units::Si,
            scale: 1.0,
            set_point: [None; 2],
            bands: true,
            best: [None; 2],
            moment: None,
            end: None,
            chosen: None,
        }
    }
}

impl Options {
    /// The options from a plain object; what it leaves out is as by default.
    ///
    /// # Errors
    /// When a member has another type.
    pub fn read(value: JsValue) -> Result<Self, JsValue> {
        from_js(value)
    }

    /// How the figure looks.
    pub fn style(self) -> Style {
        Style { dark: self.dark, scale: self.scale, print: self.print, title: self.title, units: self.units }
    }
}

/// How much finer than its pixels a canvas is drawn on.
const FINENESS: u32 = 4;

/// Draws a figure over the whole canvas; returns where its plots came to lie.
///
/// # Errors
/// When the canvas cannot be drawn on.
pub fn on_canvas(
    canvas: HtmlCanvasElement,
    figure: &dyn Drawing,
    options: Options,
) -> Result<JsValue, JsValue> {
    let refused = || JsError::new("this canvas cannot be drawn on");
    let context = canvas.get_context("2d")?.and_then(|context| context.dyn_into().ok());
    let context: CanvasRenderingContext2d = context.ok_or_else(refused)?;
    let backend = CanvasBackend::with_canvas_object(canvas).ok_or_else(refused)?;
    let small = 1.0 / f64::from(FINENESS);
    context.set_transform(small, 0.0, 0.0, small, 0.0, 0.0)?;
    let drawn = draw_fine(backend, figure, &options.style(), FINENESS);
    context.reset_transform()?;
    to_js(&drawn.map_err(failed)?)
}
