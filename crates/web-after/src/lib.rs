//! The boundary between Gatefrost and the page of what follows the mould: debinding, sintering and sizes, with their figures,
//! and fits of what a shop weighs and measures.
//!
//! The plan takes milliseconds and follows each key: it runs on the page. What the mould hands on comes from the window's
//! module in a worker (`from_mould`), because only that one holds the solver.

mod planning;
mod shots;
mod trials;

pub use planning::{PlanSheet, machine_sizes};
pub use shots::TrialSheet;
pub use trials::{fit_densities, fit_losses, fit_shrinkage, forms};

use gatefrost_after::plan::{FromMould, Plan, draft, plan};
use gatefrost_core::document;
use gatefrost_laboratory::rheometry;
use gatefrost_plot::{AfterFigure, Drawing};
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::values::{document_to_js, failed, read, thrown};
use gatefrost_web::{numbers, units};
use wasm_bindgen::prelude::*;

/// The text of a file of readings, whatever its encoding.
///
/// # Errors
/// Throws `{problems, unlisted}` where the bytes are no text.
#[wasm_bindgen]
pub fn decode_readings(bytes: &[u8]) -> Result<String, JsValue> {
    rheometry::decode(bytes).map_err(thrown)
}

/// Reads a tolerance as people type it, in the units named, for a size in mm: a length, or with % a share of the size.
///
/// # Errors
/// Throws where there are no such units.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Entered")]
pub fn tolerance_typed(text: &str, size: f64, units: &str) -> Result<JsValue, JsValue> {
    let units = units::named(units)?;
    document_to_js(&numbers::tolerance(text, size, units))
}

/// The plan that is shown, with its figures.
#[wasm_bindgen]
#[derive(Default)]
pub struct AfterSheet {
    name: String,
    plan: Option<Plan>,
}

#[wasm_bindgen]
impl AfterSheet {
    /// Without a plan.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Plans debinding, sintering and sizes of a scenario, given as JSON. `mould` is what the mould hands on, as JSON; an
    /// empty text for nothing. In a draft the bands of debinding and other walls are left out.
    ///
    /// # Errors
    /// Throws the scenario's problems.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Plan")]
    pub fn plan(&mut self, scenario: &str, mould: &str, as_draft: bool) -> Result<JsValue, JsValue> {
        let scenario = read(scenario)?;
        let mould: Option<FromMould> =
            if mould.is_empty() { None } else { Some(document::read(mould).map_err(failed)?) };
        let made = if as_draft { draft } else { plan }(&scenario, mould.as_ref());
        let told = document_to_js(&made)?;
        (self.name, self.plan) = (scenario.name, Some(made));
        Ok(told)
    }
}

export_figures!(AfterSheet);

impl Figures for AfterSheet {
    /// The figure of a name: `budget`, `walls`, `run`, `temperatures`, or `losses-N` and `schedule-N` of step N, from 0.
    fn figure(&self, name: &str, _: Options) -> Result<impl Drawing, JsValue> {
        let found = self.plan.as_ref().and_then(|plan| {
            let step = |prefix: &str| plan.steps.get(name.strip_prefix(prefix)?.parse::<usize>().ok()?);
            match name {
                "budget" => plan.sizes.as_ref().map(|sizes| AfterFigure::Budget(sizes, &self.name)),
                "walls" => Some(AfterFigure::Walls(plan, &self.name)),
                "run" => plan.sintering.as_ref().map(|run| AfterFigure::Run(run, &self.name)),
                "temperatures" => {
                    plan.by_temperature.as_ref().map(|there| AfterFigure::Temperatures(there, &self.name))
                }
                _ => match step("losses-") {
                    Some(step) => Some(AfterFigure::Losses(step, &self.name)),
                    None => {
                        step("schedule-")?.schedule.as_ref().map(|s| AfterFigure::Schedule(s, &self.name))
                    }
                },
            }
        });
        found.ok_or_else(|| failed(format!("there is no figure {name}")))
    }
}

/// The types of what crosses this boundary.
#[cfg(feature = "typescript")]
pub fn declarations() -> gatefrost_web::typescript::Declarations {
    use ts_rs::TypeVisitor;
    let mut declarations = gatefrost_web::typescript::Declarations::shared();
    declarations.visit::<Plan>();
    // What the mould hands on, what its numbers open to and the sheet's code come from the module of studies.
    gatefrost_web_studies::declare(&mut declarations);
    gatefrost_web_readings::declare(&mut declarations);
    declarations.visit::<gatefrost_planning::WholePlan>();
    declarations.visit::<gatefrost_planning::machine::MachineSize>();
    declarations.visit::<rheometry::TableError>();
    declarations.visit::<gatefrost_plot::Layout>();
    declarations.visit::<gatefrost_plot::DataTable>();
    declarations.visit::<trials::TrialArgs>();
    declarations.visit::<trials::TrialForms>();
    declarations.visit::<trials::LossesFitted>();
    declarations.visit::<trials::SizesFitted>();
    declarations.visit::<trials::RunsFitted>();
    declarations
}
