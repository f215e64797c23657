//! The boundary between Gatefrost and the page of the feedstock laboratory: recipes, rheometer data, critical loading
//! and calorimetry, with their figures.
//!
//! Recipes are estimated on the page. Tables of readings are read and fitted in a worker with the module of readings
//! (`study`, `assess`, `scan`). Its answer has one part for the page's tables and one that the page hands on
//! ([`Laboratory::take_study`], [`Laboratory::take_assessment`], [`Laboratory::take_scan`]) to be drawn.

mod scans;
mod shelf;

pub use shelf::laboratory_shelf;

use gatefrost_core::feedstock::{ZERO_CELSIUS, at_loading};
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Debinding, Scenario, ScenarioError, demo, link};
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_laboratory::readings::{Assessed, Kept, KeptFit, Scanned, curves_of, residuals_of};
use gatefrost_laboratory::recipe::{self, Recipe, names};
use gatefrost_laboratory::rheometry::fit::coverage_warnings;
use gatefrost_laboratory::rheometry::{self, FlowPoint, WallFlow};
use gatefrost_numerics::search::geometric;
use gatefrost_plot::{Drawing, FlowStudy, LoadingStudy, RecipeStudy, Study};
use gatefrost_report::PartSpan;
use gatefrost_web::export_figures;
use gatefrost_web::figures::{Figures, Options};
use gatefrost_web::values::{document_to_js, failed, read, thrown, unpacked};
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Temperatures shown beside the chosen one, and how far from it \[K\].
const STEP: f64 = 20.0;

/// Name of a feedstock whose flow law was fitted.
const FITTED_NAME: &str = "Feedstock from readings";

/// The text of a file of readings, whatever its encoding.
///
/// # Errors
/// Throws `{problems, unlisted}` where the bytes are no text.
#[wasm_bindgen]
pub fn decode_readings(bytes: &[u8]) -> Result<String, JsValue> {
    rheometry::decode(bytes).map_err(thrown)
}

/// What the page shows of an estimate.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct EstimateShown {
    estimate: recipe::Estimate,
    /// Viscosity at the rate and temperature chosen.
    chosen: Option<recipe::FlowPoint>,
    /// Where the curves go on below what flows.
    remark: Option<String>,
}

/// The four stations, each with what it last computed.
#[wasm_bindgen]
#[derive(Default)]
pub struct Laboratory {
    recipe: Option<(Recipe, RecipeStudy)>,
    /// Slip and entrance of the readings, for a part.
    wall_flow: WallFlow,
    /// Points drawn.
    points: Vec<FlowPoint>,
    fits: Vec<KeptFit>,
    uncertainties: Vec<Uncertainty>,
    flow: Option<FlowStudy>,
    loading: Option<LoadingStudy>,
    /// On cooling, then on heating.
    scans: Vec<Scanned>,
    part: Option<PartSpan>,
}

#[wasm_bindgen]
impl Laboratory {
    /// Empty stations.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Estimates a recipe, given as JSON, and its curves: viscosity against loading at `rate` \[1/s\]
    /// and `temperature` \[°C\], and against shear rate around that temperature.
    ///
    /// # Errors
    /// Throws the recipe's problems.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.EstimateShown")]
    pub fn estimate(&mut self, text: &str, rate: f64, temperature: f64) -> Result<JsValue, JsValue> {
        let estimated = self.estimated(text, rate, temperature);
        if estimated.is_err() {
            self.recipe = None;
        }
        document_to_js(&estimated.map_err(thrown)?)
    }

    /// Viscosity \[Pa·s\] of a scenario's own feedstock at `rate` \[1/s\] and `temperature` \[°C\].
    ///
    /// # Errors
    /// Throws what is wrong with the scenario.
    pub fn own_viscosity(scenario: &str, rate: f64, temperature: f64) -> Result<f64, JsValue> {
        let scenario = read(scenario)?;
        scenario.validate().map_err(thrown)?;
        Ok(at_loading(&scenario.feedstock).0.viscosity(rate, temperature + ZERO_CELSIUS, 0.0))
    }

    /// What a name says of another powder than the recipe's, in a sentence. `what` says whose name it is. A
    /// demo's own name follows the powder by itself.
    pub fn name_remark(&self, what: &str, name: &str) -> Option<String> {
        let (recipe, _) = self.recipe.as_ref().filter(|_| !is_of_a_demo(name))?;
        recipe::naming_remark(what, name, &recipe.powder)
    }

