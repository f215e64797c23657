//! The whole plan of a scenario: route, machine, mould, mixing, cost, and the sheet.

use crate::failure::Failure;
use crate::input::Source;
use crate::output::{json, print};
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
    let shot: Shot = serde_json::to_value(&report)
        .and_then(serde_json::from_value)
        .map_err(|e| Failure::Bad(vec![format!("{}: {e}", source.name())]))?;
    print(&json(&plan(&scenario, Some(&shot), handed.as_ref(), &after))?)
}
