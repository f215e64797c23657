//! Figures on a canvas, and how the page wants them.

use crate::values::{failed, from_js, to_js};
use gatefrost_core::units::Units;
use gatefrost_plot::{DataTable, Drawing, Style, draw_fine, svg};
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
    /// The mark of the set point alone, over a window that is drawn already: the left and the upper edge of its plot in
    /// pixels.
    pub mark_from: [Option<f64>; 2],
    /// The right and the lower edge.
    pub mark_to: [Option<f64>; 2],
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
            mark_from: [None; 2],
            mark_to: [None; 2],
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

/// What a page holds to draw figures from. [`export_figures!`](crate::export_figures) exports them to its scripts.
pub trait Figures {
    /// The figure of a name.
    ///
    /// # Errors
    /// When there is no such figure, or it has no data yet.
    fn figure(&self, name: &str, options: Options) -> Result<impl Drawing, JsValue>;

    /// The same as the page shows it, where that differs from a file.
    ///
    /// # Errors
    /// As [`Self::figure`].
    fn figure_on_page(&self, name: &str, options: Options) -> Result<impl Drawing, JsValue> {
        self.figure(name, options)
    }
}

/// Exports the figures of a type that is [`Figures`]: `draw`, `svg`, `table` and `csv`, each with the name of a figure and
/// with [`Options`] as a plain object.
#[macro_export]
macro_rules! export_figures {
    ($sheet:ident) => {
        #[wasm_bindgen::prelude::wasm_bindgen]
        impl $sheet {
            /// Draws a figure over the whole canvas; returns where its plots came to lie.
            ///
            /// # Errors
            /// When the figure has no data yet, or the canvas cannot be drawn on.
            #[wasm_bindgen(unchecked_return_type = "Gatefrost.Layout")]
            pub fn draw(
                &self,
                canvas: web_sys::HtmlCanvasElement,
                figure: &str,
                #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
            ) -> Result<JsValue, JsValue> {
                $crate::figures::on_canvas(self, canvas, figure, options)
            }

            /// A figure as SVG text.
            ///
            /// # Errors
            /// When the figure has no data yet, or its size is absurd.
            pub fn svg(
                &self,
                figure: &str,
                width: u32,
                height: u32,
                #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
            ) -> Result<String, JsValue> {
                $crate::figures::as_svg(self, figure, [width, height], options)
            }

            /// The data of a figure: `{caption, columns, rows}`.
            ///
            /// # Errors
            /// When the figure has no data yet.
            #[wasm_bindgen(unchecked_return_type = "Gatefrost.DataTable")]
            pub fn table(
                &self,
                figure: &str,
                #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
            ) -> Result<JsValue, JsValue> {
                $crate::values::document_to_js(&$crate::figures::as_table(self, figure, options)?)
            }

            /// The data of a figure as CSV text.
            ///
            /// # Errors
            /// When the figure has no data yet.
            pub fn csv(
                &self,
                figure: &str,
                #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
            ) -> Result<String, JsValue> {
                Ok($crate::figures::as_table(self, figure, options)?.to_csv())
            }
        }
    };
}

/// How much finer than its pixels a canvas is drawn on.
const FINENESS: u32 = 4;

/// Draws a figure over the whole canvas; returns where its plots came to lie.
///
/// # Errors
/// When there is no such figure, or the canvas cannot be drawn on.
pub fn on_canvas(
    of: &impl Figures,
    canvas: HtmlCanvasElement,
    name: &str,
    options: JsValue,
) -> Result<JsValue, JsValue> {
    let mut options = Options::read(options)?;
    for edge in options.mark_from.iter_mut().chain(&mut options.mark_to).flatten() {
        *edge *= f64::from(FINENESS);
    }
    paint(canvas, &of.figure_on_page(name, options)?, options)
}

fn paint(canvas: HtmlCanvasElement, figure: &dyn Drawing, options: Options) -> Result<JsValue, JsValue> {
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

/// A figure as SVG text, so wide and high in pixels.
///
/// # Errors
/// When there is no such figure, or its size is absurd.
pub fn as_svg(
    of: &impl Figures,
    name: &str,
    [width, height]: [u32; 2],
    options: JsValue,
) -> Result<String, JsValue> {
    let options = Options::read(options)?;
    svg(&of.figure(name, options)?, width, height, &options.style()).map_err(failed)
}

/// The numbers of a figure, in the reader's units.
///
/// # Errors
/// When there is no such figure.
pub fn as_table(of: &impl Figures, name: &str, options: JsValue) -> Result<DataTable, JsValue> {
    let options = Options::read(options)?;
    Ok(of.figure(name, options)?.table().shown_in(options.units))
}
