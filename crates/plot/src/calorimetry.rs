//! Scans of calorimetry with their baselines, peaks and temperatures.

use crate::display_list::Point;
use crate::lines::{Curve, Mark, Pane, Stack};
use crate::style::{LONG, SOLID};
use crate::table::{DataCell, DataTable, columns};
use gatefrost_core::format::number;
use gatefrost_laboratory::dsc::Direction;
use gatefrost_laboratory::readings::Scanned;

/// A 95 % interval reaches so many standard errors to either side.
const NINETY_FIVE: f64 = 1.96;

/// Sign with which the peaks point up.
fn sign(scan: &Scanned) -> f64 {
    if scan.found.upside_down { -1.0 } else { 1.0 }
}

fn curve(scan: &Scanned) -> Vec<Point> {
    scan.points.iter().map(|[t, c]| [*t, sign(scan) * c]).collect()
}

fn baseline(scan: &Scanned, t: f64) -> f64 {
    let [[x0, y0], [x1, y1]] = scan.found.baseline;
    sign(scan) * (y0 + (y1 - y0) * (t - x0) / (x1 - x0))
}

/// The curve's reading next to a temperature.
fn reading(scan: &Scanned, t: f64) -> Point {
    let near = |p: &&Point| (p[0] - t).abs();
    let next = scan.points.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
    next.map_or([f64::NAN; 2], |p| [p[0], sign(scan) * p[1]])
}

fn pane(scan: &Scanned) -> Pane {
    let curve = curve(scan);
    let ends: Vec<Point> =
        [curve.first(), curve.last()].into_iter().flatten().map(|p| [p[0], baseline(scan, p[0])]).collect();
    let mut curves = Vec::new();
    if let Some(no_flow) = scan.found.no_flow {
        let half = NINETY_FIVE * no_flow.standard_error;
        curves.push(Curve::span(no_flow.value - half, no_flow.value + half));
    }
    curves.push(Curve::line(ends, LONG, false));
    curves.push(Curve::line(curve, SOLID, true));
    let feet = |of: fn(&gatefrost_laboratory::dsc::DscPeak) -> f64| -> Vec<Point> {
        scan.found.peaks.iter().map(|p| [of(p), baseline(scan, of(p))]).collect()
    };
    curves.push(Curve::dots(feet(|p| p.onset), 0));
    curves.push(Curve::dots(feet(|p| p.end), 3));
    curves.push(Curve::dots(scan.found.peaks.iter().map(|p| reading(scan, p.peak)).collect(), 1));
    let title = match scan.found.direction {
        Direction::Heating => "Heat capacity on heating",
        Direction::Cooling => "Heat capacity on cooling",
    };
    Pane { title, unit: "J/gK", log: false, from_zero: false, weight: 1.0, curves }
}
pub(crate) fn stack(scans: &[Scanned]) -> Stack {
    let mut marks = Vec::new();
    for found in scans.iter().map(|scan| &scan.found) {
        let named = [("no-flow", found.no_flow, true), ("melted", found.melted, false)];
        marks.extend(named.into_iter().filter_map(|(name, at, leading)| {
            let at = at?.value;
            Some(Mark { at, text: format!("{name} {} °C", number(at, 4)), leading })
        }));
    }
    let mut panes: Vec<Pane> = scans.iter().map(pane).collect();
    if panes.is_empty() {
        let title = "Heat capacity";
        let curves = Vec::new();
        panes.push(Pane { title, unit: "J/gK", log: false, from_zero: false, weight: 1.0, curves });
    }
    Stack {
        x: ("Temperature", "°C"),
        x_log: false,
        x_from_zero: false,
        x_reach: f64::NEG_INFINITY,
        panes,
        marks,
        empty: "There is no table yet.",
    }
}

pub(crate) fn table(scans: &[Scanned], caption: String) -> DataTable {
    let heads = [
        ("Run", ""),
        ("Temperature", "°C"),
        ("Apparent heat capacity of the sample", "J/gK"),
        ("Baseline", "J/gK"),
    ];
    let rows = scans.iter().flat_map(|scan| {
        let run = scan.found.direction.word();
        curve(scan).into_iter().map(move |[t, c]| {
            let numbers = [t, c, baseline(scan, t)].map(DataCell::number);
            std::iter::once(DataCell::text(run.to_owned())).chain(numbers).collect()
        })
    });
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}
