//! From a recipe (powder, binder parts, loading) to an estimated feedstock.
//!
//! A [`Recipe`] is read from JSON, checked, and turned into an [`Estimate`]: a
//! [`Feedstock`](gatefrost_core::scenario::Feedstock) with every constant filled in, each with a band and a
//! standard error. Numbers of powders and binder parts come from the [`library`]. An estimate is not
//! a measurement; its remarks say so.
//!
//! ```json
//! {
//!   "powder": "316l",
//!   "loading": { "volume_percent": 60 },
//!   "binder": [
//!     { "part": "paraffin_wax", "mass_fraction": 0.65 },
//!     { "part": "pp", "mass_fraction": 0.30 },
//!     { "part": "stearic_acid", "mass_fraction": 0.05 }
//!   ],
//!   "critical_loading": 65,
//!   "batch": { "amount": { "mass_kg": 10 }, "regrind": { "mass_fraction": 0.3 } }
//! }
//! ```
//!
//! Loadings are by volume at room temperature (20 °C), as a batch is weighed.

mod batch;
mod blend;
mod check;
mod curves;
mod estimate;
pub(crate) mod estimated;
mod family;
pub mod flow;
pub mod heat;
pub mod library;
pub mod names;
mod options;
mod properties;
mod remarks;

pub use batch::{Amount, Batch, BatchSheet, PartMass, Regrind, mass_percent, volume_percent};
pub use blend::{Blend, Setting, SettingPeak, Spread};
pub use curves::{FlowPoint, LoadingPoint, flow_curve, loading_curve};
pub use estimate::{Estimate, PROVENANCE};
pub use estimated::Estimated;
pub use flow::{Contribution, mouldability};
pub use options::{CHOICES, Choice, NUMBERS};
pub use properties::{HeatPoint, RuleValue};
pub use remarks::of_name as naming_remark;

use gatefrost_core::document;
use gatefrost_core::scenario::{ConductivityRule, LoadingLaw, LoadingScaling, ScenarioError};
use serde::{Deserialize, Serialize};

/// What was weighed, and the rules to estimate with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Recipe {
    /// Name of the feedstock; left out or empty, one from powder and binder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Key of the powder in the library.
    pub powder: String,
    /// How much powder.
    pub loading: Loading,
    /// The binder's parts; their mass fractions sum to 1.
    pub binder: Vec<Part>,
    /// Critical loading φc [vol%]; left out, that of a usual lot of the powder is taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub critical_loading: Option<f64>,
    /// Its standard error [vol%], as station or command `critical` gives it; left out, 1 vol%.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub critical_loading_error: Option<f64>,
    /// Median particle size \[µm\]; left out, the powder's usual size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub particle_size: Option<f64>,
    /// How viscosity grows with loading.
    #[serde(default = "power")]
    pub loading_law: LoadingLaw,
    /// Exponent m of the power form.
    #[serde(default = "two")]
    pub loading_exponent: f64,
    /// How the flow law is carried to another loading.
    #[serde(default)]
    pub loading_scaling: LoadingScaling,
    /// How the mixture's conductivity is estimated.
    #[serde(default = "lewis_nielsen")]
    pub conductivity_rule: ConductivityRule,
    /// Form of the estimated flow law.
    #[serde(default)]
    pub flow_form: FlowForm,
    /// Where the feedstock is said to stop flowing.
    #[serde(default)]
    pub no_flow_rule: NoFlowRule,
    /// Temperature the flow law is estimated at \[°C\]; left out, 160 °C or the next 5 °C step at least
    /// 2 K above the end of melting, if that is hotter; for wax alone the next 5 °C step at least 10 K above it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference_temperature: Option<f64>,
    /// Whether the binder heat capacity contains the latent heat, as a mean; else the latent heat stands
    /// by itself with the range in which it is given up.
    #[serde(default)]
    pub latent_in_heat_capacity: bool,
    /// The batch to weigh, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub batch: Option<Batch>,
}

/// Powder content, by volume or by mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Loading {
    /// Share of the volume at room temperature [%].
    VolumePercent(f64),
    /// Share of the mass [%].
    MassPercent(f64),
}

