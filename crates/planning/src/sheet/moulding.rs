//! The machine's settings, with how well they repeat and what is nearest to a limit.

use super::{Parts, SIGMA, SheetPart};
use crate::machine;
use crate::shot::{Shot, ShotMargin};
use crate::told::{Row, with};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;

/// How many limits stand on the sheet, the nearest first.
const NEAREST: usize = 4;
/// Times its least time from which a hold is told to be long.
const LONG: f64 = 2.0;

pub(super) fn moulding(p: &Parts<'_>) -> SheetPart {
    let mut rows = temperatures(p);
    rows.extend(p.shot.into_iter().flat_map(|shot| machine::settings(p.s, shot)));
    rows.extend(ram_and_hold(p.s));
    let mut notes: Vec<String> = p.machine.map(|machine| machine.kind.clone()).into_iter().collect();
    notes.push(
        "Pressures are those of the melt at the nozzle, not of the oil of a hydraulic machine.".to_owned(),
    );
    notes.push("The mould temperature is that of the steel’s surface. Measure it on the open mould after twenty cycles; let nobody reach in while the machine can move.".to_owned());
    notes.push("Begin with a short shot and step up. Set the hold time by weighing: the part’s weight must have stopped rising.".to_owned());
    if let Some(shot) = p.shot {
        rows.extend(gate(shot));
        rows.push(cooling(p.s, shot));
        rows.extend(cycle(shot));
        notes.extend(long_hold(p.s, shot));
        let mut near: Vec<&ShotMargin> = shot.margins.iter().filter(|m| !m.ignored && m.g >= 0.0).collect();
        near.sort_by(|a, b| a.g.total_cmp(&b.g));
        notes.extend(
            near.into_iter().take(NEAREST).map(|m| format!("Near its limit: {}. {}", m.label, m.sentence)),
        );
    }
    SheetPart::new("3 Moulding", ["Setting", "Value", "Repeats within, or what it is"], rows, notes)
}

fn around(sigma: f64, unit: &str) -> String {
    format!("± {}, {SIGMA}", with(sigma, unit))
}

fn temperatures(p: &Parts<'_>) -> Vec<Row> {
    let (set, scatter) = (&p.s.setup, &p.s.scatter);
    let celsius = |t: f64| format!("{} °C", number(t, 4));
    let mut rows = vec![
        Row::told("melt at the nozzle", celsius(set.melt_temperature), around(scatter.melt_temperature, "K")),
        Row::told(
            "mould, surface of the steel",
            celsius(set.mould_temperature),
            around(scatter.mould_temperature, "K"),
        ),
    ];
    if let Some(coolant) = p.mould.and_then(|mould| mould.coolant_for_set_c) {
        rows.push(Row::told(
            "coolant",
            format!("{}, {} in all", with(coolant, "°C"), with(p.s.mould.water_flow, "L/min")),
            "brings the steel to the mould temperature",
        ));
    }
    rows
}

/// When the gate freezes, against the hold.
fn gate(shot: &Shot) -> Option<Row> {
    let freeze = shot.hold.as_ref().and_then(|hold| hold.gate_freeze_s)?;
    let least = shot.margin("hold_cover").map_or_else(
        || "hold until then".to_owned(),
        |m| format!("hold for at least {}", with(m.threshold, &m.unit)),
    );
    Some(Row::told("gate freezes", format!("{} after the end of filling", with(freeze, "s")), least))
}

/// A hold that is much longer than its limit asks and that makes the cycle.
fn long_hold(s: &Scenario, shot: &Shot) -> Option<String> {
    let least = shot.margin("hold_cover").filter(|m| !m.ignored)?.threshold;
    let held = machine::held(s);
    (held > LONG * least && shot.waits_for_hold(held)).then(|| {
        format!(
            "The hold is {} longer than its limit asks, and everything is cold enough before it ends. A shorter hold shortens the cycle.",
            with(held - least, "s")
        )
    })
}

fn cooling(s: &Scenario, shot: &Shot) -> Row {
    let why = if s.setup.cooling_time.is_some() {
        "as set"
    } else {
        "until everything can be ejected and the next shot is metered"
    };
    let time = shot.cooling().map_or_else(|| "not known".to_owned(), |seconds| with(seconds, "s"));
    Row::told("cooling, end of the hold to opening", time, why)
}

fn cycle(shot: &Shot) -> Option<Row> {
    let told = |inside: bool| {
        let of = shot.cool.cycle.iter().filter(move |stretch| stretch.inside == inside);
        of.map(|stretch| format!("{} {}", stretch.name, with(stretch.seconds, "s")))
            .collect::<Vec<_>>()
            .join(", ")
    };
    Some(Row::told(
        "cycle",
        with(shot.cool.cycle_s?, "s"),
        format!("{}; beside the cooling: {}", told(false), told(true)),
    ))
}

fn ram_and_hold(s: &Scenario) -> Vec<Row> {
    let (set, scatter) = (&s.setup, &s.scatter);
    let mut rows =
        vec![Row::told("injection time", with(set.injection_time, "s"), around(scatter.injection_time, "%"))];
    for (i, step) in set.ram.iter().enumerate() {
        rows.push(Row::told(
            &format!("ram speed, step {}", i + 1),
            format!("{} of the speed", with(step.speed, "%")),
            format!("over {} of the volume", with(step.share, "%")),
        ));
    }
    let around_hold = format!(
        "± {} and ± {}, {SIGMA} each",
        with(scatter.hold_pressure, "MPa"),
        with(scatter.hold_time, "s")
    );
    rows.push(Row::told(
        "hold, at the nozzle",
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
    rows
}
