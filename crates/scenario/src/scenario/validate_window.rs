//! Whether the plane of the window can be computed.

use super::validate::{Problem, check_number, problem};
use super::{Axis, Scenario, Span};
use crate::catalogue;
use crate::format::number;

impl Scenario {
    /// The whole rectangle must be computable, so each corner is checked as a scenario of its own.
    pub(super) fn check_window(&self, problems: &mut Vec<Problem>) {
        let Self { window, .. } = self;
        if window.x.axis.moves_with(window.y.axis) {
            let message = if window.x.axis == window.y.axis {
                "must differ from the setting of the horizontal axis"
            } else {
                "is the same setting as that of the horizontal axis: a flow rate is an injection time"
            };
            problems.push(problem("window.y.axis", message));
            return;
        }
        for (side, span) in [("x", &window.x), ("y", &window.y)] {
            if span.axis == Axis::GateDepth && self.cavity.gate_depth().is_none() {
                let message = "asks for a gate thickness; none of the passages is a gate";
                problems.push(problem(&format!("window.{side}.axis"), message));
            }
            check_span(side, span, problems);
        }
        if !problems.is_empty() {
            return;
        }
        for x in [window.x.from, window.x.to] {
            for y in [window.y.from, window.y.to] {
                let mut corner = self.clone();
                let settings = [(window.x.axis, x), (window.y.axis, y)];
                corner.set_all(&settings);
                let mut found = Vec::new();
                // The other numbers have been looked at.
                for (path, moved) in self.moves(&settings) {
                    if let Some(parameter) = catalogue::at(&path) {
                        check_number(parameter, &path, Some(moved), &mut found);
                    }
                }
                corner.check_feedstock(&mut found);
                corner.check_setup(&mut found);
                if let Some(first) = found.first() {
                    problems.push(problem(
                        "window",
                        format!(
                            "reaches a corner that cannot be computed ({}, {}): {}",
                            setting(window.x.axis, x),
                            setting(window.y.axis, y),
                            first.message
                        ),
                    ));
                    return;
                }
            }
        }
    }
}

fn check_span(side: &str, span: &Span, problems: &mut Vec<Problem>) {
    let parameter = span.axis.parameter();
    for (end, value) in [("from", span.from), ("to", span.to)] {
        if !parameter.accepts(value) {
            problems.push(problem(
                &format!("window.{side}.{end}"),
                format!("is {}; accepted is {}", number(value, 6), parameter.accepted()),
            ));
        }
    }
    if span.axis.logarithmic() && span.from <= 0.0 {
        problems.push(problem(
            &format!("window.{side}.from"),
            format!(
                "is {}; this axis is divided logarithmically and must begin above zero",
                number(span.from, 6)
            ),
        ));
    }
    // Narrower spans than this say nothing and upset the tracing.
    let wide_enough = span.to - span.from >= 1e-4 * span.from.abs().max(span.to.abs());
    if problems.is_empty() && !(wide_enough && span.to > span.from) {
        problems.push(problem(
            &format!("window.{side}.to"),
            format!("is {}; it must exceed the beginning, {}", number(span.to, 6), number(span.from, 6)),
        ));
    }
}

/// A setting in words, such as `Melt temperature 110 °C`.
fn setting(axis: Axis, value: f64) -> String {
    let p = axis.parameter();
    format!("{} {} {}", p.title, number(value, 4), p.unit)
}
