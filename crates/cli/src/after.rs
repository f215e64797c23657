//! What follows the mould: the plan of a scenario, and fits of what a shop weighs and measures.

use crate::args::TrialCall;
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use gatefrost_after::plan::{FromMould, Plan, plan, soluble_percent};
use gatefrost_core::scenario::{Bath, DebindingStep, Scenario};
use gatefrost_laboratory::rheometry::TableError;
use gatefrost_laboratory::trials::{densities, mass_loss, shrinkage};
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
struct Fitted<R: Serialize, F: Serialize> {
    #[serde(flatten)]
    readings: R,
    fit: F,
}

/// Fits the diffusivity of a bath to weighings.
pub(crate) fn mass_loss(call: &TrialCall) -> Result<(), Failure> {
    let mut scenario = call.scenario.scenario()?;
    let name = call.source.name();
    let readings = table(call, mass_loss::read)?;
    let Some(place) = scenario.debinding.steps.iter().position(|step| matches!(step, DebindingStep::Bath(_)))
    else {
        return Err(Failure::Bad(vec![format!(
            "{}: debinding.steps has no bath; mass that is lost in a bath needs one",
            call.scenario.name()
        )]));
    };
    let bath = |s: &Scenario| match &s.debinding.steps[place] {
        DebindingStep::Bath(bath) => bath.clone(),
        _ => Bath::default(),
    };
    let (soluble, of) = (soluble_percent(&scenario, &bath(&scenario)), bath(&scenario));
    let fit = mass_loss::fit(&readings.readings, soluble, &of)
        .map_err(|why| Failure::Bad(vec![format!("{name}: {why}")]))?;
    if let DebindingStep::Bath(bath) = &mut scenario.debinding.steps[place] {
        fit.put(bath);
    }
    apply(call, &scenario)?;
    print(&json(&Fitted { readings, fit })?)
}

/// Fits shrinkage and the factors of the directions to measured parts.
pub(crate) fn shrinkage(call: &TrialCall) -> Result<(), Failure> {
    let mut scenario = call.scenario.scenario()?;
    let readings = table(call, shrinkage::read)?;
    let fit = shrinkage::fit(&readings.readings, &scenario).map_err(|why| failed(call, &why))?;
    fit.put(&mut scenario);
    apply(call, &scenario)?;
    print(&json(&Fitted { readings, fit })?)
}

/// Fits the master sintering curve to furnace runs.
pub(crate) fn densities(call: &TrialCall) -> Result<(), Failure> {
    let mut scenario = call.scenario.scenario()?;
    let readings = table(call, densities::read)?;
    let fit = densities::fit(&readings.readings, &scenario).map_err(|why| failed(call, &why))?;
    fit.put(&mut scenario.sintering);
    apply(call, &scenario)?;
    print(&json(&Fitted { readings, fit })?)
}

fn failed(call: &TrialCall, why: &str) -> Failure {
    Failure::Bad(vec![format!("{}: {why}", call.source.name())])
}

fn table<T>(call: &TrialCall, read: impl Fn(&str) -> Result<T, TableError>) -> Result<T, Failure> {
    read(&call.source.table()?).map_err(|e| Failure::table(&call.source.name(), &e))
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