    /// Takes what `study` answered, to draw it.
    ///
    /// # Errors
    /// When the bytes are no such answer.
    pub fn take_study(&mut self, studied: &[u8]) -> Result<(), JsError> {
        let Kept { fits, uncertainties, drawn, wall_flow } = unpacked(studied)?;
        (self.points, self.fits, self.uncertainties) = (drawn, fits, uncertainties);
        self.wall_flow = wall_flow;
        self.show_fit(0);
        Ok(())
    }

    /// Shows one of the fits, counted from the best.
    pub fn show_fit(&mut self, place: usize) {
        let rates = self.part.as_ref().map_or_else(Vec::new, |part| part.passages.clone());
        let mut study = FlowStudy { points: self.points.clone(), rates, ..FlowStudy::default() };
        if let Some(fit) = self.fits.get(place) {
            fit.kind.label().clone_into(&mut study.law);
            study.curves = curves_of(fit, &self.points, &study.rates);
            study.residuals = residuals_of(fit, &self.points);
        }
        self.flow = Some(study);
    }

    /// The scenario, as JSON, with a fitted law measured at `loading` [vol%] in place of its own: what the
    /// part asks of the data is asked of that law. Without fits the scenario as it is.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn scenario_with_fit(&self, scenario: &str, place: usize, loading: f64) -> Result<String, JsValue> {
        let mut scenario = read(scenario)?;
        if !self.fits.is_empty() {
            self.put_fit(&mut scenario, place, loading).map_err(thrown)?;
        }
        scenario.validate().map_err(thrown)?;
        Ok(scenario.to_json())
    }

    /// Takes the answer of the window's module to `span_of_part`.
    ///
    /// # Errors
    /// When the bytes are no such answer.
    pub fn set_part(&mut self, span: &[u8]) -> Result<(), JsError> {
        self.part = Some(unpacked(span)?);
        Ok(())
    }

    /// Forgets the part: it is not known any more.
    pub fn forget_part(&mut self) {
        self.part = None;
    }

    /// Whether what the part asks of the data is known.
    pub fn knows_part(&self) -> bool {
        self.part.is_some()
    }

    /// Where the part asks for more than the data behind a fit; nothing without a part.
    pub fn coverage(&self, place: usize) -> Vec<String> {
        match (self.fits.get(place), &self.part) {
            (Some(fit), Some(part)) => coverage_warnings(&fit.range, part),
            _ => Vec::new(),
        }
    }

    /// Takes what `assess` answered, to draw it.
    ///
    /// # Errors
    /// When the bytes are no such answer.
    pub fn take_assessment(&mut self, assessed: &[u8]) -> Result<(), JsError> {
        let Assessed { table, found } = unpacked(assessed)?;
        self.loading = Some(LoadingStudy { name: String::new(), table, found });
        Ok(())
    }

    /// The link to a scenario with the estimated feedstock in place of its own.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn link_with_recipe(&self, scenario: &str) -> Result<String, JsValue> {
        let mut scenario = read(scenario)?;
        self.put_recipe(&mut scenario).map_err(thrown)?;
        checked_link(scenario)
    }

    /// The link to a scenario with a fitted flow law, measured at `loading` [vol%], in place of its
    /// own; the other constants of the feedstock from the recipe, if wanted.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn link_with_fit(
        &self,
        scenario: &str,
        place: usize,
        loading: f64,
        recipe: bool,
    ) -> Result<String, JsValue> {
        let mut scenario = read(scenario)?;
        if recipe {
            self.put_recipe(&mut scenario).map_err(thrown)?;
        }
        self.put_fit(&mut scenario, place, loading).map_err(thrown)?;
        checked_link(scenario)
    }
}

export_figures!(Laboratory);

impl Figures for Laboratory {
    fn figure(&self, name: &str, _: Options) -> Result<impl Drawing, JsValue> {
        let missing = || JsError::new("nothing has been computed yet");
        let recipe = || self.recipe.as_ref().map(|(_, study)| study).ok_or_else(missing);
        let flow = || self.flow.as_ref().ok_or_else(missing);
        Ok(match name {
            "recipe_flow" => Study::RecipeFlow(recipe()?),
            "recipe_loading" => Study::RecipeLoading(recipe()?),
            "flow" => Study::Flow(flow()?),
            "residuals" => Study::Residuals(flow()?),
            "calorimetry" => Study::Calorimetry(&self.scans),
            "critical" => Study::Critical(self.loading.as_ref().ok_or_else(missing)?),
            other => return Err(failed(format!("there is no figure {other:.40}"))),
        })
    }
}

