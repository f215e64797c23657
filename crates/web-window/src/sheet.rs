//! The figures of one scenario: holds the last report and window, draws them on canvases, writes
//! them as files.

use gatefrost_core::limits::{Limit, Margin};
use gatefrost_plot::{At, Drawing, Figure, FigureKind, Over, Rect, nearest_line, reading};
use gatefrost_report::{HoldStudy, Moments, PassageReport, Phase, Report};
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::units;
use gatefrost_web::values::{document_to_js, failed, read, thrown, unpacked};
use gatefrost_window::{Bands, Beside, Window};
use serde::Serialize;
use wasm_bindgen::prelude::*;

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
    lit: Option<Limit>,
}

/// A window in a line.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct WindowLine {
    usable_share: f64,
    bounded_by: Vec<&'static str>,
    /// What stands in the way where nothing is usable.
    nothing: Option<String>,
    /// Limits that have a line in the plane.
    lines: Vec<Limit>,
}

impl WindowLine {
    fn of(window: &Window) -> Self {
        let bounded_by = window.bounded_by().into_iter().map(Limit::label).collect();
        Self {
            usable_share: window.usable_share,
            bounded_by,
            nothing: gatefrost_plot::nothing_usable(window),
            lines: window.lines.iter().map(|line| line.limit).collect(),
        }
    }
}

/// Two windows of one plane.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct Compared<'a> {
    here: WindowLine,
    there: WindowLine,
    /// Margins at the other's set point.
    margins: &'a [Margin],
}

/// A moment in a line, for the page's words.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct MomentLine {
    time_s: f64,
    stage: Phase,
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
        let cavity = gatefrost_report::cavity_of(&read(scenario)?).map_err(thrown)?;
        self.path = cavity.passages;
        Ok(())
    }

    /// Takes what `moments` packed; returns a line for each moment.
    ///
    /// # Errors
    /// When the bytes are none of it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.MomentLine[]")]
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
        document_to_js(&lines)
    }

    /// Takes what `hold_study` packed; returns its gates.
    ///
    /// # Errors
    /// When the bytes are none of it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.GateStudy[]")]
    pub fn set_study(&mut self, bytes: &[u8]) -> Result<JsValue, JsValue> {
        let study: HoldStudy = unpacked(bytes)?;
        let gates = document_to_js(&study.gates);
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
    pub fn sentences(
        &self,
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Units")] units: &str,
    ) -> Result<Vec<String>, JsValue> {
        let units = units::named(units)?;
        let margins = self.report.iter().flat_map(|report| &report.margins);
        Ok(margins.map(|margin| margin.told(units)).collect())
    }

    /// The window in a line: `{usable_share, bounded_by, nothing, lines}`; `null` before there is one.
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.WindowLine | null")]
    pub fn window_line(&self) -> Result<JsValue, JsValue> {
        document_to_js(&self.window.as_ref().map(WindowLine::of))
    }

    /// Emphasises the line of a limit on the window from now on; none without a name that is known.
    pub fn set_lit(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Limit | null")] limit: Option<String>,
    ) {
        self.lit = limit.and_then(|name| Limit::ALL.into_iter().find(|limit| limit.name() == name));
    }

    /// The limit whose line passes within `reach` of a place; `undefined` where none does.
    ///
    /// # Arguments
    /// - `width`, `height`: size of the window's plot, and `reach` in the same pixels
    /// - `across`, `up`: fractions of the plot, from its left and lower side
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Limit | undefined")]
    pub fn limit_near(&self, width: f64, height: f64, across: f64, up: f64, reach: f64) -> Option<String> {
        let (limit, far) = nearest_line(self.window.as_ref()?, [width, height], [across, up])?;
        (far <= reach).then(|| limit.name().to_owned())
    }

    /// What the window's lines say of a place: `{met, not_met, nearest}`; `null` before there is a window.
    ///
    /// # Arguments
    /// - `width`, `height`: size of the window's plot
    /// - `across`, `up`: fractions of the plot, from its left and lower side
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Reading | null")]
    pub fn reading(&self, width: f64, height: f64, across: f64, up: f64) -> Result<JsValue, JsValue> {
        let window = self.window.as_ref();
        document_to_js(&window.map(|window| reading(window, [width, height], [across, up])))
    }

    /// Both windows and the other's margins: `{here, there, margins}`; `null` unless both are there, in
    /// one plane.
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Compared | null")]
    pub fn compared(&self) -> Result<JsValue, JsValue> {
        let both = self.window.as_ref().zip(self.beside.as_ref());
        let both = both.filter(|(window, beside)| window.plane == beside.window.plane);
        document_to_js(&both.map(|(window, beside)| Compared {
            here: WindowLine::of(window),
            there: WindowLine::of(&beside.window),
            margins: &beside.margins,
        }))
    }
}

export_figures!(Sheet);

impl Figures for Sheet {
    fn figure(&self, name: &str, options: Options) -> Result<impl Drawing, JsValue> {
        self.drawing(name, options, None)
    }

    /// Files show no emphasis.
    fn figure_on_page(&self, name: &str, options: Options) -> Result<impl Drawing, JsValue> {
        self.drawing(name, options, self.lit)
    }
}

impl Sheet {
    /// A figure, with the line of a limit emphasised.
    fn drawing(&self, name: &str, options: Options, lit: Option<Limit>) -> Result<Figure<'_>, JsValue> {
        let missing = || failed("nothing has been computed yet");
        let report = || self.report.as_ref().ok_or_else(missing);
        let at = self.moments.as_ref().zip(options.moment).map(|(moments, index)| At { moments, index });
        let kind = FigureKind::named(name).ok_or_else(|| failed(format!("there is no figure {name:.40}")))?;
        Ok(match kind {
            FigureKind::Window => Figure::Window {
                window: self.window.as_ref().ok_or_else(missing)?,
                set_point: options.set_point.map(|v| v.unwrap_or(f64::NAN)),
                over: Over {
                    bands: self.bands.as_ref().filter(|_| options.bands),
                    beside: self.beside.as_ref(),
                    best: options.best[0].zip(options.best[1]).map(|(x, y)| [x, y]),
                    lit,
                    mark_in: match [options.mark_from, options.mark_to] {
                        [[Some(left), Some(top)], [Some(right), Some(bottom)]] => {
                            Some(Rect { left, top, right, bottom })
                        }
                        _ => None,
                    },
                },
            },
            FigureKind::Passages => Figure::Passages { passages: &self.path, chosen: options.chosen },
            FigureKind::Viscosity => Figure::Viscosity(report()?),
            FigureKind::Pressures => Figure::Pressures(report()?),
            FigureKind::Path => Figure::Path { report: report()?, at, end: options.end },
            FigureKind::Hold => Figure::Hold(report()?),
            FigureKind::Trace => Figure::Trace(report()?, self.moments.as_ref().ok_or_else(missing)?),
            FigureKind::Mass => Figure::Mass(report()?, self.study.as_ref().ok_or_else(missing)?),
            FigureKind::Cavity => Figure::Cavity(report()?, at),
            FigureKind::Cycle => Figure::Cycle(report()?),
        })
    }
}
