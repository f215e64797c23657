//! The feedstock laboratory: recipes, rheometer data and critical loading, with their figures.

use crate::entry::typed_number;
use crate::sheet::{Options, failed};
use crate::{json, read, thrown, to_js};
use gatefrost_core::critical::{self, CriticalLoading, CriticalOptions, DensityOptions, ResistanceOptions};
use gatefrost_core::feedstock::{Viscosity, ZERO_CELSIUS};
use gatefrost_core::recipe::{self, Recipe, library};
use gatefrost_core::report::Report;
use gatefrost_core::rheometry::fit::{self, DataRange, Fit, FitOptions, Ranking};
use gatefrost_core::rheometry::{self, FlowPoint, Reduction, TableError};
use gatefrost_core::scenario::{Problem, Scenario, ScenarioError, link};
use gatefrost_plot::{Figure, FlowStudy, LoadingStudy, RecipeStudy, Study, draw, svg, table};
use plotters_canvas::CanvasBackend;
use serde::Serialize;
use wasm_bindgen::prelude::*;
use web_sys::HtmlCanvasElement;

/// Points drawn and listed at most.
const MOST_DRAWN: usize = 2000;
/// Temperatures shown beside the chosen one, and how far from it \[K\].
const STEP: f64 = 20.0;
/// Corrections listed at most.
const MOST_LISTED: usize = 60;

/// Rheometer readings to try the laboratory with. They are those of a published textbook exercise on
/// a neat polymer, no feedstock: none could be read in full.
const READINGS: &str = include_str!("laboratory/readings.csv");

/// Densities and torques to try the laboratory with.
const LOADINGS: &str = include_str!("laboratory/loadings.csv");

/// Powders, binder parts and worked examples of the laboratory.
#[derive(Serialize)]
struct Shelf {
    powders: &'static [library::Powder],
    binders: &'static [library::BinderPart],
    recipes: Vec<NamedRecipe>,
    readings: &'static str,
    loadings: &'static str,
}

#[derive(Serialize)]
struct NamedRecipe {
    name: &'static str,
    recipe: Recipe,
}

/// What the laboratory has to choose from: powders and binder parts with their sources, worked
/// recipes, and tables of readings to try.
///
/// # Errors
/// Only when the browser cannot hold the answer.
#[wasm_bindgen]
pub fn laboratory_shelf() -> Result<JsValue, JsValue> {
    let recipes =
        recipe::EXAMPLES.iter().map(|example| NamedRecipe { name: example.name, recipe: example.recipe() });
    to_js(&Shelf {
        powders: library::powders(),
        binders: library::binders(),
        recipes: recipes.collect(),
        readings: READINGS,
        loadings: LOADINGS,
    })
}

/// The text of a file of readings, whatever its encoding.
///
/// # Errors
/// Throws `{problems, unlisted}` where the bytes are no text.
#[wasm_bindgen]
pub fn decode_readings(bytes: &[u8]) -> Result<String, JsValue> {
    rheometry::decode(bytes).map_err(|e| refused(&e))
}

/// A number as people type it, or NaN.
#[wasm_bindgen]
pub fn number_typed(text: &str) -> f64 {
    typed_number(text).unwrap_or(f64::NAN)
}

/// Readings reduced and fitted, as far as the page shows them.
#[derive(Serialize)]
struct Studied {
    notes: Vec<String>,
    points: usize,
    reduction: Reduction,
    ranking: Ranking,
}

#[derive(Serialize)]
struct Assessed {
    notes: Vec<String>,
    #[serde(flatten)]
    found: CriticalLoading,
}

/// The three stations, each with what it last computed.
#[wasm_bindgen]
#[derive(Default)]
pub struct Laboratory {
    recipe: Option<(Recipe, RecipeStudy)>,
    points: Vec<FlowPoint>,
    fits: Vec<Fit>,
    flow: Option<FlowStudy>,
    loading: Option<LoadingStudy>,
    rates: Vec<(String, f64)>,
    temperatures: Option<[f64; 2]>,
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
    pub fn estimate(&mut self, text: &str, rate: f64, temperature: f64) -> Result<String, JsValue> {
        let estimated = self.estimated(text, rate, temperature);
        if estimated.is_err() {
            self.recipe = None;
        }
        json(&estimated.map_err(|e| thrown(&e))?)
    }

    /// Reads, corrects and fits rheometer readings.
    ///
    /// # Errors
    /// Throws `{problems: [{line, column, message}], unlisted}`.
    pub fn study(&mut self, text: &str) -> Result<String, JsValue> {
        self.points.clear();
        self.fits.clear();
        self.flow = None;
        json(&self.studied(text).map_err(|e| refused(&e))?)
    }

