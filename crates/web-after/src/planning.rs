//! The whole plan with its figures, for its page.

use gatefrost_after::plan::FromMould;
use gatefrost_core::document;
use gatefrost_planning::machine::SIZES;
use gatefrost_planning::{Shot, WholePlan, plan};
use gatefrost_plot::{Drawing, PlanFigure, svg};
use gatefrost_web::figures::{Options, on_canvas};
use gatefrost_web::values::{document_to_js, failed, read, to_js};
use wasm_bindgen::prelude::*;
use web_sys::HtmlCanvasElement;

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

    /// Draws a figure over the whole canvas; returns where its plots came to lie.
    ///
    /// # Errors
    /// When there is no such figure, or the canvas cannot be drawn on.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Layout")]
    pub fn draw(
        &self,
        canvas: HtmlCanvasElement,
        figure: &str,
        #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
    ) -> Result<JsValue, JsValue> {
        on_canvas(canvas, &self.figure(figure)?, Options::read(options)?)
    }

    /// A figure as an SVG document.
    ///
    /// # Errors
    /// When there is no such figure, or its size is absurd.
    pub fn svg(
        &self,
        figure: &str,
        width: u32,
        height: u32,
        #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
    ) -> Result<String, JsValue> {
        svg(&self.figure(figure)?, width, height, &Options::read(options)?.style()).map_err(failed)
    }

    /// The numbers of a figure.
    ///
    /// # Errors
    /// When there is no such figure.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.DataTable")]
    pub fn table(
        &self,
        figure: &str,
        #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
    ) -> Result<JsValue, JsValue> {
        to_js(&self.figure(figure)?.table().shown_in(Options::read(options)?.units))
    }

    /// The numbers of a figure as CSV.
    ///
    /// # Errors
    /// When there is no such figure.
    pub fn csv(
        &self,
        figure: &str,
        #[wasm_bindgen(unchecked_param_type = "Partial<Gatefrost.Options>")] options: JsValue,
    ) -> Result<String, JsValue> {
        Ok(self.figure(figure)?.table().shown_in(Options::read(options)?.units).to_csv())
    }
}

impl PlanSheet {
    /// The figure of a name: `compact` or `cost`.
    fn figure(&self, name: &str) -> Result<PlanFigure<'_>, JsValue> {
        let found = self.plan.as_ref().and_then(|plan| match name {
            "compact" => plan.route.compact.as_ref().map(|compact| PlanFigure::Compact(compact, &self.name)),
            "cost" => plan.cost.each.map(|_| PlanFigure::Cost(&plan.cost, &self.name)),
            _ => None,
        });
        found.ok_or_else(|| failed(format!("there is no figure {name}")))
    }
}
