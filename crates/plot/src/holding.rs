//! What the figures of hold and cycle show: pressures, the gates' openness, part mass.

use crate::axes::reading;
use crate::curves::{ORDER, branches_full, curve};
use crate::display_list::Point;
use crate::lines::{Curve, Mark, Pane, Stack};
use crate::style::{DOTS, LONG, SHORT, SOLID};
use crate::table::{DataCell, DataColumn, DataTable, columns, rows_of, side_by_side};
use gatefrost_numerics::order;
use gatefrost_report::{HoldHistory, HoldStudy, Moment, Moments, Outcome, Phase, Report};

/// With more gates or ends than this, only the decisive one is shown.
const FEW: usize = 2;
/// Openness at which a gate counts as frozen: its curve ends there.
const FROZEN: f64 = 1.001e-3;
/// Where the axis of the openness ends.
const LEAST_OPEN: f64 = 4e-4;

fn pane(title: &'static str, unit: &'static str, weight: f64, curves: Vec<Curve>) -> Pane {
    Pane { title, unit, log: false, from_zero: true, weight, curves }
}

/// The gates to show, by their place among the gates, the last to freeze first.
fn gates(report: &Report) -> Vec<usize> {
    let Some(hold) = &report.hold else { return Vec::new() };
    let freeze = |k: &usize| hold.gates[*k].freeze_s.unwrap_or(f64::INFINITY);
    let mut all: Vec<usize> = (0..hold.gates.len()).collect();
    order::sort_by(&mut all, |k| -freeze(k));
    if all.len() > FEW {
        all.truncate(1);
    }
    all
}

/// Names of the ends to show, at most so many, the one that shrinks most first.
fn ends(report: &Report, most: usize) -> Vec<&str> {
    let ends = report.hold.as_ref().map_or(&[][..], |hold| &hold.ends);
    let most = if ends.len() > FEW { 1 } else { ends.len().min(most) };
    ends[..most].iter().map(|end| end.name.as_str()).collect()
}

fn behind(report: &Report, gate: usize) -> String {
    match report.hold.as_ref().map(|hold| hold.gates.as_slice()) {
        Some(gates) if gates.len() > 1 => format!("behind {}", gates[gate].name),
        _ => "behind the gate".to_owned(),
    }
}

fn end_of(report: &Report, end: &str) -> String {
    if report.fill.paths.len() > 1 { format!("end of {end}") } else { "end of flow".to_owned() }
}

/// When the gates shown freeze and the hold ends; times count from `zero`.
fn hold_marks(report: &Report, zero: f64) -> Vec<Mark> {
    let Some(hold) = &report.hold else { return Vec::new() };
    let many = hold.gates.len() > 1;
    let mut marks = Vec::new();
    for (place, k) in gates(report).into_iter().enumerate() {
        let gate = &hold.gates[k];
        let Some(freeze) = gate.freeze_s else { continue };
        let name = if many { gate.name.as_str() } else { "gate" };
        marks.push(Mark {
            at: zero + freeze,
            text: format!("{name} freezes {} s", reading(freeze)),
            leading: place == 0,
        });
    }
    let held = hold.held_s;
    marks.push(Mark { at: zero + held, text: format!("hold ends {} s", reading(held)), leading: false });
    marks
}

/// A curve of steps: each value holds until the next time.
fn stepped(times: &[f64], values: &[f64]) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::with_capacity(2 * times.len());
    for (t, v) in times.iter().zip(values) {
        if let Some([_, before]) = points.last().copied()
            && before != *v
        {
            points.push([*t, before]);
        }
        points.push([*t, *v]);
    }
    points
}

/// Why a figure of the hold shows nothing.
fn no_hold(report: &Report) -> &'static str {
    if report.hold.is_some() {
        "No hold has been computed."
    } else {
        "There is no hold: the cavity does not fill."
    }
}

