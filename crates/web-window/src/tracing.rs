//! A window traced by several workers: the page holds the surface, they evaluate.
//!
//! Margins cross as lists of one number a limit, in the order of the limits; a limit that needs a later stage
//! than was evaluated has NaN.

use gatefrost_core::limits::COUNT;
use gatefrost_core::scenario::Scenario;
use gatefrost_web::values::{args_of, document_to_js, failed, from_js, packed, read, thrown, to_js};
use gatefrost_window::{Detail, Margins, Moved, Surface, Wanted, Window};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

/// A scenario, as the text of its document, and how finely it is traced.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct Traced {
    scenario: String,
    detail: Detail,
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct MarginsArgs {
    scenario: String,
    detail: Detail,
    /// Where margins are wanted, as fractions of the plane's sides, and up to which stage.
    places: Vec<Wanted>,
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct SizePartArgs {
    scenario: String,
    detail: Detail,
    /// Which part, counted from 0.
    part: usize,
}

/// One of the numbers that decide toleranced sizes over the plane. For a worker: `{scenario, detail, part}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn size_part(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.SizePartArgs")] args: JsValue,
) -> Result<f64, JsValue> {
    let SizePartArgs { scenario, detail, part } = args_of(&args)?;
    Ok(gatefrost_window::size_part(&read(&scenario)?, detail, part))
}

/// What a surface is made from at places of the plane, a list for each: margins, and ln S in the place of that of sizes. For
/// a worker: `{scenario, detail, places}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "number[][]")]
pub fn margins(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.MarginsArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let MarginsArgs { scenario, detail, places } = args_of(&args)?;
    let scenario = detail.scenario(&read(&scenario)?);
    to_js(&gatefrost_window::found_at(&scenario, &places))
}

/// The place of the plane where the worst margin is best, with what is not met there; `null` where no limit applies.
/// For a worker: `{scenario, detail}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Nearest | null")]
pub fn nearest(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.Traced")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let Traced { scenario, detail } = args_of(&args)?;
    document_to_js(&gatefrost_window::nearest(&detail.scenario(&read(&scenario)?)).map_err(thrown)?)
}

#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct BandArgs {
    scenario: String,
    detail: Detail,
    /// Which direction, counted from 0.
    direction: usize,
}

/// What one direction of the feedstock's uncertainty does to the margins where a window begins:
/// `"no_effect"`, `"not_computable"` or `{by: margins}`. For a worker: `{scenario, detail, direction}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Moved")]
pub fn band(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.BandArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let BandArgs { scenario, detail, direction } = args_of(&args)?;
    let scenario = read(&scenario)?;
    to_js(&gatefrost_window::moved(&scenario, detail, direction).map_err(thrown)?)
}

/// A window on its way. In stages: the jobs of a stage, what each found, and the next stage; until there is
/// no job left.
#[wasm_bindgen]
pub struct Tracing {
    scenario: Scenario,
    detail: Detail,
    surface: Surface,
    wanted: Vec<Wanted>,
    jobs: Vec<Vec<usize>>,
    found: Vec<Margins>,
    drawn: Option<Window>,
    moved: Vec<Moved>,
}

#[wasm_bindgen]
impl Tracing {
    /// Begins with `{scenario, detail}`.
    ///
    /// # Errors
    /// Throws the scenario's problems.
    #[wasm_bindgen(constructor)]
    pub fn new(
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Traced")] args: JsValue,
    ) -> Result<Tracing, JsValue> {
        let Traced { scenario, detail } = args_of(&args)?;
        let scenario = read(&scenario)?;
        scenario.validate_plane().map_err(thrown)?;
        let (wanted, jobs, found, drawn, moved) = Default::default();
        let surface = Surface::new(detail, &gatefrost_window::left_out(&scenario));
        let scenario = detail.scenario(&scenario);
        Ok(Self { scenario, detail, surface, wanted, jobs, found, drawn, moved })
    }

    /// How many parts of the sizes workers have to find before margins are wanted.
    #[wasm_bindgen(getter)]
    pub fn size_parts(&self) -> usize {
        gatefrost_window::size_parts(&self.scenario, self.detail)
    }

    /// Takes what was found for each of them.
    pub fn take_sizes(&mut self, parts: &[f64]) {
        self.surface.take_sizes(&self.scenario, parts);
    }

    /// Divides the next stage among so many workers: for each job the places to evaluate. No job once all is
    /// known.
    ///
    /// # Errors
    /// Only when the browser cannot hold the list.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Wanted[][]")]
    pub fn jobs(&mut self, workers: usize) -> Result<JsValue, JsValue> {
        self.wanted = self.surface.wanted();
        self.found = vec![[f64::NAN; COUNT]; self.wanted.len()];
        self.jobs = gatefrost_window::jobs(&self.scenario, &self.wanted, workers);
        let places = |job: &Vec<usize>| -> Vec<Wanted> { job.iter().map(|k| self.wanted[*k]).collect() };
        to_js(&self.jobs.iter().map(places).collect::<Vec<_>>())
    }

    /// Takes what a job of this stage found.
    ///
    /// # Errors
    /// When there is no such job, or it was for other places.
    pub fn give(
        &mut self,
        job: usize,
        #[wasm_bindgen(unchecked_param_type = "number[][]")] margins: JsValue,
    ) -> Result<(), JsValue> {
        let margins: Vec<Margins> = from_js(margins)?;
        let job = self.jobs.get(job).filter(|job| job.len() == margins.len());
        let job = job.ok_or_else(|| failed("these margins belong to no job"))?;
        job.iter().zip(margins).for_each(|(k, margins)| self.found[*k] = margins);
        Ok(())
    }

    /// Ends a stage, once each of its jobs has been given.
    pub fn next(&mut self) {
        self.surface.give(&self.found);
    }

    /// Evaluations so far, by the stages that have ended.
    #[wasm_bindgen(getter)]
    pub fn evaluations(&self) -> usize {
        self.surface.evaluations
    }

    /// Whether the limits are met together nowhere: then a worker finds the `nearest` place.
    #[wasm_bindgen(getter)]
    pub fn closed(&mut self) -> bool {
        self.drawn().is_closed()
    }

    /// The window, packed; with the nearest place of one that is closed, where a worker has found that.
    ///
    /// # Errors
    /// When that is something else.
    pub fn window(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Nearest | null")] nearest: JsValue,
    ) -> Result<Vec<u8>, JsValue> {
        self.drawn().nearest = args_of(&nearest)?;
        packed(self.drawn())
    }

    /// How many directions the feedstock's uncertainty has, each a `band` to be had.
    #[wasm_bindgen(getter)]
    pub fn directions(&self) -> usize {
        gatefrost_window::directions(&self.scenario)
    }

    /// Takes what the next direction does.
    ///
    /// # Errors
    /// When it is no answer of [`band`].
    pub fn give_band(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Gatefrost.Moved")] moved: JsValue,
    ) -> Result<(), JsValue> {
        self.moved.push(from_js(moved)?);
        Ok(())
    }

    /// The bands about the lines, packed, once every direction has been given.
    ///
    /// # Errors
    /// Only when they cannot be packed.
    pub fn bands(&mut self) -> Result<Vec<u8>, JsValue> {
        let moved = std::mem::take(&mut self.moved);
        packed(&gatefrost_window::bands_of(&self.scenario, Detail::Fine, &self.surface, &moved))
    }
}

impl Tracing {
    /// The window, joined once.
    fn drawn(&mut self) -> &mut Window {
        self.drawn.get_or_insert_with(|| gatefrost_window::window(&self.scenario, &self.surface))
    }
}
