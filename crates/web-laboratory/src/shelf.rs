//! What the laboratory has to choose from, and how its fields are described.

use gatefrost_core::catalogue::Parameter;
use gatefrost_core::scenario::FlowLawKind;
use gatefrost_laboratory::critical;
use gatefrost_laboratory::dsc;
use gatefrost_laboratory::recipe::{self, Recipe, library};
use gatefrost_laboratory::rheometry;
use gatefrost_web::catalogue::Entry;
use gatefrost_web::values::document_to_js;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// Rheometer readings to try the laboratory with: invented. They are those of a Cross law with n = 0.38, τ* = 100 kPa,
/// D1 = 4000 Pa·s at 165 °C, A1 = 8 and A2 = 438.15 K in a capillary (the flow is the integral of the shear rate over the
/// section), with an entrance that costs as much as 1.2 diameters of die, and a normal scatter of 1 %.
pub(super) const READINGS: &str = include_str!("readings.csv");

/// Densities and torques to try the laboratory with.
pub(super) const LOADINGS: &str = include_str!("loadings.csv");

/// A scan on cooling and one on heating to try the laboratory with.
pub(super) const SCANS: [&str; 2] = [include_str!("cooling.csv"), include_str!("heating.csv")];

/// Fields of the page that no document holds.
const FIELDS: &[Parameter] = &[
    field(
        "rate",
        "γ̇",
        "1/s",
        [0.01, 1e6],
        "Shear rate",
        "Where viscosity is drawn against loading; it changes no constant.",
    ),
    field(
        "temperature",
        "T",
        "°C",
        [60.0, 400.0],
        "Temperature",
        "Where viscosity is drawn, and 20 K to either side of it; it changes no constant.",
    ),
    field("share", "", "%", [0.0, 100.0], "Share of the binder's mass", "The shares together make 100 %."),
    field(
        "exponent_error",
        "",
        "",
        [0.0, 2.0],
        "Standard error of the exponent",
        "How well the exponent is known beforehand; 0 holds it fixed. A smaller exponent goes with a lower critical loading, and the interval includes that.",
    ),
    field(
        "scan_rate",
        "β",
        "K/min",
        [0.01, 1000.0],
        "Rate of heating and cooling",
        "That of the instrument's program. A heat flow needs it; a heat capacity does not.",
    ),
    field(
        "scan_mass",
        "m",
        "mg",
        [0.01, 1e5],
        "Mass of the sample",
        "A heat flow in mW needs it; one in W/g does not.",
    ),
    field(
        "binder_share",
        "",
        "%",
        [0.1, 100.0],
        "Binder in the sample's mass",
        "100 for binder alone. Left empty, the sample is the scenario's feedstock, and the share follows from its loading and densities.",
    ),
    field(
        "regrind",
        "",
        "%",
        [0.0, 100.0],
        "Regrind in the batch",
        "Share of the batch's mass that is regrind of the same powder and binder.",
    ),
];

/// A field of the page.
const fn field(
    field: &'static str,
    symbol: &'static str,
    unit: &'static str,
    range: [f64; 2],
    title: &'static str,
    help: &'static str,
) -> Parameter {
    Parameter::apart("page", field, symbol, unit, range, title, help)
}

/// Powders, binder parts and worked examples of the laboratory, its fields and choices.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct LaboratoryShelf {
    powders: &'static [library::Powder],
    binders: &'static [library::BinderPart],
    recipes: Vec<NamedRecipe>,
    laws: Vec<(FlowLawKind, &'static str)>,
    readings_form: &'static [&'static str],
    loadings_form: &'static [&'static str],
    scans_form: &'static [&'static str],
    readings: &'static str,
    loadings: &'static str,
    /// On cooling and on heating.
    scans: [&'static str; 2],
    fields: Vec<Entry>,
    choices: &'static [recipe::Choice],
}

#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct NamedRecipe {
    /// Name of the feedstock that it gives.
    title: String,
    recipe: Recipe,
}

/// What the laboratory has to choose from: powders and binder parts with their sources, worked
/// recipes, tables of readings to try, and how its own fields are described.
///
/// # Errors
/// Only when the browser cannot hold the answer.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.LaboratoryShelf")]
pub fn laboratory_shelf() -> Result<JsValue, JsValue> {
    let recipes = recipe::EXAMPLES.iter().map(|example| {
        let recipe = example.recipe();
        NamedRecipe { title: recipe.title(), recipe }
    });
    let fields = recipe::NUMBERS.iter().chain(FIELDS);
    document_to_js(&LaboratoryShelf {
        powders: library::powders(),
        binders: library::binders(),
        recipes: recipes.collect(),
        laws: FlowLawKind::ALL.iter().map(|&law| (law, law.label())).collect(),
        readings_form: rheometry::FORM,
        loadings_form: critical::FORM,
        scans_form: dsc::FORM,
        readings: READINGS,
        loadings: LOADINGS,
        scans: SCANS,
        fields: fields.map(Entry::of).collect(),
        choices: recipe::CHOICES,
    })
}
