//! The whole plan with its figures, for its page.

use gatefrost_after::plan::FromMould;
use gatefrost_core::document;
use gatefrost_planning::machine::SIZES;
use gatefrost_planning::{Shot, WholePlan, plan};
use gatefrost_plot::{Drawing, PlanFigure};
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::values::{document_to_js, failed, read};
use wasm_bindgen::prelude::*;

/// Generic sizes of machines to begin with.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.MachineSize[]")]
pub fn machine_sizes() -> Result<JsValue, JsValue> {
    document_to_js(&SIZES.to_vec())
}

/// The whole plan that is shown, with its figures.
#[wasm_bindgen]
#[derive(Default)]
pub struct PlanSheet {
    name: String,
    plan: Option<WholePlan>,
}

#[wasm_bindgen]
impl PlanSheet {
    /// Without a plan.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Plans a scenario, given as JSON. `report` is the report of its set point and `mould` what the mould hands on, as
    /// JSON; an empty text for nothing.
    ///
    /// # Errors
    /// Throws the scenario's problems.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.WholePlan")]
    pub fn plan(&mut self, scenario: &str, report: &str, mould: &str) -> Result<JsValue, JsValue> {
        let scenario = read(scenario)?;
        let shot: Option<Shot> =
            if report.is_empty() { None } else { Some(document::read(report).map_err(failed)?) };
        let handed: Option<FromMould> =
            if mould.is_empty() { None } else { Some(document::read(mould).map_err(failed)?) };
        let after = gatefrost_after::plan::plan(&scenario, handed.as_ref());
        let made = plan(&scenario, shot.as_ref(), handed.as_ref(), &after);
        let told = document_to_js(&made)?;
        (self.name, self.plan) = (scenario.name, Some(made));
        Ok(told)
    }
}

export_figures!(PlanSheet);

impl Figures for PlanSheet {
    /// The figure of a name: `compact` or `cost`.
    fn figure(&self, name: &str, _: Options) -> Result<impl Drawing, JsValue> {
        let found = self.plan.as_ref().and_then(|plan| match name {
            "compact" => plan.route.compact.as_ref().map(|compact| PlanFigure::Compact(compact, &self.name)),
            "cost" => plan.cost.each.map(|_| PlanFigure::Cost(&plan.cost, &self.name)),
            _ => None,
        });
        found.ok_or_else(|| failed(format!("there is no figure {name}")))
    }
}
