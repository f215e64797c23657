//! From shots on the machine to a calibrated feedstock, and to the next shots.

use crate::args::CalibrateCall;
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use crate::progress::Progress;
use gatefrost_calibration::{
    Agreement, Calibration, ShotPlan, ShotPrediction, Unusable, calibrate, fits, plan, predict, table,
};
use gatefrost_core::scenario::{Scenario, Shot};
use serde::Serialize;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

/// Parts in which the progress is shown.
const PARTS: usize = 100;

/// What is printed: what was asked for.
#[derive(Serialize)]
struct Printed {
    #[serde(skip_serializing_if = "Option::is_none")]
    agreement: Option<Agreement>,
    #[serde(skip_serializing_if = "Option::is_none")]
    calibration: Option<Calibration>,
    #[serde(skip_serializing_if = "Option::is_none")]
    predictions: Option<Vec<ShotPrediction>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plan: Option<ShotPlan>,
}

/// Calibrates a scenario on its log, and predicts or plans with what was found.
pub(crate) fn run(call: &CalibrateCall) -> Result<(), Failure> {
    let mut scenario = call.source.scenario()?;
    let name = call.source.name();
    if let Some(source) = &call.log {
        scenario.shots.extend(shots(source)?);
        scenario.validate().map_err(|e| Failure::scenario(&source.name(), &e))?;
    }
    let told =
        |sentences: Vec<String>| Failure::Bad(sentences.iter().map(|s| format!("{name}: {s}")).collect());
    let agreement = call.check.then(|| fits(&scenario).map_err(told)).transpose()?;
    // Without a new shot there is nothing to calibrate, but a plan or a prediction can be made.
    let only =
        scenario.shots.iter().all(|shot| shot.used == 1) && (call.next.is_some() || call.predict.is_some());
    let calibration = if only || call.check { None } else { Some(calibrated(&scenario, call)?) };
    let known = calibration.as_ref().map_or(&scenario, |c| &c.scenario);
    let predictions = match &call.predict {
        Some(source) => Some(predict(known, &shots(source)?).map_err(told)?),
        None => None,
    };
    let plan = match call.next {
        Some(count) => {
            let progress = Progress::waiting("settings");
            let plan = plan(known, count, call.size).map_err(told)?;
            drop(progress);
            Some(plan)
        }
        None => None,
    };
    if let Some(c) = &calibration {
        if let Some(out) = &call.apply {
            c.scenario.validate().map_err(|e| Failure::scenario("calibrated scenario", &e))?;
            written(out, &c.scenario.to_json(), "the calibrated scenario")?;
        }
        if let Some(out) = &call.feedstock {
            written(out, &json(&c.scenario.feedstock)?, "the calibrated feedstock")?;
        }
    }
    print(&json(&Printed { agreement, calibration, predictions, plan })?)
}

fn shots(source: &Source) -> Result<Vec<Shot>, Failure> {
    let log = table::read(&source.table()?).map_err(|e| Failure::table(&source.name(), &e))?;
    log.notes.iter().for_each(|note| complain(note));
    Ok(log.shots)
}

fn calibrated(scenario: &Scenario, call: &CalibrateCall) -> Result<Calibration, Failure> {
    let date = call.date.clone().unwrap_or_else(today);
    let progress = Progress::of(PARTS, "calibration");
    let mut done = 0;
    let mut step = |share: f64| {
        while done < (share * PARTS as f64) as usize {
            progress.step();
            done += 1;
        }
        true
    };
    calibrate(scenario, &date, &mut step).map_err(|unusable| match unusable {
        Unusable::Log(sentences) => {
            Failure::Bad(sentences.iter().map(|s| format!("{}: {s}", call.source.name())).collect())
        }
        Unusable::Stopped => Failure::Bad(vec!["the calibration was stopped".to_owned()]),
    })
}

fn written(out: &Path, text: &str, what: &str) -> Result<(), Failure> {
    let place = out.display().to_string();
    std::fs::write(out, format!("{text}\n")).map_err(|e| Failure::io(&place, &e))?;
    complain(&format!("{what} is in {place}"));
    Ok(())
}

/// Today in UTC as year-month-day; the civil date of a day count after H. Hinnant (from memory).
fn today() -> String {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let days = (seconds / 86_400) as i64 + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let part = (5 * of_year + 2) / 153;
    let (day, month) = (of_year - (153 * part + 2) / 5 + 1, if part < 10 { part + 3 } else { part - 9 });
    let year = year + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}