/// Pressures and the gates' openness after filling.
pub(crate) fn hold(report: &Report) -> Stack {
    let none = HoldHistory::default();
    let h = report.hold.as_ref().map_or(&none, |hold| &hold.history);
    let mut pressures = vec![Curve::line(stepped(&h.time_s, &h.nozzle_mpa), SOLID, false).named("nozzle")];
    let mut openness = Vec::new();
    for (place, k) in gates(report).into_iter().enumerate() {
        let dashes = if place == 0 { LONG } else { SHORT };
        if let Some(trace) = h.gates_mpa.get(k) {
            pressures.push(curve(&behind(report, k), &h.time_s, &trace.values, dashes, place == 0));
        }
        if let Some(trace) = h.gate_openness.get(k) {
            let frozen = trace.values.iter().position(|v| *v <= FROZEN).unwrap_or(trace.values.len());
            let open = h.time_s.iter().zip(&trace.values).take(frozen + 1);
            let points = open.map(|(t, v)| [*t, v.max(LEAST_OPEN)]).collect();
            let line = Curve::line(points, ORDER[place % ORDER.len()], place == 0);
            openness.push(line.named(trace.name.as_str()));
        }
    }
    openness.push(Curve::unseen(vec![[0.0, LEAST_OPEN]]));
    for end in ends(report, 1) {
        if let Some(trace) = h.ends_mpa.iter().find(|trace| trace.name == end) {
            pressures.push(curve(&end_of(report, end), &h.time_s, &trace.values, DOTS, false));
        }
    }
    Stack {
        x: ("Time from the end of filling", "s"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![
            pane("Pressure", "MPa", 1.6, pressures),
            Pane { log: true, ..pane("Openness of the gate", "", 1.0, openness) },
        ],
        marks: hold_marks(report, 0.0),
        empty: no_hold(report),
    }
}

/// Where the figure of the whole cycle takes its pressures: names and cells.
pub(crate) fn places(report: &Report, moments: &Moments) -> Vec<(String, usize)> {
    let passages = &report.cavity.passages;
    let cell_of = |passage: usize, last: bool| {
        let mut cells =
            moments.cells.iter().enumerate().filter(|(_, c)| c.passage == passage).map(|(i, _)| i);
        if last { cells.next_back() } else { cells.next() }
    };
    // Just behind a gate; without a gate, behind the first passage.
    let roles: Vec<usize> = (0..passages.len()).filter(|&i| passages[i].role == "gate").collect();
    let behind_gate = |k: usize| {
        let gate = roles.get(k).copied().unwrap_or(0);
        let next = (0..passages.len()).find(|&i| passages[i].feeder == Some(gate));
        next.and_then(|i| cell_of(i, false)).or_else(|| cell_of(gate, true))
    };
    let mut places: Vec<(String, usize)> = gates(report)
        .into_iter()
        .take(1)
        .filter_map(|k| Some((behind(report, k), behind_gate(k)?)))
        .collect();
    let mut shown = ends(report, FEW);
    // The pressure in the first branch to fill shows how long it waits for the others.
    if let Some(first) = report.fill.paths.last().filter(|path| !shown.contains(&path.end.as_str())) {
        shown.push(&first.end);
    }
    for end in shown {
        let path = report.fill.paths.iter().find(|path| path.end == end);
        if let Some(cell) = path.and_then(|path| cell_of(path.index, true)) {
            places.push((end_of(report, end), cell));
        }
    }
    places
}

pub(crate) fn pressure_at(moment: &Moment, cell: usize) -> f64 {
    moment.pressure_mpa.get(cell).copied().unwrap_or(f64::NAN)
}

/// Pressures over the whole cycle. The time axis is logarithmic, so that the short fill can be seen too.
pub(crate) fn trace(report: &Report, moments: &Moments) -> Stack {
    let all = &moments.moments;
    let filled = report.fill.fill_time_s;
    let shown = |m: &&Moment| m.time_s > filled * 0.04;
    let times: Vec<f64> = all.iter().filter(shown).map(|m| m.time_s).collect();
    let mut nozzle: Vec<Point> = Vec::new();
    for m in all.iter().filter(shown) {
        if let Some([_, before]) = nozzle.last().copied()
            && m.stage != Phase::Fill
        {
            nozzle.push([m.time_s, before]);
        }
        nozzle.push([m.time_s, m.nozzle_mpa]);
    }
    let mut curves = vec![Curve::line(nozzle, SOLID, false).named("nozzle")];
    let dashes = [LONG, DOTS, SHORT];
    for (k, (name, cell)) in places(report, moments).into_iter().enumerate() {
        let values: Vec<f64> = all.iter().filter(shown).map(|m| pressure_at(m, cell)).collect();
        curves.push(curve(&name, &times, &values, dashes[k % dashes.len()], k == 0));
    }
    let words = if report.fill.outcome == Outcome::ShortShot { "front stalls" } else { "full" };
    let full = Mark { at: filled, text: format!("{words} {} s", reading(filled)), leading: false };
    Stack {
        x: ("Time since injection began", "s"),
        x_log: true,
        x_from_zero: false,
        x_reach: 0.0,
        panes: vec![pane("Pressure", "MPa", 1.0, curves)],
        marks: branches_full(report).chain([full]).chain(hold_marks(report, filled)).collect(),
        empty: "The cycle has not been computed.",
    }
}

/// Part mass and shrinkage against the hold time.
pub(crate) fn mass(report: &Report, study: &HoldStudy) -> Stack {
    let times = &study.hold_time_s;
    let mut marks = Vec::new();
    if let Some(freeze) = study.gate_freeze_s {
        marks.push(Mark { at: freeze, text: format!("gate frozen {} s", reading(freeze)), leading: true });
    }
    if let Some(hold) = &report.hold {
        let held = hold.held_s;
        marks.push(Mark { at: held, text: format!("held {} s", reading(held)), leading: false });
    }
    let mass = Pane {
        from_zero: false,
        ..pane("Mass of the parts", "g", 1.4, vec![curve("", times, &study.part_mass_g, SOLID, true)])
    };
    let shrinkage = vec![curve("", times, &study.shrinkage_percent, SOLID, false)];
    Stack {
        x: ("Hold time", "s"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![mass, pane("Shrinkage of the worst 10 %, by volume", "%", 1.0, shrinkage)],
        marks,
        empty: no_hold(report),
    }
}

/// The numbers of the hold: pressures, the gates' openness, temperature and mass of the parts.
pub(crate) fn hold_table(report: &Report, caption: String) -> DataTable {
    let none = HoldHistory::default();
    let h = report.hold.as_ref().map_or(&none, |hold| &hold.history);
    let (time, last) = (&h.time_s, [&h.hottest_part_c, &h.part_mass_g]);
    let mut columns = columns(&[("Time from the end of filling", "s"), ("Nozzle pressure", "MPa")]);
    let mut lists = vec![time, &h.nozzle_mpa];
    for (traces, words, unit) in [
        (&h.gates_mpa, "Pressure behind", "MPa"),
        (&h.ends_mpa, "Pressure at the end of", "MPa"),
        (&h.gate_openness, "Openness of", ""),
    ] {
        for trace in traces {
            columns.push(DataColumn { title: format!("{words} {}", trace.name), unit: unit.to_owned() });
            lists.push(&trace.values);
        }
    }
    columns.push(DataColumn {
        title: "Hottest mean temperature of the parts".to_owned(),
        unit: "°C".to_owned(),
    });
    columns.push(DataColumn { title: "Mass of the parts".to_owned(), unit: "g".to_owned() });
    lists.extend(last);
    rows_of(caption, columns, &lists.iter().map(|list| list.as_slice()).collect::<Vec<_>>())
}

/// The numbers of the pressures over the cycle.
pub(crate) fn trace_table(report: &Report, moments: &Moments, caption: String) -> DataTable {
    let mut columns =
        columns(&[("Time", "s"), ("Part of the cycle", ""), ("Filled", "%"), ("Nozzle pressure", "MPa")]);
    let places = places(report, moments);
    let titles = places.iter().map(|(name, _)| format!("Pressure {name}"));
    columns.extend(titles.map(|title| DataColumn { title, unit: "MPa".to_owned() }));
    let rows = moments.moments.iter().map(|m| {
        let stage = match m.stage {
            Phase::Fill => "fill",
            Phase::Hold => "hold",
            Phase::Cool => "cool",
        };
        let mut row = vec![DataCell::number(m.time_s), DataCell::text(stage)];
        row.extend([m.filled_percent, m.nozzle_mpa].map(DataCell::number));
        row.extend(places.iter().map(|(_, cell)| DataCell::number(pressure_at(m, *cell))));
        row
    });
    DataTable { caption, columns, rows: rows.collect() }
}

/// The numbers of part mass and shrinkage against the hold time.
pub(crate) fn mass_table(study: &HoldStudy, caption: String) -> DataTable {
    side_by_side(
        caption,
        &[("Hold time", "s"), ("Mass of the parts", "g"), ("Shrinkage of the worst 10 %, by volume", "%")],
        &[&study.hold_time_s, &study.part_mass_g, &study.shrinkage_percent],
    )
}
