//! The gate as a detail of a toolmaker's drawing, with its dimension lines: in section along the flow, between what feeds it
//! and the part, and below that across the flow. Each of the two views has a scale of its own.

use crate::axes::{AxisSpan, Layout, Panel, at_least_a_pixel, reading};
use crate::display_list::{DisplayList, Point, Rect, Side};
use crate::hatch::clipped;
use crate::style::SMALL;
use crate::table::{DataCell, DataTable, columns};
use crate::{Drawing, PassageReport};

/// The first gate of a list of passages.
#[derive(Debug, Clone, Copy)]
pub struct GateDetail<'a> {
    /// Name of the scenario.
    pub name: &'a str,
    /// All its passages.
    pub passages: &'a [PassageReport],
    gate: usize,
}

impl<'a> GateDetail<'a> {
    /// The detail of the first gate; `None` without one.
    pub fn of(name: &'a str, passages: &'a [PassageReport]) -> Option<Self> {
        let gate = passages.iter().position(|p| p.role == "gate")?;
        Some(Self { name, passages, gate })
    }

    fn gate(&self) -> &'a PassageReport {
        &self.passages[self.gate]
    }

    /// Depths at the gate \[mm\]: end of what feeds it, its own entry and exit, begin of what follows.
    fn depths(&self) -> [f64; 4] {
        let gate = self.gate();
        let feeder = gate.feeder.and_then(|i| self.passages.get(i));
        let next = self.passages.iter().find(|p| p.feeder == Some(self.gate));
        let [entry, exit] = gate.thickness_mm;
        [feeder.map_or(entry, |p| p.thickness_mm[1]), entry, exit, next.map_or(exit, |p| p.thickness_mm[0])]
    }
}

impl Drawing for GateDetail<'_> {
    fn caption(&self) -> String {
        format!("Detail of the gate: {}", self.gate().name)
    }

    fn name(&self) -> &str {
        self.name
    }

    fn table(&self) -> DataTable {
        let gate = self.gate();
        let [feeder, entry, exit, part] = self.depths();
        let [width, width_end] = gate.width_mm;
        let sizes = [
            ("Length", gate.length_mm),
            ("Depth at entry", entry),
            ("Depth at exit", exit),
            ("Width at entry", width),
            ("Width at exit", width_end),
            ("Depth of what feeds it", feeder),
            ("Wall of the part", part),
        ];
        let rows = sizes.iter().map(|(words, size)| vec![DataCell::text(*words), DataCell::number(*size)]);
        DataTable {
            caption: self.caption(),
            columns: columns(&[("Size", ""), ("Value", "mm")]),
            rows: rows.collect(),
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let area = list.begin(&self.caption(), self.name);
        let middle = area.top + 0.58 * area.height();
        let along = at_least_a_pixel(Rect { bottom: middle, ..area });
        let across = at_least_a_pixel(Rect { top: middle, ..area });
        draw_along(list, self.gate(), self.depths(), along);
        draw_across(list, self.gate(), across);
        let span = || AxisSpan::new("", "mm", 0.0, self.gate().length_mm.max(1e-3), false);
        let plot = Panel { rect: along, x: span(), y: span() };
        Layout { width: list.width, height: list.height, ..Layout::of(plot) }
    }
}

/// The gate in section along the flow, the steel sectioned, with its length and its depths.
fn draw_along(list: &mut DisplayList, gate: &PassageReport, depths: [f64; 4], area: Rect) {
    let [feeder, entry, exit, part] = depths;
    let room = Rect {
        left: area.left + list.px(52.0),
        right: area.right - list.px(52.0),
        bottom: area.bottom - list.px(26.0),
        ..area
    };
    let (length, thick) = (gate.length_mm, depths.into_iter().fold(0.0, f64::max));
    let stub = (0.5 * thick).max(0.4 * length);
    let steel = list.px(8.0);
    let scale = ((room.height() - 2.0 * steel) / thick).min(room.width() / (length + 2.0 * stub));
    if !(scale.is_finite() && scale > 0.0) {
        return;
    }
    let [x, y] = room.center();
    let at = |mm: f64| x + (mm - 0.5 * length) * scale;
    let half = |depth: f64| 0.5 * depth * scale;
    let block = Rect::around([x, y], (length + 2.0 * stub) * scale, thick * scale + 2.0 * steel);
    hatch(list, block);
    let outline =
        [(-stub, feeder), (0.0, feeder), (0.0, entry), (length, exit), (length, part), (length + stub, part)];
    let wall = |side: f64| -> Vec<Point> {
        outline.iter().map(|(mm, depth)| [at(*mm), y + side * half(*depth)]).collect()
    };
    let mut hollow = wall(-1.0);
    hollow.extend(wall(1.0).into_iter().rev());
    let (lifted, ink) = (list.palette.lifted, list.palette.ink);
    list.area(hollow, lifted);
    for side in [-1.0, 1.0] {
        list.path(wall(side), 1.8, ink);
    }
    let unit = list.units.shown("mm");
    let sign = if gate.shape == "tube" { "Ø" } else { "" };
    let told = |mm: f64| format!("{sign}{}", reading(unit.of(mm)));
    upright(list, [block.left - list.px(14.0), y], half(entry), at(0.0), &told(entry));
    if (exit - entry).abs() > 1e-9 {
        upright(list, [block.right + list.px(14.0), y], half(exit), at(length), &told(exit));
    } else {
        upright(list, [block.right + list.px(14.0), y], half(part), block.right, &reading(unit.of(part)));
    }
    let text = format!("{} {}", reading(unit.of(length)), unit.unit);
    level(list, [at(0.0), at(length)], y + half(entry.min(exit)), block.bottom + list.px(10.0), &text);
}

