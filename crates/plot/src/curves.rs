//! What the figures made of curves show: viscosity, filling, the path, the hold.

use crate::axes::reading;
use crate::lines::{Curve, Form, Mark, Pane, Stack};
use crate::sheet::Point;
use crate::style::{DOTS, Dashes, LONG, SHORT, SOLID};
use gatefrost_core::report::{Outcome, Report};

const ORDER: [Dashes; 4] = [SOLID, LONG, SHORT, DOTS];

fn zipped(x: &[f64], y: &[f64]) -> Vec<Point> {
    x.iter().zip(y).map(|(x, y)| [*x, *y]).collect()
}

fn curve(name: &str, x: &[f64], y: &[f64], dashes: Dashes, leading: bool) -> Curve {
    Curve { name: name.to_owned(), points: zipped(x, y), dashes, leading, form: Form::Line }
}

/// Viscosity against shear rate, with this part's own shear rates marked.
pub(crate) fn viscosity(report: &Report) -> Stack {
    let curves = report.feedstock.curves.iter().enumerate().map(|(i, c)| Curve {
        name: format!("{} °C", reading(c.temperature_c)),
        points: zipped(&c.shear_rate_1_s, &c.viscosity_pa_s),
        dashes: ORDER[i % ORDER.len()],
        leading: false,
        form: Form::Line,
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
        marks: vec![Mark {
            at: fill.fill_time_s,
            text: format!("{words} {} s", reading(fill.fill_time_s)),
            leading: true,
        }],
        empty: "No filling has been computed.",
    }
}

/// Temperatures and frozen layer along the path at the end of filling.
pub(crate) fn path(report: &Report) -> Stack {
    let p = &report.fill.path;
    let marks = report.cavity.passages.iter().map(|passage| Mark {
        at: passage.start_mm,
        text: passage.name.clone(),
        leading: false,
    });
    Stack {
        x: ("Distance from the nozzle", "mm"),
        x_log: false,
        x_from_zero: true,
        x_reach: report.cavity.flow_length_mm,
        panes: vec![
            Pane {
                title: "Temperature at the end of filling",
                unit: "°C",
                log: false,
                from_zero: false,
                weight: 2.0,
                curves: vec![
                    curve("centre", &p.distance_mm, &p.centre_temperature_c, SOLID, true),
                    curve("mean", &p.distance_mm, &p.mean_temperature_c, LONG, false),
                ],
            },
            Pane {
                title: "Frozen layer",
                unit: "% of the half gap",
                log: false,
                from_zero: true,
                weight: 1.2,
                curves: vec![curve("frozen", &p.distance_mm, &p.frozen_percent, SOLID, false)],
            },
        ],
        marks: marks.collect(),
        empty: "The path has not been filled.",
    }
}

/// Pressures and the gate's openness after filling.
pub(crate) fn hold(report: &Report) -> Stack {
    let (hold, h) = (&report.hold, &report.hold.history);
    let mut marks = Vec::new();
    if let Some(freeze) = hold.gate_freeze_s {
        marks.push(Mark { at: freeze, text: format!("gate freezes {} s", reading(freeze)), leading: true });
    }
    if hold.gate_freeze_s.is_none_or(|freeze| hold.sealed_after_s < freeze * (1.0 - 1e-6)) {
        let sealed = hold.sealed_after_s;
        marks.push(Mark { at: sealed, text: format!("hold ends {} s", reading(sealed)), leading: false });
    }
    Stack {
        x: ("Time from the end of filling", "s"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![
            Pane {
                title: "Pressure",
                unit: "MPa",
                log: false,
                from_zero: true,
                weight: 1.8,
                curves: vec![
                    curve("nozzle", &h.time_s, &h.nozzle_mpa, SOLID, false),
                    curve("behind the gate", &h.time_s, &h.gate_mpa, LONG, true),
                    curve("end of flow", &h.time_s, &h.end_mpa, DOTS, false),
                ],
            },
            Pane {
                title: "Openness of the gate",
                unit: "",
                log: false,
                from_zero: true,
                weight: 1.0,
                curves: vec![curve("openness", &h.time_s, &h.gate_openness, SOLID, false)],
            },
        ],
        marks,
        empty: "No hold has been computed.",
    }
}