impl Laboratory {
    fn estimated(&mut self, text: &str, rate: f64, temperature: f64) -> Result<EstimateShown, ScenarioError> {
        let recipe = Recipe::from_json(text)?;
        let estimate = recipe.estimate()?;
        let rates = geometric(1.0, 1e5, 61);
        let curves = [temperature - STEP, temperature, temperature + STEP]
            .into_iter()
            .map(|t| Ok((t, recipe::flow_curve(&recipe, t, &rates)?)))
            .collect::<Result<Vec<_>, ScenarioError>>()?;
        let chosen = recipe::flow_curve(&recipe, temperature, &[rate])?.pop();
        let stiff: Vec<String> = curves
            .iter()
            .map(|(t, _)| *t)
            .filter(|t| *t <= estimate.feedstock.no_flow_temperature)
            .map(|t| format!("{} °C", number(t, 4)))
            .collect();
        let remark = (!stiff.is_empty()).then(|| {
            format!(
                "At {} the feedstock does not flow, by its no-flow temperature of {} °C: the curve there is that of the melt, extrapolated.",
                stiff.join(", "),
                number(estimate.feedstock.no_flow_temperature, 4)
            )
        });
        let study = RecipeStudy {
            name: estimate.feedstock.name.clone(),
            curves,
            leading: 1,
            loadings: recipe::loading_curve(&recipe, rate, temperature)?,
            loading: estimate.feedstock.solids_loading,
            critical: estimate.feedstock.critical_loading,
            at: [rate, temperature],
        };
        self.recipe = Some((recipe, study));
        Ok(EstimateShown { estimate, chosen, remark })
    }

    fn put_recipe(&self, scenario: &mut Scenario) -> Result<(), ScenarioError> {
        let (recipe, _) = self.recipe.as_ref().ok_or_else(|| lacking("There is no recipe to take."))?;
        // A demo's own name follows the powder; one that somebody typed stays.
        if is_of_a_demo(&scenario.name) {
            scenario.name = names::renamed(&scenario.name, &recipe.powder);
        }
        let before = scenario.feedstock.family;
        let known = std::mem::replace(&mut scenario.feedstock, recipe.estimate()?.feedstock).uncertainty;
        // Debinding that nobody has changed follows the family of the binder.
        if scenario.feedstock.family != before && scenario.debinding == Debinding::usual(before) {
            scenario.debinding = Debinding::usual(scenario.feedstock.family);
        }
        let estimated = scenario.feedstock.uncertainty.take().unwrap_or_default();
        scenario.feedstock.uncertainty = Some(estimated.beside(known.as_ref(), "feedstock."));
        Ok(())
    }

    fn put_fit(&self, scenario: &mut Scenario, place: usize, loading: f64) -> Result<(), ScenarioError> {
        let fit = self.fits.get(place).ok_or_else(|| lacking("There is no fitted law to take."))?;
        let feedstock = &mut scenario.feedstock;
        let known = feedstock.uncertainty.take();
        let fitted = self.uncertainties.get(place).cloned().unwrap_or_default();
        feedstock.uncertainty = Some(fitted.beside(known.as_ref(), "feedstock.flow_law."));
        feedstock.flow_law = fit.law.clone();
        self.wall_flow.put(feedstock);
        feedstock.measured_loading = loading;
        // The name is that of another feedstock, unless a recipe gave it.
        let others = if feedstock.provenance.starts_with(recipe::PROVENANCE) {
            format!("; the other constants {}", feedstock.provenance)
        } else {
            FITTED_NAME.clone_into(&mut feedstock.name);
            String::new()
        };
        let points = if fit.points == 1 { "1 point".to_owned() } else { format!("{} points", fit.points) };
        feedstock.provenance = format!("fitted to your data, {}, {points}{others}", fit.kind.label());
        Ok(())
    }
}

/// Whether a scenario is called as a demo is: then nobody has typed its name.
fn is_of_a_demo(name: &str) -> bool {
    demo::DEMOS.iter().any(|demo| demo.scenario().name == name)
}

fn lacking(message: &str) -> ScenarioError {
    ScenarioError::saying([message])
}

fn checked_link(mut scenario: Scenario) -> Result<String, JsValue> {
    scenario.validate().map_err(thrown)?;
    scenario.clear_no_flow();
    Ok(link::encode(&scenario))
}

/// The types of what crosses this boundary.
#[cfg(feature = "typescript")]
pub fn declarations() -> gatefrost_web::typescript::Declarations {
    use ts_rs::TypeVisitor;
    let mut declarations = gatefrost_web::typescript::Declarations::shared();
    declarations.visit::<EstimateShown>();
    declarations.visit::<rheometry::TableError>();
    declarations.visit::<shelf::LaboratoryShelf>();
    gatefrost_web_readings::declare(&mut declarations);
    declarations
}

#[cfg(test)]
mod tests;