/// The opening of the gate across the flow where melt enters, with its width; a disc is cut along its inner circumference.
fn draw_across(list: &mut DisplayList, gate: &PassageReport, area: Rect) {
    let ([depth, _], [width, width_end]) = (gate.thickness_mm, gate.width_mm);
    let steel = list.px(7.0);
    let room = Rect {
        left: area.left + list.px(30.0),
        right: area.right - list.px(30.0),
        bottom: area.bottom - list.px(26.0),
        ..area
    };
    let scale = (room.width() / width).min((room.height() - 2.0 * steel) / depth);
    if !(scale.is_finite() && scale > 0.0) {
        return;
    }
    let [x, y] = room.center();
    let round = gate.shape == "tube";
    let opening = Rect::around([x, y], width * scale, depth * scale);
    hatch(list, opening.grown(steel));
    let outline = if round {
        let turn = |k: usize| (std::f64::consts::TAU * k as f64 / 48.0).sin_cos();
        (0..=48)
            .map(turn)
            .map(|(sin, cos)| [x + 0.5 * width * scale * cos, y + 0.5 * depth * scale * sin])
            .collect()
    } else {
        let mut corners = opening.corners();
        corners.push(corners[0]);
        corners
    };
    let (lifted, ink) = (list.palette.lifted, list.palette.ink);
    list.area(outline.clone(), lifted);
    list.path(outline, 1.8, ink);
    let unit = list.units.shown("mm");
    let told = |mm: f64| reading(unit.of(mm));
    let words = match gate.shape.as_str() {
        "tube" => format!("Ø{} {}", told(width), unit.unit),
        "disc" => format!("{} {} round", told(width), unit.unit),
        _ if (width_end - width).abs() > 1e-9 => {
            format!("{} wide, {} {} at the part", told(width), told(width_end), unit.unit)
        }
        _ => format!("{} {} wide", told(width), unit.unit),
    };
    level(list, [opening.left, opening.right], y, opening.bottom + steel + list.px(10.0), &words);
}

/// Steel in section.
fn hatch(list: &mut DisplayList, rect: Rect) {
    let step = list.px(7.0);
    let count = ((rect.width() + rect.height()) / step).ceil().clamp(0.0, 400.0) as usize;
    let quiet = list.palette.sectioning();
    for i in 0..=count {
        let x = rect.left + i as f64 * step;
        for line in clipped(&[[x, rect.top], [x - rect.height(), rect.bottom]], &rect) {
            list.path(line, 0.8, quiet);
        }
    }
}

/// A stroke at 45° through the end of a dimension line.
fn tick(list: &mut DisplayList, [x, y]: Point) {
    let (reach, ink) = (list.px(3.5), list.palette.ink);
    list.line([x - reach, y + reach], [x + reach, y - reach], 1.2, ink);
}

/// A level dimension line at `y` between two places, with lines that extend to it from the height `from`.
fn level(list: &mut DisplayList, [left, right]: [f64; 2], from: f64, y: f64, text: &str) {
    let (over, ink) = (list.px(4.0), list.palette.ink);
    for x in [left, right] {
        list.line([x, from], [x, y + over], 0.7, ink);
        tick(list, [x, y]);
    }
    list.line([left - over, y], [right + over, y], 0.7, ink);
    list.write(text, [0.5 * (left + right), y + list.px(11.0)], Side::Center, SMALL, false, ink);
}

/// An upright dimension line about a place, of this half length, with lines that extend to it from `from`; its text stands on
/// the outer side.
fn upright(list: &mut DisplayList, [x, y]: Point, half: f64, from: f64, text: &str) {
    let ink = list.palette.ink;
    let outwards = if x < from { -1.0 } else { 1.0 };
    let over = outwards * list.px(4.0);
    for end in [y - half, y + half] {
        list.line([from, end], [x + over, end], 0.7, ink);
        tick(list, [x, end]);
    }
    list.line([x, y - half - list.px(4.0)], [x, y + half + list.px(4.0)], 0.7, ink);
    let side = if outwards < 0.0 { Side::Right } else { Side::Left };
    list.write(text, [x + 2.0 * over, y], side, SMALL, false, ink);
}