    /// Shows one of the fits, counted from the best.
    pub fn show_fit(&mut self, place: usize) {
        let points = match self.fits.get(place) {
            Some(fit) if self.points.len() > MOST_DRAWN => fit.residuals.iter().map(|r| r.point).collect(),
            _ => self.points.iter().take(MOST_DRAWN).copied().collect(),
        };
        let mut study = FlowStudy { points, rates: self.rates.clone(), ..FlowStudy::default() };
        if let Some(fit) = self.fits.get(place) {
            fit.kind.label().clone_into(&mut study.law);
            study.curves = curves_of(fit, &self.points, &self.rates);
            study.residuals.clone_from(&fit.residuals);
        }
        self.flow = Some(study);
    }

    /// Takes the shear rates and temperatures of a part from a report.
    ///
    /// # Errors
    /// When the text is no report.
    pub fn set_part(&mut self, report: &str) -> Result<(), JsError> {
        let report: Report = serde_json::from_str(report)?;
        let fill = &report.fill;
        self.rates = fill.passages.iter().map(|p| (p.name.clone(), p.apparent_shear_rate_1_s)).collect();
        self.temperatures = Some([fill.front_temperature_min_c, fill.melt_temperature_max_c]);
        if let Some(flow) = &mut self.flow {
            flow.rates.clone_from(&self.rates);
        }
        Ok(())
    }

    /// Where the part asks for more than the data behind a fit; nothing without a part.
    pub fn coverage(&self, place: usize) -> Vec<String> {
        let (Some(fit), Some(temperatures)) = (self.fits.get(place), self.temperatures) else {
            return Vec::new();
        };
        let rates = self.rates.iter().map(|(_, rate)| *rate);
        let span = rates.fold([f64::INFINITY, 0.0_f64], |[a, b], r| [a.min(r), b.max(r)]);
        let range: &DataRange = &fit.range;
        fit::coverage_warnings(range, span, temperatures)
    }

    /// Fits a critical loading to densities and torques or viscosities. Densities \[kg/m³\] that are
    /// not known are fitted too; so is the exponent, if wanted.
    ///
    /// # Errors
    /// Throws `{problems: [{line, column, message}], unlisted}`.
    pub fn assess(
        &mut self,
        text: &str,
        powder_density: Option<f64>,
        binder_density: Option<f64>,
        exponent: Option<f64>,
    ) -> Result<String, JsValue> {
        self.loading = None;
        let table = critical::read(text).map_err(|e| refused(&e))?;
        let options = CriticalOptions {
            density: DensityOptions { powder_density, binder_density },
            resistance: ResistanceOptions { exponent },
        };
        let found = critical::assess(&table, &options);
        let notes = table.notes.clone();
        self.loading = Some(LoadingStudy { name: String::new(), table, found: found.clone() });
        json(&Assessed { notes, found })
    }

    /// The link to a scenario with the estimated feedstock in place of its own.
    ///
    /// # Errors
    /// Throws what is wrong with either, by its path.
    pub fn link_with_recipe(&self, scenario: &str) -> Result<String, JsValue> {
        let mut scenario = read(scenario)?;
        self.put_recipe(&mut scenario).map_err(|e| thrown(&e))?;
        checked_link(&scenario)
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
            self.put_recipe(&mut scenario).map_err(|e| thrown(&e))?;
        }
        self.put_fit(&mut scenario, place, loading).map_err(|e| thrown(&e))?;
        checked_link(&scenario)
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
        let figure = self.figure(figure)?;
        let backend = CanvasBackend::with_canvas_object(canvas)
            .ok_or_else(|| JsError::new("this canvas cannot be drawn on"))?;
        to_js(&draw(backend, &figure, &options.style()).map_err(failed)?)
    }

    /// A figure as SVG text.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn svg(&self, figure: &str, width: u32, height: u32, options: JsValue) -> Result<String, JsValue> {
        let options = Options::read(options)?;
        svg(&self.figure(figure)?, width, height, &options.style()).map_err(failed)
    }

    /// The data of a figure: `{caption, columns, rows}`.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn table(&self, figure: &str) -> Result<JsValue, JsValue> {
        to_js(&table(&self.figure(figure)?))
    }

    /// The data of a figure as CSV text.
    ///
    /// # Errors
    /// When the figure has no data yet.
    pub fn csv(&self, figure: &str) -> Result<String, JsValue> {
        Ok(table(&self.figure(figure)?).to_csv())
    }
}

