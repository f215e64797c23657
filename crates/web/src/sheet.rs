//! The figures of one scenario: holds the last report and window, draws them on canvases, writes
//! them as files.

use crate::{to_js, unpacked};
use gatefrost_core::document;
use gatefrost_core::limits::{Limit, Margin};
use gatefrost_core::units::Units;
use gatefrost_plot::{At, Figure, Over, Style, Table, draw_fine, svg, table};
use gatefrost_report::{HoldStudy, Moments, PassageReport, Report, Stage};
use gatefrost_window::{Bands, Beside, Window};
use js_sys::JSON;
use plotters_canvas::CanvasBackend;
use serde::{Deserialize, Serialize};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// How the page wants a figure.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(default)]
pub(crate) struct Options {
    dark: bool,
    print: bool,
    title: bool,
    /// The units in which numbers are shown.
    units: Units,
    /// Device pixels per CSS pixel.
    scale: f64,
    /// The set point on the window, (x, y) in edge units; a number that is none arrives as nothing.
    set_point: [Option<f64>; 2],
    /// Whether the window shows the bands of its lines.
    bands: bool,
    /// The best set point on the window, likewise.
    best: [Option<f64>; 2],
    /// Which moment of the cycle the cavity and what stands along it show.
    moment: Option<usize>,
    /// The passage whose end leads along the way.
    end: Option<usize>,
    /// The passage that is picked out in the path alone.
    chosen: Option<usize>,
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
    pub(crate) fn read(value: JsValue) -> Result<Self, JsValue> {
        let text = JSON::stringify(&value)?.as_string().unwrap_or_default();
        document::read(&text).map_err(failed)
    }

    pub(crate) fn style(self) -> Style {
        Style { dark: self.dark, scale: self.scale, print: self.print, title: self.title, units: self.units }
    }
}

/// The last results, ready to be drawn.
#[wasm_bindgen]
#[derive(Default)]
pub struct Sheet {
    report: Option<Report>,
    window: Option<Window>,
    bands: Option<Bands>,
    beside: Option<Beside>,
    moments: Option<Moments>,
    study: Option<HoldStudy>,
    path: Vec<PassageReport>,
}

/// A window in a line.
#[derive(Serialize)]
struct WindowLine {
    usable_share: f64,
    bounded_by: Vec<&'static str>,
    /// What stands in the way where nothing is usable.
    nothing: Option<String>,
}

impl WindowLine {
    fn of(window: &Window) -> Self {
        let bounded_by = window.bounded_by().into_iter().map(Limit::label).collect();
        Self {
            usable_share: window.usable_share,
            bounded_by,
            nothing: gatefrost_plot::nothing_usable(window),
        }
    }
}

/// Two windows of one plane.
#[derive(Serialize)]
struct Compared<'a> {
    here: WindowLine,
    there: WindowLine,
    /// Margins at the other's set point.
    margins: &'a [Margin],
}

/// A moment in a line, for the page's words.
#[derive(Serialize)]
struct MomentLine {
    time_s: f64,
    stage: Stage,
    filled_percent: f64,
    nozzle_mpa: f64,
}

#[wasm_bindgen]
impl Sheet {
    /// An empty sheet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes what `evaluate` packed. Moments and study of another report are dropped.
    ///
    /// # Errors
    /// When the bytes are no report.
    pub fn set_report(&mut self, bytes: &[u8]) -> Result<(), JsError> {
        self.report = Some(unpacked(bytes)?);
        self.moments = None;
        self.study = None;
        Ok(())
    }

    /// Takes the flow path of a scenario that is being edited, for the figure `passages`.
    ///
    /// # Errors
    /// Throws the scenario's problems.
    pub fn set_path(&mut self, scenario: &str) -> Result<(), JsValue> {
        let cavity = gatefrost_report::cavity_of(&crate::read(scenario)?).map_err(|e| crate::thrown(&e))?;
        self.path = cavity.passages;
        Ok(())
    }

    /// Takes what `moments` packed; returns a line for each moment.
    ///
    /// # Errors
    /// When the bytes are none of it.
    pub fn set_moments(&mut self, bytes: &[u8]) -> Result<JsValue, JsValue> {
        let moments: Moments = unpacked(bytes)?;
        let line = |m: &gatefrost_report::Moment| MomentLine {
            time_s: m.time_s,
            stage: m.stage,
            filled_percent: m.filled_percent,
            nozzle_mpa: m.nozzle_mpa,
        };
        let lines: Vec<MomentLine> = moments.moments.iter().map(line).collect();
        self.moments = Some(moments);
        to_js(&lines)
    }

    /// Takes what `hold_study` packed; returns its gates.
    ///
    /// # Errors
    /// When the bytes are none of it.
    pub fn set_study(&mut self, bytes: &[u8]) -> Result<JsValue, JsValue> {
        let study: HoldStudy = unpacked(bytes)?;
        let gates = to_js(&study.gates);
        self.study = Some(study);
        gates
    }

