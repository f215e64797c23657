//! The user's settings: one document of numbers in the units of the trade.
//!
//! A [`Scenario`] is read from JSON ([`Scenario::from_json`]), from a link ([`link`]) or taken from
//! a [`demo`]. Everything after that requires a scenario that has passed [`Scenario::validate`].

mod cavity;
mod conductivity;
mod debinding;
pub mod demo;
mod dial;
mod differences;
mod disturbed;
mod family;
mod feedstock;
mod flow_law;
pub mod gate;
mod limits;
pub mod link;
mod planning;
mod setup;
mod sintering;
mod sizes;
pub mod start;
mod trials;
mod validate;
mod validate_after;
mod validate_cavity;
mod validate_window;
mod version;
mod window;

pub use cavity::{Cavity, Disc, Form, Lies, MAX_PASSAGES, Passage, Reached, Role, Strip, Tube};
pub use conductivity::ConductivityRule;
pub use debinding::{
    Bath, BinderComponent, Catalytic, Debinding, DebindingStep, Leaves, MAX_PARTS, MAX_STEPS, Thermal,
};
pub use dial::{dialled_pressure, dialled_time};
pub use differences::Difference;
pub use disturbed::DISTURBED;
pub use family::Family;
pub use feedstock::{
    Feedstock, LoadingLaw, LoadingScaling, MAX_FURTHER_PEAKS, MeltingPeak, PvtLaw, TaitConstants,
};
pub use flow_law::{
    CarreauYasudaConstants, CrossWlfConstants, FlowLaw, FlowLawKind, HerschelBulkleyConstants,
    PowerLawConstants,
};
pub use limits::Thresholds;
pub use planning::Planning;
pub use setup::{HoldStep, MAX_HOLD_STEPS, MAX_RAM_STEPS, Machine, Model, Mould, RamStep, Scatter, Setup};
pub use sintering::{FurnaceStretch, MAX_STRETCHES, Sintering};
pub use sizes::{Dimension, Flow, MAX_DIMENSIONS, Sizes, Stands};
pub use trials::{MAX_SHOTS, Shot, Trials};
pub use validate::{Problem, ScenarioError};
pub use version::{Earlier, VERSION};
pub use window::{Axis, Plane, Span};

use crate::catalogue::Parameter;
use crate::document;
use crate::limit::Limit;
use crate::uncertainty::Uncertainty;
use serde::{Deserialize, Serialize};

/// Longest JSON text accepted, in bytes.
pub const MAX_JSON_BYTES: usize = 1 << 20;

/// Catalogued groups, in the order of the work.
pub(crate) fn groups() -> impl Iterator<Item = &'static [Parameter]> {
    let after: &[&[Parameter]] = &[
        MeltingPeak::PARAMETERS,
        TaitConstants::PARAMETERS,
        Passage::PARAMETERS,
        Tube::PARAMETERS,
        Strip::PARAMETERS,
        Disc::PARAMETERS,
        Mould::PARAMETERS,
        Machine::PARAMETERS,
        Setup::PARAMETERS,
        HoldStep::PARAMETERS,
        RamStep::PARAMETERS,
        Sizes::PARAMETERS,
        Dimension::PARAMETERS,
        Debinding::PARAMETERS,
        BinderComponent::PARAMETERS,
        Bath::PARAMETERS,
        Catalytic::PARAMETERS,
        Thermal::PARAMETERS,
        Sintering::PARAMETERS,
        FurnaceStretch::PARAMETERS,
        Planning::PARAMETERS,
        Trials::PARAMETERS,
        Shot::PARAMETERS,
        Thresholds::PARAMETERS,
        Scatter::PARAMETERS,
        Model::PARAMETERS,
    ];
    [Feedstock::PARAMETERS].iter().chain(flow_law::GROUPS).chain(after).copied()
}

