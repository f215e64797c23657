//! Temperature, frozen layer and pressure along the way to an end of flow, at a moment of the cycle.

use crate::At;
use crate::curves::{curve, zipped};
use crate::display_list::Point;
use crate::lines::{Curve, CurveForm, Mark, Pane, Stack};
use crate::style::{LONG, SOLID};
use crate::table::{DataCell, DataTable, columns};
use gatefrost_report::{Moment, PassageReport, Report};

/// Branches beside the leading one that are named, too.
const NAMED: usize = 3;

/// What stands along the way to one end of flow; one entry a cell, NaN where no melt is.
#[derive(Default)]
pub(crate) struct Way {
    pub end: String,
    /// Position of the passage that it ends in.
    pub index: usize,
    pub distance: Vec<f64>,
    pub pressure: Vec<f64>,
    pub mean: Vec<f64>,
    pub centre: Vec<f64>,
    pub frozen: Vec<f64>,
}

/// The passages on the way to the end of one of them, from the nozzle on.
pub(crate) fn way_to(passages: &[PassageReport], end: usize) -> Vec<usize> {
    // A list that is no tree would go round for ever.
    let up = std::iter::successors(Some(end), |&i| passages.get(i)?.feeder).take(passages.len());
    let mut way: Vec<usize> = up.collect();
    way.reverse();
    way
}

/// The ways to all ends, the leading one first: the one asked for by its passage, or the last to fill.
pub(crate) fn ways(report: &Report, at: Option<At<'_>>, leading: Option<usize>) -> Vec<Way> {
    let moment = at.and_then(|at| Some((at, at.moment()?)));
    let way = |path: &gatefrost_report::PathProfile| {
        let mut way = Way { end: path.end.clone(), index: path.index, ..Way::default() };
        match moment {
            Some((at, moment)) => {
                for passage in way_to(&report.cavity.passages, path.index) {
                    for (i, cell) in at.cells_of(passage) {
                        way.add(moment, i, cell.span_mm);
                    }
                }
            }
            None => {
                way.distance.clone_from(&path.distance_mm);
                way.pressure.clone_from(&path.pressure_mpa);
                way.mean.clone_from(&path.mean_temperature_c);
                way.centre.clone_from(&path.centre_temperature_c);
                way.frozen.clone_from(&path.frozen_percent);
            }
        }
        way
    };
    let mut ways: Vec<Way> = report.fill.paths.iter().map(way).collect();
    if let Some(place) = ways.iter().position(|way| Some(way.index) == leading) {
        ways[..=place].rotate_right(1);
    }
    ways
}

impl Way {
    fn add(&mut self, moment: &Moment, cell: usize, span: [f64; 2]) {
        let wet = moment.filled.get(cell).is_some_and(|share| *share > 0.0);
        let of = |list: &[f64]| list.get(cell).copied().filter(|_| wet).unwrap_or(f64::NAN);
        self.distance.push(0.5 * (span[0] + span[1]));
        self.pressure.push(of(&moment.pressure_mpa));
        self.mean.push(of(&moment.mean_temperature_c));
        self.centre.push(of(&moment.centre_temperature_c));
        self.frozen.push(of(&moment.frozen_percent));
    }
}

pub(crate) fn stack(report: &Report, at: Option<At<'_>>, leading: Option<usize>) -> Stack {
    let ways = ways(report, at, leading);
    let passages = &report.cavity.passages;
    let marks = ways.first().map(|way| way_to(passages, way.index)).unwrap_or_default();
    let marks = marks.iter().filter_map(|&i| passages.get(i));
    let marks = marks.map(|p| Mark { at: p.start_mm, text: p.name.clone(), leading: false });
    let pane =
        |title, unit, weight, from_zero, curves| Pane { title, unit, log: false, from_zero, weight, curves };
    let one = |value: fn(&Way) -> &[f64]| {
        let mut curves = others(&ways, value);
        if let Some(way) = ways.first() {
            let name = if ways.len() > 1 { way.end.as_str() } else { "" };
            curves.push(curve(name, &way.distance, value(way), SOLID, true));
        }
        curves
    };
    let mut temperatures = others(&ways, |way| &way.centre);
    if let Some(way) = ways.first() {
        temperatures.push(curve("centre", &way.distance, &way.centre, SOLID, true));
        temperatures.push(curve("mean", &way.distance, &way.mean, LONG, false));
    }
    let (mut frozen, mut pressures) = (one(|way| &way.frozen), one(|way| &way.pressure));
    if let Some(at) = at {
        // From moment to moment the axes stay.
        temperatures.push(reach(at, |m| [&m.mean_temperature_c, &m.centre_temperature_c].map(Vec::as_slice)));
        frozen.push(reach(at, |m| [&m.frozen_percent, &[]]));
        pressures.push(reach(at, |m| [&m.pressure_mpa, &[]]));
    }
    Stack {
        x: ("Distance from the nozzle", "mm"),
        x_log: false,
        x_from_zero: true,
        x_reach: report.cavity.flow_length_mm,
        panes: vec![
            pane("Temperature", "°C", 1.6, false, temperatures),
            pane("Frozen layer", "% of the half gap", 1.0, true, frozen),
            pane("Pressure", "MPa", 1.2, true, pressures),
        ],
        marks: marks.collect(),
        empty: "The path has not been filled.",
    }
}

/// The branches beside the leading one.
fn others(ways: &[Way], value: fn(&Way) -> &[f64]) -> Vec<Curve> {
    let thin = |(k, way): (usize, &Way)| {
        let name = if k < NAMED { way.end.clone() } else { String::new() };
        Curve {
            name,
            points: zipped(&way.distance, value(way)),
            dashes: SOLID,
            leading: false,
            form: CurveForm::Thin,
        }
    };
    ways.iter().skip(1).enumerate().map(thin).collect()
}

/// The extremes of a list over all moments.
fn reach<'a>(at: At<'a>, lists: impl Fn(&'a Moment) -> [&'a [f64]; 2]) -> Curve {
    let all = at.moments.moments.iter().flat_map(|m| lists(m).into_iter().flatten());
    let [low, high] = all.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| [a.min(*v), b.max(*v)]);
    let points: Vec<Point> = [low, high].into_iter().filter(|v| v.is_finite()).map(|v| [0.0, v]).collect();
    Curve::unseen(points)
}

/// The numbers along the way to each end of flow.
pub(crate) fn table(report: &Report, at: Option<At<'_>>, end: Option<usize>, caption: String) -> DataTable {
    let heads = [
        ("Way to", ""),
        ("Distance from the nozzle", "mm"),
        ("Pressure", "MPa"),
        ("Mean temperature", "°C"),
        ("Centre temperature", "°C"),
        ("Frozen layer", "% of the half gap"),
    ];
    let mut rows = Vec::new();
    for way in ways(report, at, end) {
        for (i, distance) in way.distance.iter().enumerate() {
            let mut row = vec![DataCell::text(&way.end), DataCell::number(*distance)];
            let lists = [&way.pressure, &way.mean, &way.centre, &way.frozen];
            row.extend(lists.map(|list| list.get(i).map_or(DataCell::Empty, |v| DataCell::number(*v))));
            rows.push(row);
        }
    }
    DataTable { caption, columns: columns(&heads), rows }
}
