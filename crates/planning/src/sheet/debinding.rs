//! Debinding in outline: baths and ovens with their times, a furnace as its fastest schedule.

use super::{Parts, SheetPart};
use crate::told::{Row, with};
use gatefrost_after::plan::{SchedulePlan, StepPlan};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::{DebindingStep, Scenario};

pub(super) fn debinding(p: &Parts<'_>) -> SheetPart {
    let mut rows = Vec::new();
    for (step, by) in p.after.steps.iter().zip(&p.s.debinding.steps) {
        rows.push(row(step, by));
        if let (DebindingStep::Thermal(furnace), Some(schedule)) = (by, &step.schedule) {
            rows.extend(heated(schedule, furnace.allowed_pressure));
        }
    }
    let mut notes = vec!["Times are estimates with their 95 % band. Weigh trial parts until the loss is reached. Change the time, not the weight.".to_owned()];
    notes.extend(bath_notes(p.s));
    if p.after.steps.iter().any(|step| step.schedule.is_some()) {
        notes.push("The furnace’s schedule is the fastest that the model finds, not a recipe: begin trials with a third of its rates or less, and look for blisters and cracks. Gas that sweeps the furnace, and its afterburner, follow the furnace maker’s manual.".to_owned());
    }
    notes.push("Parts crumble after the last step. Weigh them there only if that furnace is opened before sintering.".to_owned());
    notes.extend(p.after.walls.first().map(|wall| {
        format!(
            "“{}” governs: {} thick, {} to the surface that is reached.",
            wall.name,
            with(wall.thickness_mm, "mm"),
            with(wall.depth_mm, "mm")
        )
    }));
    SheetPart::new("4 Debinding, an outline for trials", ["Step", "Time", "Mass"], rows, notes)
}

fn row(step: &StepPlan, by: &DebindingStep) -> Row {
    let at = match by {
        DebindingStep::Thermal(furnace) => format!(
            "{}, up to {} °C, at most {}",
            step.name,
            number(step.temperature_c, 4),
            with(furnace.ramp, "K/min")
        ),
        _ => format!("{} at {} °C", step.name, number(step.temperature_c, 4)),
    };
    let time = step.hours.as_ref().map_or_else(
        || "not complete".to_owned(),
        |h| {
            let [value, low, high] = [h.value, h.low, h.high].map(|hours| number(hours, 3));
            if low == high { format!("{value} h") } else { format!("{value} h ({low} to {high} h)") }
        },
    );
    Row::told(&at, time, format!("loses {} of the green mass", with(step.mass_loss_percent, "%")))
}

/// Temperatures of the fastest schedule at the quarters of its time, and the greatest pressure of the gas.
fn heated(schedule: &SchedulePlan, allowed_kpa: f64) -> Vec<Row> {
    let Some(end) = schedule.time_h.last().copied() else { return Vec::new() };
    let at = |share: f64| {
        let place = schedule.time_h.iter().position(|t| *t >= share * end).unwrap_or(0);
        format!("{} °C after {}", number(schedule.temperature_c[place].round(), 4), with(share * end, "h"))
    };
    let quarters = [0.25, 0.5, 0.75].map(at).join(", ");
    vec![
        Row::told("its fastest schedule", quarters, "slower is safer"),
        Row::judged(
            "gas in the middle of the wall",
            with(schedule.greatest_kpa, "kPa"),
            format!("at most {} above the furnace’s, as set", with(allowed_kpa, "kPa")),
            schedule.greatest_kpa <= allowed_kpa * 1.001,
        ),
    ]
}

/// What the times of the baths rest on. The document does not name the solvent.
fn bath_notes(s: &Scenario) -> Vec<String> {
    let baths = s.debinding.steps.iter().filter_map(|step| match step {
        DebindingStep::Bath(bath) => Some(bath),
        _ => None,
    });
    let note = |bath: &gatefrost_scenario::scenario::Bath| {
        let liquid = if bath.water { "water" } else { "the solvent" };
        format!(
            "The time in {liquid} rests on a diffusivity of {}·10⁻⁶ cm²/s at {}: measure yours, for your binder and liquid. A bath that melts the binder, or parts put in too fast, cracks them.",
            number(bath.diffusivity, 3),
            with(bath.reference, "°C")
        )
    };
    baths.map(note).collect()
}
