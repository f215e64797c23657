//! The machine's settings, with how well they repeat and what is nearest to a limit.

use super::{Parts, SheetPart};
use crate::shot::ShotMargin;
use crate::told::{Row, with};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;

/// How many limits stand on the sheet, the nearest first.
const NEAREST: usize = 5;

pub(super) fn moulding(p: &Parts<'_>) -> SheetPart {
    let mut rows = settings(p.s);
    if let Some(shot) = p.shot {
        if let Some(cycle) = shot.cool.cycle_s {
            let all: Vec<String> = shot
                .cool
                .cycle
                .iter()
                .map(|part| format!("{} {}", part.name, with(part.seconds, "s")))
                .collect();
            rows.push(Row::told("cycle", with(cycle, "s"), all.join(", ")));
        }
        if let Some(freeze) = shot.hold.as_ref().and_then(|hold| hold.gate_freeze_s) {
            rows.push(Row::told("gate freezes after", with(freeze, "s"), "the hold must be longer"));
        }
        let mut near: Vec<&ShotMargin> = shot.margins.iter().filter(|m| !m.ignored).collect();
        near.sort_by(|a, b| a.g.total_cmp(&b.g));
        rows.extend(near.into_iter().take(NEAREST).map(reserve));
    }
    let mut notes: Vec<String> = p.machine.map(|machine| machine.kind.clone()).into_iter().collect();
    if let Some(coolant) = p.mould.and_then(|mould| mould.coolant_for_set_c) {
        notes.push(format!("Coolant at {} brings the steel to the mould temperature.", with(coolant, "°C")));
    }
    notes.push("The mould temperature is that of the steel’s surface. Measure it on the open mould after twenty cycles; let nobody reach in while the machine can move.".to_owned());
    notes.push("Begin with a short shot and step up. Set the hold time by weighing: the part’s weight must have stopped rising.".to_owned());
    SheetPart::new("3 Moulding", ["Setting", "Value", "Repeats within, or limit"], rows, notes)
}

/// How near a limit is.
fn reserve(m: &ShotMargin) -> Row {
    Row::judged(
        &format!("near its limit: {}", m.label),
        with(m.value, &m.unit),
        format!("{} {}", if m.at_least { "at least" } else { "at most" }, with(m.threshold, &m.unit)),
        m.g >= 0.0,
    )
}

fn settings(s: &Scenario) -> Vec<Row> {
    let (set, scatter) = (&s.setup, &s.scatter);
    let around = |sigma: f64, unit: &str| format!("± {}, one standard deviation", with(sigma, unit));
    let mut rows = vec![
        Row::told(
            "melt temperature at the nozzle",
            format!("{} °C", number(set.melt_temperature, 4)),
            around(scatter.melt_temperature, "K"),
        ),
        Row::told(
            "mould temperature",
            format!("{} °C", number(set.mould_temperature, 4)),
            around(scatter.mould_temperature, "K"),
        ),
        Row::told("injection time", with(set.injection_time, "s"), around(scatter.injection_time, "%")),
    ];
    for (i, step) in set.ram.iter().enumerate() {
        rows.push(Row::told(
            &format!("ram speed, step {}", i + 1),
            format!("{} of the speed", with(step.speed, "%")),
            format!("over {} of the volume", with(step.share, "%")),
        ));
    }
    rows.push(Row::told("switch-over", format!("{} of the volume", with(set.switch_over, "%")), ""));
    let around_hold =
        format!("± {} and ± {}", with(scatter.hold_pressure, "MPa"), with(scatter.hold_time, "s"));
    rows.push(Row::told(
        "hold",
        format!("{} for {}", with(set.hold_pressure, "MPa"), with(set.hold_time, "s")),
        around_hold,
    ));
    for step in &set.further_hold {
        rows.push(Row::told(
            "then",
            format!("{} for {}", with(step.pressure, "MPa"), with(step.time, "s")),
            "",
        ));
    }
    let opens = match set.cooling_time {
        Some(time) => {
            Row::told("cooling, to the opening of the mould", with(time, "s"), "from the end of the hold")
        }
        None => Row::told(
            "cooling, to the opening of the mould",
            "until everything can be ejected",
            "see the cycle",
        ),
    };
    rows.push(opens);
    rows
}
