//! What surrounds the mould: the route, the machine, the mould, mixing and cost; and the whole plan on one sheet.
//!
//! The input is a validated scenario, what was computed of its set point ([`Shot`], read from the report) and what follows
//! the mould. Nothing is computed twice: pressures, forces, times and limits are those of the report. Models stand in SI in
//! [`press`], [`grip`], [`machine`], [`mixing`] and [`cost`]; the rest tells them in the units of the trade.

pub mod cost;
pub mod grip;
pub mod machine;
pub mod mixing;
pub mod mould;
pub mod press;
pub mod route;
pub mod sheet;
mod shot;
#[cfg(test)]
mod tests;
mod told;

pub use shot::Shot;
pub use told::Row;

pub(crate) use gatefrost_after::plan::parts_of_a_shot;
use gatefrost_after::plan::{FromMould, Plan};
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;

/// Everything around the mould, and the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WholePlan {
    /// Is moulding the route?
    pub route: route::RoutePlan,
    /// What the cycle asks of the machine; `None` until the shot is computed.
    pub machine: Option<machine::MachinePlan>,
    /// Coolant, vents, cores; `None` until the shot is computed.
    pub mould: Option<mould::MouldPlan>,
    /// Mixing; `None` until the shot is computed.
    pub mixing: Option<mixing::MixingPlan>,
    /// Cost and rate.
    pub cost: cost::CostPlan,
    /// The plan on one page.
    pub sheet: sheet::Sheet,
}

/// The whole plan of a validated scenario. `shot` is the report of its set point, `handed` what the mould hands on, `after`
/// what follows the mould.
pub fn plan(s: &Scenario, shot: Option<&Shot>, handed: Option<&FromMould>, after: &Plan) -> WholePlan {
    let cost = cost::plan(s, shot, after);
    let route = route::plan(s, shot, after, cost.pays_from);
    let machine = shot.map(|shot| machine::plan(s, shot));
    let mould = shot.map(|shot| mould::plan(s, shot));
    let mixing = shot.map(|shot| mixing::plan(s, shot));
    let sheet = sheet::Sheet::of(&sheet::Parts {
        s,
        shot,
        handed,
        after,
        route: &route,
        machine: machine.as_ref(),
        mould: mould.as_ref(),
        mixing: mixing.as_ref(),
        cost: &cost,
    });
    WholePlan { route, machine, mould, mixing, cost, sheet }
}