/// Everything the user set, in edge units (°C, mm, MPa, cm³/s, vol%).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// Version of the document, [`VERSION`].
    pub gatefrost: u32,
    /// Name of the scenario.
    pub name: String,
    /// Free notes.
    #[serde(default)]
    pub notes: String,
    /// Powder, binder and flow law.
    #[serde(default)]
    pub feedstock: Feedstock,
    /// The flow path.
    pub cavity: Cavity,
    /// Vents and cooling water.
    #[serde(default)]
    pub mould: Mould,
    /// The injection machine.
    #[serde(default)]
    pub machine: Machine,
    /// The set point.
    #[serde(default)]
    pub setup: Setup,
    /// Named dimensions of the part.
    #[serde(default)]
    pub sizes: Sizes,
    /// How the binder leaves the part. A document that leaves it out gets what is usual for its family.
    #[serde(default)]
    pub debinding: Debinding,
    /// The furnace run. A document that leaves it out gets what is usual for its powder.
    #[serde(default)]
    pub sintering: Sintering,
    /// Route, screw, ejection, mixing and prices.
    #[serde(default)]
    pub plan: Planning,
    /// What the readings of shots are good to.
    #[serde(default)]
    pub trials: Trials,
    /// The trial log.
    #[serde(default)]
    pub shots: Vec<Shot>,
    /// Thresholds of the limits.
    #[serde(default)]
    pub limits: Thresholds,
    /// How well settings and loading repeat.
    #[serde(default)]
    pub scatter: Scatter,
    /// Limits that do not apply: they bound no window, and the set point need not meet them.
    #[serde(default)]
    pub ignored: Vec<Limit>,
    /// The plane of the window.
    #[serde(default)]
    pub window: Plane,
    /// Numerical resolution.
    #[serde(default)]
    pub model: Model,
}

impl Scenario {
    /// Reads and validates a scenario document.
    ///
    /// # Errors
    /// Names the field that is unknown, missing, of the wrong kind or out of range, with its value and the accepted
    /// range. Every field out of range is listed.
    pub fn from_json(text: &str) -> Result<Self, ScenarioError> {
        Self::read(text).map(|(scenario, _)| scenario)
    }

    /// As [`Self::from_json`], with notes on the changes to a document of an earlier version.
    ///
    /// # Errors
    /// As [`Self::from_json`].
    pub fn read(text: &str) -> Result<(Self, Option<Earlier>), ScenarioError> {
        if text.len() > MAX_JSON_BYTES {
            let predicate = format!("has {} bytes; at most {MAX_JSON_BYTES} are accepted", text.len());
            return Err(ScenarioError::one("", &predicate));
        }
        let mut earlier = None;
        let mut stated = [false; 3];
        let read = document::read_completed(text, |tree| {
            earlier = version::complete(tree);
            stated =
                ["debinding.parts", "debinding.steps", "sintering.stretches"].map(|path| tree.holds(path));
        });
        let mut scenario: Self = read.map_err(|unread| ScenarioError::unreadable(&unread))?;
        let feedstock = &mut scenario.feedstock;
        if feedstock.uncertainty.is_none() {
            // In version 1 numbers were exact unless an uncertainty was stated.
            let exact = earlier.as_ref().is_some_and(|earlier| earlier.version == 1);
            let stands = if exact { Uncertainty::default() } else { Uncertainty::usual(feedstock) };
            feedstock.uncertainty = Some(stands);
        }
        let usual = Debinding::usual(scenario.feedstock.family);
        let [parts, steps, run] = stated;
        if !parts {
            scenario.debinding.parts = usual.parts;
        }
        if !steps {
            scenario.debinding.steps = usual.steps;
        }
        if !run {
            scenario.sintering.stretches = Sintering::usual_run(scenario.feedstock.powder_density);
        }
        scenario.validate()?;
        Ok((scenario, earlier))
    }

    /// Number of shots of the trial log: those that are here, or what a link says of them.
    pub fn logged(&self) -> usize {
        if self.shots.is_empty() { self.trials.logged as usize } else { self.shots.len() }
    }

    /// The document as indented JSON.
    pub fn to_json(&self) -> String {
        document::pretty(self).expect("a scenario holds only text and numbers")
    }
}
