//! What the figures made of curves show: viscosity and filling.

use crate::axes::reading;
use crate::display_list::Point;
use crate::lines::{Curve, CurveForm, Mark, Pane, Stack};
use crate::style::{DOTS, Dashes, LONG, SHORT, SOLID};
use crate::table::{DataCell, DataTable, columns, side_by_side};
use gatefrost_core::units::Units;
use gatefrost_report::{Outcome, Report};

pub(crate) const ORDER: [Dashes; 4] = [SOLID, LONG, SHORT, DOTS];

pub(crate) fn zipped(x: &[f64], y: &[f64]) -> Vec<Point> {
    x.iter().zip(y).map(|(x, y)| [*x, *y]).collect()
}

pub(crate) fn curve(name: &str, x: &[f64], y: &[f64], dashes: Dashes, leading: bool) -> Curve {
    Curve { name: name.to_owned(), points: zipped(x, y), dashes, leading, form: CurveForm::Line }
}

/// Viscosity against shear rate, with this part's own shear rates marked.
pub(crate) fn viscosity(report: &Report, units: Units) -> Stack {
    let at = units.shown("°C");
    let curves = report.feedstock.curves.iter().enumerate().map(|(i, c)| Curve {
        name: format!("{} {}", reading(at.of(c.temperature_c)), at.unit),
        points: zipped(&c.shear_rate_1_s, &c.viscosity_pa_s),
        dashes: ORDER[i % ORDER.len()],
        leading: false,
        form: CurveForm::Line,
    });
    let marks = report.fill.passages.iter().map(|p| Mark {
        at: p.apparent_shear_rate_1_s,
        text: p.name.clone(),
        leading: false,
    });
    Stack {
        x: ("Shear rate", "1/s"),
        x_log: true,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![Pane {
            title: "Viscosity",
            unit: "Pa·s",
            log: true,
            from_zero: false,
            weight: 1.0,
            curves: curves.collect(),
        }],
        marks: marks.collect(),
        empty: "No viscosity curve has been computed.",
    }
}

/// Pressures and rate while the cavity fills.
pub(crate) fn fill(report: &Report) -> Stack {
    let (fill, h) = (&report.fill, &report.fill.history);
    let words = match fill.outcome {
        Outcome::Full => "full after",
        Outcome::FullButSlow => "full, but late, after",
        Outcome::ShortShot => "front stalls after",
    };
    Stack {
        x: ("Time", "s"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![
            Pane {
                title: "Pressure",
                unit: "MPa",
                log: false,
                from_zero: true,
                weight: 2.0,
                curves: vec![
                    curve("nozzle", &h.time_s, &h.nozzle_mpa, SOLID, true),
                    curve("gate", &h.time_s, &h.gate_mpa, LONG, false),
                ],
            },
            Pane {
                title: "Flow rate",
                unit: "cm³/s",
                log: false,
                from_zero: true,
                weight: 1.0,
                curves: vec![curve("rate", &h.time_s, &h.rate_cm3_s, SOLID, false)],
            },
        ],
        marks: branches_full(report)
            .chain([Mark {
                at: fill.fill_time_s,
                text: format!("{words} {} s", reading(fill.fill_time_s)),
                leading: true,
            }])
            .collect(),
        empty: "No filling has been computed.",
    }
}

/// The branches that are full before the last.
pub(crate) fn branches_full(report: &Report) -> impl Iterator<Item = Mark> + '_ {
    let early = report.fill.paths.iter().skip(1).filter_map(|path| {
        let at = path.filled_after_s?;
        Some(Mark { at, text: format!("{} full {} s", path.end, reading(at)), leading: false })
    });
    early.take(3)
}

/// The numbers of the viscosity curves and the passages' shear rates.
pub(crate) fn viscosity_table(report: &Report, caption: String) -> DataTable {
    let heads =
        [("Curve or passage", ""), ("Temperature", "°C"), ("Shear rate", "1/s"), ("Viscosity", "Pa·s")];
    let mut rows = Vec::new();
    for curve in &report.feedstock.curves {
        for (rate, viscosity) in curve.shear_rate_1_s.iter().zip(&curve.viscosity_pa_s) {
            rows.push(vec![
                DataCell::text("curve"),
                DataCell::number(curve.temperature_c),
                DataCell::number(*rate),
                DataCell::number(*viscosity),
            ]);
        }
    }
    for p in &report.fill.passages {
        rows.push(vec![
            DataCell::text(&p.name),
            DataCell::Empty,
            DataCell::number(p.apparent_shear_rate_1_s),
            DataCell::Empty,
        ]);
    }
    DataTable { caption, columns: columns(&heads), rows }
}

/// The numbers of pressure and flow rate while filling.
pub(crate) fn fill_table(report: &Report, caption: String) -> DataTable {
    let h = &report.fill.history;
    side_by_side(
        caption,
        &[
            ("Time", "s"),
            ("Nozzle pressure", "MPa"),
            ("Gate pressure", "MPa"),
            ("Flow rate", "cm³/s"),
            ("Filled", "%"),
            ("Front", "mm"),
            ("Front temperature", "°C"),
        ],
        &[
            &h.time_s,
            &h.nozzle_mpa,
            &h.gate_mpa,
            &h.rate_cm3_s,
            &h.filled_percent,
            &h.front_mm,
            &h.front_temperature_c,
        ],
    )
}