/// A binder part and its share of the binder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Key in the library.
    pub part: String,
    /// Share of the binder's mass.
    pub mass_fraction: f64,
}

/// Form of the estimated flow law.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum FlowForm {
    /// As is usual for the binder: Herschel and Bulkley's for wax alone at low pressure, Cross's for any other.
    #[default]
    Usual,
    /// Cross law; its WLF constants are set so that the temperature dependence is Arrhenius's.
    CrossWlf,
    /// The power law that touches it at 1000 1/s.
    PowerLaw,
    /// A yield stress and a branch that thins little.
    HerschelBulkley,
}

/// Where the feedstock is said to stop flowing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum NoFlowRule {
    /// Where the part that sets first on cooling, and makes up at least a tenth of the binder, begins to: the
    /// backbone, as a rule.
    #[default]
    Backbone,
    /// Where half of the binder's mass has solidified: the main wax, as a rule.
    HalfSolid,
}

fn power() -> LoadingLaw {
    LoadingLaw::Power
}

fn lewis_nielsen() -> ConductivityRule {
    ConductivityRule::LewisNielsen
}

fn two() -> f64 {
    2.0
}

impl Recipe {
    /// Reads and checks a recipe.
    ///
    /// # Errors
    /// Lists every problem with its field, value and accepted range.
    pub fn from_json(text: &str) -> Result<Self, ScenarioError> {
        if text.len() > gatefrost_core::scenario::MAX_JSON_BYTES {
            let most = gatefrost_core::scenario::MAX_JSON_BYTES;
            return Err(check::one("", &format!("has {} bytes; at most {most} are accepted", text.len())));
        }
        let recipe: Self = document::read(text).map_err(|unread| check::unreadable(&unread))?;
        recipe.resolve()?;
        Ok(recipe)
    }

    /// The recipe as indented JSON.
    pub fn to_json(&self) -> String {
        document::pretty(self).expect("a recipe holds only text and numbers")
    }

    /// Checks the recipe, but not whether its batch can be mixed.
    ///
    /// # Errors
    /// Lists every problem with its field, value and accepted range.
    pub fn validate(&self) -> Result<(), ScenarioError> {
        self.resolve().map(|_| ())
    }

    /// Name of the feedstock, whether given or not; empty where the recipe is not in order.
    pub fn title(&self) -> String {
        self.resolve().map_or_else(|_| String::new(), |resolved| resolved.name)
    }

    /// The feedstock this recipe should give.
    ///
    /// # Errors
    /// Lists what is wrong with the recipe, or with a constant that comes out beyond what a scenario
    /// accepts.
    pub fn estimate(&self) -> Result<Estimate, ScenarioError> {
        estimate::estimate(self, &self.resolve()?)
    }

    /// The masses to weigh for a batch.
    ///
    /// # Errors
    /// Lists what is wrong with the recipe or the batch.
    pub fn batch_sheet(&self, batch: &Batch) -> Result<BatchSheet, ScenarioError> {
        batch::sheet(&self.resolve()?, batch)
    }
}

/// A worked recipe: its name, and its document.
pub struct Example {
    /// Name to ask for it by.
    pub name: &'static str,
    json: &'static str,
}

impl Example {
    /// The recipe.
    pub fn recipe(&self) -> Recipe {
        Recipe::from_json(self.json).expect("every example is read by a test")
    }
}

/// Worked recipes, invented for illustration. The last four are named after the families of binders; each gives the
/// material of that family's demo within its band. The others are not the feedstocks of demos.
pub const EXAMPLES: &[Example] = &[
    Example { name: "steel", json: include_str!("../../data/recipes/steel.json") },
    Example { name: "alumina", json: include_str!("../../data/recipes/alumina.json") },
    Example { name: "zirconia", json: include_str!("../../data/recipes/zirconia.json") },
    Example { name: "wax_polyolefin", json: include_str!("../../data/recipes/wax_polyolefin.json") },
    Example { name: "polyacetal", json: include_str!("../../data/recipes/polyacetal.json") },
    Example { name: "water_soluble", json: include_str!("../../data/recipes/water_soluble.json") },
    Example { name: "wax_low_pressure", json: include_str!("../../data/recipes/wax_low_pressure.json") },
];
