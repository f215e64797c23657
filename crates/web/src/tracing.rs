//! A window traced by several workers: the page holds the surface, they evaluate.

use crate::{Answer, packed, read, thrown, unpacked};
use gatefrost_core::limits::{COUNT, Margin, Stage};
use gatefrost_core::scenario::Scenario;
use gatefrost_window::{Detail, Margins, Moved, Surface, Wanted, Window};
use wasm_bindgen::prelude::*;

fn detail(fine: bool) -> Detail {
    if fine { Detail::Fine } else { Detail::Coarse }
}

fn broken(words: &str) -> JsValue {
    JsError::new(words).into()
}

/// Margins at places of the plane, three numbers for each: two fractions and how many stages further than
/// what is set; one after the other, place by place. For a worker.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn margins(scenario: &str, fine: bool, places: &[f64]) -> Result<Vec<f64>, JsValue> {
    let scenario = detail(fine).scenario(&read(scenario)?);
    let stage =
        |number: f64| Stage::ALL.into_iter().find(|s| *s as u8 as f64 >= number).unwrap_or(Stage::Hold);
    let (places, _) = places.as_chunks::<3>();
    let wanted: Vec<Wanted> =
        places.iter().map(|&[x, y, number]| Wanted { place: [x, y], stage: stage(number) }).collect();
    Ok(gatefrost_window::margins_at(&scenario, &wanted).into_flattened())
}

/// What is missed at a place of the plane, two values in edge units. For a worker.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn missed(scenario: &str, fine: bool, place: &[f64]) -> Result<Answer, JsValue> {
    let scenario = detail(fine).scenario(&read(scenario)?);
    let &[x, y] = place else { return Err(broken("a place has two values")) };
    Answer::packed(&gatefrost_window::missed_at(&scenario, [x, y]))
}

/// What one direction of the feedstock's uncertainty does to the margins where a fine window begins, one place
/// after the other; no number where it does nothing, one that is none where it cannot be followed.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn band(scenario: &str, fine: bool, direction: usize) -> Result<Vec<f64>, JsValue> {
    Ok(match gatefrost_window::moved(&read(scenario)?, detail(fine), direction).map_err(|e| thrown(&e))? {
        Moved::Not => Vec::new(),
        Moved::NotFollowed => vec![f64::NAN],
        Moved::By(margins) => margins.into_flattened(),
    })
}

/// A window on its way. In stages: the jobs of a stage, what each found, and the next stage; until there is
/// no job left.
#[wasm_bindgen]
pub struct Tracing {
    scenario: Scenario,
    surface: Surface,
    wanted: Vec<Wanted>,
    jobs: Vec<Vec<usize>>,
    found: Vec<Margins>,
    drawn: Option<Window>,
    moved: Vec<Moved>,
}

#[wasm_bindgen]
impl Tracing {
    /// Begins, coarsely while a hand is moving or finely when it rests.
    ///
    /// # Errors
    /// Throws the scenario's problems.
    #[wasm_bindgen(constructor)]
    pub fn new(scenario: &str, fine: bool) -> Result<Tracing, JsValue> {
        let scenario = read(scenario)?;
        scenario.validate_plane().map_err(|e| thrown(&e))?;
        let detail = detail(fine);
        let (wanted, jobs, found, drawn, moved) = Default::default();
        let surface = Surface::new(detail, &scenario.ignored);
        let scenario = detail.scenario(&scenario);
        Ok(Self { scenario, surface, wanted, jobs, found, drawn, moved })
    }

    /// Deals out the next stage: for each job the places to evaluate. No job once all is known.
    pub fn jobs(&mut self, hands: usize) -> Vec<js_sys::Float64Array> {
        self.wanted = self.surface.wanted();
        self.found = vec![[f64::NAN; COUNT]; self.wanted.len()];
        self.jobs = gatefrost_window::deal(&self.scenario, &self.wanted, hands);
        let numbers = |k: &usize| {
            let Wanted { place: [x, y], stage } = self.wanted[*k];
            [x, y, f64::from(stage as u8)]
        };
        let places = |job: &Vec<usize>| -> Vec<f64> { job.iter().flat_map(numbers).collect() };
        self.jobs.iter().map(|job| js_sys::Float64Array::from(&places(job)[..])).collect()
    }

    /// Takes what a job of this stage found.
    ///
    /// # Errors
    /// When there is no such job, or it was for other places.
    pub fn give(&mut self, job: usize, margins: &[f64]) -> Result<(), JsValue> {
        let (margins, rest) = margins.as_chunks::<COUNT>();
        let job = self.jobs.get(job).filter(|job| job.len() == margins.len() && rest.is_empty());
        let job = job.ok_or_else(|| broken("these margins belong to no job"))?;
        job.iter().zip(margins).for_each(|(k, margins)| self.found[*k] = *margins);
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

    /// Where the limits are nearest to being met, in edge units, when they are met nowhere.
    #[wasm_bindgen(getter)]
    pub fn nearest(&mut self) -> Option<Vec<f64>> {
        Some(self.drawn().nearest.as_ref()?.place.to_vec())
    }

    /// The window, packed; with what is missed at its nearest place, as a worker packed it.
    ///
    /// # Errors
    /// When that is something else.
    pub fn window(&mut self, missed: Option<Vec<u8>>) -> Result<Vec<u8>, JsValue> {
        if let (Some(nearest), Some(missed)) = (&mut self.drawn().nearest, missed) {
            nearest.missed = unpacked::<Vec<Margin>>(&missed)?;
        }
        packed(self.drawn())
    }

    /// How many directions the feedstock's uncertainty has, each a `band` to be had.
    #[wasm_bindgen(getter)]
    pub fn directions(&self) -> usize {
        gatefrost_window::directions(&self.scenario)
    }

    /// Takes what the next direction does.
    pub fn give_band(&mut self, moved: &[f64]) {
        self.moved.push(match moved {
            [] => Moved::Not,
            _ => {
                let (margins, rest) = moved.as_chunks::<COUNT>();
                if rest.is_empty() { Moved::By(margins.to_vec()) } else { Moved::NotFollowed }
            }
        });
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
