//! The whole plan of a scenario: route, machine, mould, mixing, cost, and the sheet; and the end of mixing.

use crate::failure::Failure;
use crate::input::Source;
use crate::output::{json, print};
use gatefrost_core::document;
use gatefrost_core::scenario::Planning;
use gatefrost_laboratory::torque;
use gatefrost_planning::{Shot, plan};
use gatefrost_report::evaluate;
use gatefrost_safety::from_mould;

/// Prints the whole plan of a scenario.
pub(crate) fn whole(source: &Source) -> Result<(), Failure> {
    let scenario = source.scenario()?;
    let refused = |e| Failure::scenario(&source.name(), &e);
    let report = evaluate(&scenario).map_err(refused)?;
    let handed = from_mould(&scenario).map_err(refused)?;
    let after = gatefrost_after::plan::plan(&scenario, handed.as_ref());
    // Read as the page reads it.
    let shot: Shot =
        document::read(&json(&report)?).map_err(|e| Failure::Bad(vec![format!("{}: {e}", source.name())]))?;
    print(&json(&plan(&scenario, Some(&shot), handed.as_ref(), &after))?)
}

/// Prints when the torque of a mixer has settled: when it changes by less than `change` \[%\] in a minute.
pub(crate) fn end_of_mixing(source: &Source, change: Option<f64>) -> Result<(), Failure> {
    let change = change.unwrap_or_else(|| Planning::default().torque_change);
    let settled = torque::settle(&source.table()?, change / 100.0);
    print(&json(&settled.map_err(|e| Failure::table(&source.name(), &e))?)?)
}
