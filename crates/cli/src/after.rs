//! What follows the mould: the plan of a scenario, and fits of what a shop weighs and measures.

use crate::args::{MassLossCall, TrialCall};
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use gatefrost_after::plan::{FromMould, Plan, plan};
use gatefrost_core::scenario::Scenario;
use gatefrost_laboratory::trials::{self, Fit, Fitted, Unfit};
use gatefrost_safety::from_mould;
use serde::Serialize;

/// What `after` prints.
#[derive(Serialize)]
struct AfterDocument {
    /// What the mould hands on; absent where no part comes out of it whose size is known.
    mould: Option<FromMould>,
    #[serde(flatten)]
    plan: Plan,
}

/// Prints debinding, sintering and sizes of a scenario.
pub(crate) fn after(source: &Source) -> Result<(), Failure> {
    let scenario = source.scenario()?;
    let mould = from_mould(&scenario).map_err(|e| Failure::scenario(&source.name(), &e))?;
    let plan = plan(&scenario, mould.as_ref());
    print(&json(&AfterDocument { mould, plan })?)
}

/// A fit as it is printed.
#[derive(Serialize)]
struct Printed<R: Serialize, F: Serialize> {
    #[serde(flatten)]
    readings: R,
    fit: F,
}

/// Fits the diffusivity of a bath to weighings.
pub(crate) fn mass_loss(call: &MassLossCall) -> Result<(), Failure> {
    fit(&call.trial, call.step, trials::fit_losses)
}

/// Fits shrinkage and the factors of the directions to measured parts.
pub(crate) fn shrinkage(call: &TrialCall) -> Result<(), Failure> {
    fit(call, None, |scenario, text, _| trials::fit_sizes(scenario, text))
}

/// Fits the master sintering curve to furnace runs.
pub(crate) fn densities(call: &TrialCall) -> Result<(), Failure> {
    fit(call, None, |scenario, text, _| trials::fit_runs(scenario, text))
}

fn fit<R: Serialize, F: Serialize>(
    call: &TrialCall,
    step: Option<usize>,
    fit: Fit<R, F>,
) -> Result<(), Failure> {
    let scenario = call.scenario.scenario()?;
    let name = call.source.name();
    let Fitted { table, fit, scenario } =
        fit(scenario, &call.source.table()?, step).map_err(|unfit| match unfit {
            Unfit::Table(error) => Failure::table(&name, &error),
            Unfit::Readings(why) => Failure::Bad(vec![format!("{name}: {why}")]),
        })?;
    apply(call, &scenario)?;
    print(&json(&Printed { readings: table, fit })?)
}

/// Writes the scenario with the fit in it where that is asked for.
fn apply(call: &TrialCall, scenario: &Scenario) -> Result<(), Failure> {
    let Some(out) = &call.apply else { return Ok(()) };
    scenario.validate().map_err(|e| Failure::scenario("scenario with this fit", &e))?;
    std::fs::write(out, scenario.to_json() + "\n")
        .map_err(|e| Failure::io(&out.display().to_string(), &e))?;
    complain(&format!("the scenario with this fit is in {}", out.display()));
    Ok(())
}
