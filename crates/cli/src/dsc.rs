//! From calorimetry to the melting peaks, the melted temperature and the no-flow temperature of a feedstock.

use crate::args::DscCall;
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use gatefrost_laboratory::dsc::{self, Direction, DscResult, ReadOptions};
use serde::Serialize;

#[derive(Serialize)]
struct DscDocument {
    heating: Option<DscResult>,
    cooling: Option<DscResult>,
    remarks: Vec<String>,
}

/// Reads the tables, finds their peaks, and writes a scenario with them where that is asked for.
pub(crate) fn dsc(call: &DscCall) -> Result<(), Failure> {
    let scenario = call.scenario.as_ref().map(Source::scenario).transpose()?;
    let share = match (&scenario, call.of_feedstock) {
        (_, false) => 1.0,
        (Some(s), true) => dsc::binder_share(&s.feedstock),
        (None, true) => {
            let message =
                "--of-feedstock needs --scenario, whose loading and densities give the share of binder";
            return Err(Failure::Usage(message.to_owned()));
        }
    };
    let options = ReadOptions { rate: call.rate, mass: call.mass, unit: None };
    let scan = |source: &Option<Source>, direction| -> Result<Option<DscResult>, Failure> {
        let Some(source) = source else { return Ok(None) };
        let name = source.name();
        let read = dsc::read(&source.table()?, direction, &options).map_err(|e| Failure::table(&name, &e))?;
        let found = dsc::analyse(&read, share).map_err(|why| Failure::Bad(vec![format!("{name}: {why}")]))?;
        Ok(Some(found))
    };
    let heating = scan(&call.heating, Direction::Heating)?;
    let cooling = scan(&call.cooling, Direction::Cooling)?;
    let mut remarks = match (&heating, &cooling) {
        (Some(heating), Some(cooling)) => dsc::compared(heating, cooling),
        _ => Vec::new(),
    };
    if let (Some(mut scenario), Some(out)) = (scenario, &call.apply) {
        let scans: Vec<DscResult> = [&heating, &cooling].into_iter().flatten().cloned().collect();
        remarks.extend(dsc::apply(&mut scenario.feedstock, &scans));
        remarks.extend(scenario.clear_no_flow());
        scenario.validate().map_err(|e| Failure::scenario("scenario with these peaks", &e))?;
        let text = scenario.to_json() + "\n";
        std::fs::write(out, text).map_err(|e| Failure::io(&out.display().to_string(), &e))?;
        complain(&format!("the scenario with these peaks is in {}", out.display()));
    }
    print(&json(&DscDocument { heating, cooling, remarks })?)
}
