//! What is wrong with a log before anything is estimated, in sentences.

use crate::forward;
use crate::quantity::Read;
use gatefrost_core::feedstock::Material;
use gatefrost_core::format::{number, quoted};
use gatefrost_core::scenario::{Role, Scenario, Shot};
use gatefrost_numerics::elementary::Elementary;

/// A part may weigh so many times as much as its cavity holds of cold feedstock before the reading is refused.
const HEAVIEST: f64 = 1.3;
/// Readings of one setting that differ by more than so many standard deviations contradict each other.
const CONTRADICTION: f64 = 5.0;

/// Name of a shot in a sentence, by its place from 0.
pub fn named(place: usize, shot: &Shot) -> String {
    let name = shot.name.trim();
    if name.is_empty() { format!("Shot {}", place + 1) } else { format!("Shot {} ({name})", place + 1) }
}

/// Every reason for which a log cannot be used.
///
/// # Errors
/// Lists them, one sentence for each.
pub fn check(scenario: &Scenario) -> Result<(), Vec<String>> {
    let shots = &scenario.shots;
    let mut problems = Vec::new();
    if shots.iter().all(|shot| Read::all_of(shot).is_empty()) {
        let told = match shots.len() {
            0 => "The trial log is empty: add shots with their settings and what was read of them.",
            _ => {
                "No shot of the log has a reading: give a pressure, a mass, a filled share or a temperature."
            }
        };
        return Err(vec![told.to_owned()]);
    }
    if shots.iter().all(|shot| shot.used == 1 || Read::all_of(shot).is_empty()) {
        problems.push("The feedstock is calibrated with every shot of the log already: add new shots, or undo the calibration.".to_owned());
    }
    let heaviest = cold_mass(scenario) * HEAVIEST;
    for (place, shot) in shots.iter().enumerate() {
        let name = named(place, shot);
        for read in [Read::PeakPressure, Read::SwitchPressure] {
            let most = shot.pressure_limit.unwrap_or(scenario.machine.max_pressure);
            if let Some(shown) = read.of(shot).filter(|shown| *shown > 1.02 * most) {
                problems.push(format!(
                    "{name}: the {} of {} MPa is above the machine’s greatest, {} MPa. Correct the reading, its unit (bar or MPa), or the machine.",
                    read.label(), number(shown, 4), number(most, 4)
                ));
            }
        }
        if let Some(mass) = shot.part_mass.filter(|mass| *mass > heaviest) {
            problems.push(format!(
                "{name}: a part mass of {} g is more than the cavity can hold, {} g of cold feedstock. Leave out sprue and runners, or correct the unit or the cavity.",
                number(mass, 4), number(heaviest / HEAVIEST, 4)
            ));
        }
        if shot.second_hold_pressure.is_some() != shot.second_hold_time.is_some() {
            problems.push(format!("{name}: a second step of the hold needs its pressure and its time."));
        }
        let parts = || scenario.cavity.passages.iter().filter(|p| p.role == Role::Part);
        if let Some(sensor) = shot.sensor.as_ref().filter(|sensor| parts().all(|p| p.name != **sensor)) {
            problems.push(format!(
                "{name}: the pressure sensor is in {}; accepted is the name of a section of the part: {}.",
                quoted(sensor),
                parts().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ")
            ));
        }
        let set = forward::at(scenario, shot);
        if let Err(error) = set.validate() {
            problems.extend(error.problems.iter().map(|p| format!("{name}: {}.", p.message)));
        }
        if shot.melt_temperature <= scenario.feedstock.no_flow_temperature {
            problems.push(format!(
                "{name}: the melt temperature of {} °C is not above the no-flow temperature, {} °C.",
                number(shot.melt_temperature, 4),
                number(scenario.feedstock.no_flow_temperature, 4)
            ));
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

/// Mass of the parts' volume of cold feedstock \[g\].
fn cold_mass(scenario: &Scenario) -> f64 {
    let parts = scenario.cavity.passages.iter().filter(|p| p.role == Role::Part);
    let volume: f64 = parts.map(|p| p.form.volume() * f64::from(p.copies)).sum();
    volume * 1e-9 * Material::resolve(&scenario.feedstock).density * 1e3
}

/// A remark on a log with a single setting.
pub fn single(scenario: &Scenario) -> Option<String> {
    let new: Vec<&Shot> = scenario.shots.iter().filter(|shot| shot.used == 0).collect();
    let single = new.len() > 1 && new.iter().all(|shot| same_setting(shot, new[0]));
    single.then(|| "All shots have one setting. They tell how high the pressure is, but not what it depends on: change injection time, melt temperature and hold time.".to_owned())
}

/// Two shots of one setting whose readings differ by more than they are good to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// Places of the shots in the log.
    pub shots: [usize; 2],
    /// What differs.
    pub read: Read,
    /// The readings.
    pub values: [f64; 2],
}

/// Every such pair among the shots that are not in the calibration yet.
pub fn contradictions(scenario: &Scenario) -> Vec<Contradiction> {
    let new: Vec<(usize, &Shot)> =
        scenario.shots.iter().enumerate().filter(|(_, shot)| shot.used == 0).collect();
    let mut found = Vec::new();
    for (i, (place, shot)) in new.iter().enumerate() {
        for (before, other) in new[..i].iter().filter(|(_, other)| same_setting(shot, other)) {
            for read in Read::ALL.into_iter().filter(|read| !read.is_seen()) {
                let (Some(a), Some(b)) = (read.of(other), read.of(shot)) else { continue };
                let error = |shot: &Shot| read.error_of_mean(&scenario.trials, shot.repeats);
                let spread = error(shot).hypotenuse(error(other));
                if (read.scaled(a) - read.scaled(b)).abs() > CONTRADICTION * spread {
                    found.push(Contradiction { shots: [*before, *place], read, values: [a, b] });
                }
            }
        }
    }
    found
}

/// Whether two shots were made at one setting.
fn same_setting(a: &Shot, b: &Shot) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 0.01 * a.abs().max(b.abs());
    let optional = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => near(a, b),
        (a, b) => a.is_none() && b.is_none(),
    };
    near(a.melt_temperature, b.melt_temperature)
        && near(a.mould_temperature, b.mould_temperature)
        && near(a.injection_time, b.injection_time)
        && near(a.hold_pressure, b.hold_pressure)
        && near(a.hold_time, b.hold_time)
        && optional(a.second_hold_pressure, b.second_hold_pressure)
        && optional(a.second_hold_time, b.second_hold_time)
        && optional(a.cooling_time, b.cooling_time)
        && optional(a.pressure_limit, b.pressure_limit)
        && optional(a.switch_over, b.switch_over)
        && a.coolant == b.coolant
}
