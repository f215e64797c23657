//! How safe a set point is: how far it may be disturbed, what share of shots stays inside, what would widen
//! the window.
//!
//! Disturbances are normal, with the scatter that the scenario gives its settings, its loading and its lots. The
//! margins near a set point are replaced by smooth functions led through evaluations of the model
//! (`surrogate`); what is promised is then checked against the model itself.
//!
//! The limit of sizes is left out: its Cpk already counts the scatter of all shots, so that no single shot meets it or not.

mod answers;
mod best;
mod changes;
mod closed;
mod levers;
mod lots;
mod powder;
mod surrogate;
mod unknowns;
mod yields;

pub use answers::{Answers, answers};
pub use best::{Best, Failing, Reserve, Tried, best, found, present};
pub use changes::{CHANGED, LASTING};
pub use closed::{Closed, Opening, closed, opening, ranked};
pub use levers::{Lever, leverage, levers, usable};
pub use powder::{from_mould, handed_on};
pub use unknowns::{Unknown, unknowns};
pub use yields::{Share, Yield, yields};

use gatefrost_core::limits::{COUNT, Limit};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use serde::Serialize;

pub use gatefrost_core::scenario::DISTURBED;

/// How many disturbances there are.
pub(crate) const DIMENSIONS: usize = DISTURBED.len();

/// How many of them, the first, can be set.
pub(crate) const SET: usize = 5;

/// One value for each of [`DISTURBED`], in edge units.
pub(crate) type Values = [f64; DIMENSIONS];

/// Standard deviations of the disturbances at a place, in edge units: that of the injection time is a share
/// of it.
pub(crate) fn scatter_at(scenario: &Scenario, x: &Values) -> Values {
    std::array::from_fn(|k| scenario.scatter_of(DISTURBED[k], x[k]))
}

/// The same at the set point.
pub(crate) fn scatter(scenario: &Scenario) -> Values {
    scatter_at(scenario, &standing(scenario))
}

/// Where the set point stands.
pub(crate) fn standing(scenario: &Scenario) -> Values {
    DISTURBED.map(|axis| scenario.get(axis))
}

/// Cells and layers of a model that is good enough for slopes and differences, and of one that says where to look.
pub(crate) const COARSE: [u32; 2] = [20, 10];
pub(crate) const ROUGH: [u32; 2] = [12, 8];

/// The scenario on a model with no more cells and layers than so many.
pub(crate) fn at_most(scenario: &Scenario, [cells, layers]: [u32; 2]) -> Scenario {
    Scenario { model: scenario.model.at_most(cells, layers), ..scenario.clone() }
}

/// Least and greatest value of each that can be computed with this scenario.
pub(crate) fn bounds(scenario: &Scenario) -> [[f64; 2]; DIMENSIONS] {
    let f = &scenario.feedstock;
    let mut bounds = DISTURBED.map(|axis| [axis.parameter().min, axis.parameter().max]);
    bounds[0][0] = bounds[0][0].max(f.no_flow_temperature + 5.0);
    bounds[1][1] = bounds[1][1].min(f.no_flow_temperature);
    bounds[3][1] = bounds[3][1].min(scenario.machine.max_pressure);
    bounds[4][0] = bounds[4][0].max(0.01);
    bounds[5][1] = bounds[5][1].min(f.critical_loading - 0.2).min(f.sintered_density - 0.2);
    bounds
}

/// Limits that count in this scenario, by their place in [`Limit::ALL`].
pub(crate) fn counting(scenario: &Scenario) -> Vec<usize> {
    (0..COUNT).filter(|&k| !scenario.ignored.contains(&Limit::ALL[k])).collect()
}

/// All of it, for the command line.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Safety {
    /// The best set point near the present one.
    pub best: Best,
    /// Share of shots inside at the present one.
    pub shots: Yield,
    /// What would widen the window, what widens it most first; empty where it is closed.
    pub levers: Vec<Lever>,
    /// What would open the window where it is closed: where no place of the plane meets every limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub closed: Option<Closed>,
    /// What the limits allow: smallest gate, highest loading, most cavities.
    pub answers: Answers,
}

/// Works all of it out, given the [`usable`] shares with the levers where the window is open and every [`opening`]
/// where it is closed, which several workers may have found.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn safety(
    scenario: &Scenario,
    shares: &[Option<f64>],
    openings: Vec<Opening>,
) -> Result<Safety, ScenarioError> {
    scenario.validate_plane()?;
    let closed = (!openings.is_empty()).then(|| ranked(openings));
    let levers = if closed.is_some() { Vec::new() } else { leverage(scenario, shares)? };
    Ok(Safety {
        best: best(scenario)?,
        shots: yields(scenario)?,
        levers,
        closed,
        answers: answers(scenario)?,
    })
}