impl Laboratory {
    fn figure(&self, name: &str) -> Result<Figure<'_>, JsError> {
        let missing = || JsError::new("nothing has been computed yet");
        let recipe = || self.recipe.as_ref().map(|(_, study)| study).ok_or_else(missing);
        let flow = || self.flow.as_ref().ok_or_else(missing);
        let study = match name {
            "recipe_flow" => Study::RecipeFlow(recipe()?),
            "recipe_loading" => Study::RecipeLoading(recipe()?),
            "flow" => Study::Flow(flow()?),
            "residuals" => Study::Residuals(flow()?),
            "critical" => Study::Critical(self.loading.as_ref().ok_or_else(missing)?),
            other => return Err(JsError::new(&format!("there is no figure {other:.40}"))),
        };
        Ok(Figure::Study(study))
    }

    fn estimated(
        &mut self,
        text: &str,
        rate: f64,
        temperature: f64,
    ) -> Result<recipe::Estimate, ScenarioError> {
        let recipe = Recipe::from_json(text)?;
        let estimate = recipe.estimate()?;
        let rates = spread(1.0, 1e5, 61);
        let curves = [temperature - STEP, temperature, temperature + STEP]
            .into_iter()
            .map(|t| Ok((t, recipe::flow_curve(&recipe, t, &rates)?)))
            .collect::<Result<Vec<_>, ScenarioError>>()?;
        let study = RecipeStudy {
            name: recipe.name.clone(),
            curves,
            leading: 1,
            loadings: recipe::loading_curve(&recipe, rate, temperature)?,
            loading: estimate.feedstock.solids_loading,
            critical: estimate.feedstock.critical_loading,
            at: [rate, temperature],
        };
        self.recipe = Some((recipe, study));
        Ok(estimate)
    }

    fn studied(&mut self, text: &str) -> Result<Studied, TableError> {
        let table = rheometry::read(text)?;
        let mut reduction = rheometry::reduce(&table.readings);
        let mut ranking = fit::rank(&reduction.points, &FitOptions::default());
        self.points = std::mem::take(&mut reduction.points);
        self.fits.clone_from(&ranking.fits);
        self.show_fit(0);
        // The page asks for figures and tables; it needs no list of every point beside them.
        for fit in &mut ranking.fits {
            fit.residuals.clear();
        }
        reduction.points = self.points.iter().take(MOST_LISTED).copied().collect();
        reduction.ends.truncate(MOST_LISTED);
        reduction.slip.truncate(MOST_LISTED);
        reduction.exponents.truncate(MOST_LISTED);
        Ok(Studied { notes: table.notes, points: self.points.len(), reduction, ranking })
    }

    fn put_recipe(&self, scenario: &mut Scenario) -> Result<(), ScenarioError> {
        let (recipe, _) = self.recipe.as_ref().ok_or_else(|| lacking("There is no recipe to take."))?;
        scenario.feedstock = recipe.estimate()?.feedstock;
        Ok(())
    }

    fn put_fit(&self, scenario: &mut Scenario, place: usize, loading: f64) -> Result<(), ScenarioError> {
        let fit = self.fits.get(place).ok_or_else(|| lacking("There is no fitted law to take."))?;
        let feedstock = &mut scenario.feedstock;
        feedstock.flow_law = fit.law.clone();
        feedstock.measured_loading = loading;
        feedstock.provenance = format!("fitted to your data, {}, {} points", fit.kind.label(), fit.points);
        Ok(())
    }
}

/// Viscosity of a fitted law over the rates of data and part, at each temperature measured.
fn curves_of(fit: &Fit, points: &[FlowPoint], rates: &[(String, f64)]) -> Vec<(f64, Vec<[f64; 2]>)> {
    let [mut low, mut high] = fit.range.shear_rates;
    for (_, rate) in rates.iter().filter(|(_, rate)| rate.is_finite() && *rate > 0.0) {
        (low, high) = (low.min(*rate), high.max(*rate));
    }
    let mut temperatures: Vec<f64> = points.iter().map(|p| p.temperature).collect();
    temperatures.sort_by(f64::total_cmp);
    temperatures.dedup_by(|later, first| *later - *first <= 1.0);
    let law = Viscosity::resolve(&fit.law, 1.0);
    let curve = |t: f64| {
        let viscosity = |rate: f64| [rate, law.viscosity(rate, t + ZERO_CELSIUS, 0.0)];
        (t, spread(low, high, 81).into_iter().map(viscosity).collect())
    };
    temperatures.into_iter().map(curve).collect()
}

/// Values evenly spaced in their logarithm.
fn spread(from: f64, to: f64, count: u32) -> Vec<f64> {
    (0..count).map(|i| from * (to / from).powf(f64::from(i) / f64::from(count - 1))).collect()
}

fn lacking(message: &str) -> ScenarioError {
    ScenarioError { problems: vec![Problem { path: String::new(), message: message.to_owned() }] }
}

fn checked_link(scenario: &Scenario) -> Result<String, JsValue> {
    scenario.validate().map_err(|e| thrown(&e))?;
    Ok(link::encode(scenario))
}

fn refused(error: &TableError) -> JsValue {
    to_js(error).unwrap_or_else(|e| e)
}

#[cfg(test)]
mod tests;