    /// Takes what `Tracing` packed. The bands of another window are dropped.
    ///
    /// # Errors
    /// When the bytes are no window.
    pub fn set_window(&mut self, bytes: &[u8]) -> Result<(), JsError> {
        self.window = Some(unpacked(bytes)?);
        self.bands = None;
        Ok(())
    }

    /// Takes what `bands` packed; returns whether there are any.
    ///
    /// # Errors
    /// When the bytes are none.
    pub fn set_bands(&mut self, bytes: &[u8]) -> Result<bool, JsError> {
        let bands: Bands = unpacked(bytes)?;
        let any = !bands.bands.is_empty() || bands.not_followed > 0;
        self.bands = Some(bands).filter(|_| any);
        Ok(any)
    }

    /// Takes what `beside` packed; without it there is no other scenario any more.
    ///
    /// # Errors
    /// When the bytes are none.
    pub fn set_beside(&mut self, bytes: Option<Box<[u8]>>) -> Result<(), JsError> {
        self.beside = bytes.map(|bytes| unpacked(&bytes)).transpose()?;
        Ok(())
    }

    /// What stands of each limit in the report, in a reader's units: a sentence each, in its order.
    ///
    /// # Errors
    /// When there is no such set of units.
    pub fn sentences(&self, units: &str) -> Result<Vec<String>, JsValue> {
        let units = crate::units::named(units)?;
        let margins = self.report.iter().flat_map(|report| &report.margins);
        Ok(margins.map(|margin| margin.told(units)).collect())
    }

    /// The window in a line: `{usable_share, bounded_by}`; `null` before there is one.
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    pub fn window_line(&self) -> Result<JsValue, JsValue> {
        to_js(&self.window.as_ref().map(WindowLine::of))
    }

    /// Both windows and the other's margins: `{here, there, margins}`; `null` unless both are there, in
    /// one plane.
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    pub fn compared(&self) -> Result<JsValue, JsValue> {
        let both = self.window.as_ref().zip(self.beside.as_ref());
        let both = both.filter(|(window, beside)| window.plane == beside.window.plane);
        to_js(&both.map(|(window, beside)| Compared {
            here: WindowLine::of(window),
            there: WindowLine::of(&beside.window),
            margins: &beside.margins,
        }))
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
        on_canvas(canvas, &self.figure(figure, options)?, options)
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
        to_js(&self.shown(figure, options)?)
    }

    /// The data of a figure as CSV text.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn csv(&self, figure: &str, options: JsValue) -> Result<String, JsValue> {
        Ok(self.shown(figure, options)?.to_csv())
    }
}

impl Sheet {
    fn shown(&self, figure: &str, options: JsValue) -> Result<Table, JsValue> {
        let options = Options::read(options)?;
        Ok(table(&self.figure(figure, options)?).shown_in(options.units))
    }

    fn figure(&self, name: &str, options: Options) -> Result<Figure<'_>, JsError> {
        let missing = || JsError::new("nothing has been computed yet");
        if name == "window" {
            let window = self.window.as_ref().ok_or_else(missing)?;
            return Ok(Figure::Window {
                window,
                set_point: options.set_point.map(|v| v.unwrap_or(f64::NAN)),
                over: Over {
                    bands: self.bands.as_ref().filter(|_| options.bands),
                    beside: self.beside.as_ref(),
                    best: options.best[0].zip(options.best[1]).map(|(x, y)| [x, y]),
                },
            });
        }
        if name == "passages" {
            return Ok(Figure::Path { passages: &self.path, chosen: options.chosen });
        }
        let report = self.report.as_ref().ok_or_else(missing)?;
        let at = self.moments.as_ref().zip(options.moment).map(|(moments, index)| At { moments, index });
        match name {
            "viscosity" => Ok(Figure::Viscosity(report)),
            "pressures" => Ok(Figure::FillPressure(report)),
            "path" => Ok(Figure::Along { report, at, end: options.end }),
            "hold" => Ok(Figure::Hold(report)),
            "trace" => Ok(Figure::Trace(report, self.moments.as_ref().ok_or_else(missing)?)),
            "mass" => Ok(Figure::Mass(report, self.study.as_ref().ok_or_else(missing)?)),
            "cavity" => Ok(Figure::Cavity(report, at)),
            "cycle" => Ok(Figure::Cycle(report)),
            other => Err(JsError::new(&format!("there is no figure {other:.40}"))),
        }
    }
}

/// Draws a figure over the whole canvas; returns where its plots came to lie.
/// How much finer than its pixels a canvas is drawn on.
const FINENESS: u32 = 4;

pub(crate) fn on_canvas(
    canvas: HtmlCanvasElement,
    figure: &Figure<'_>,
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

pub(crate) fn failed(error: impl std::fmt::Display) -> JsValue {
    JsError::new(&error.to_string()).into()
}
