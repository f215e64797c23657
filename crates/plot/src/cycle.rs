//! The cycle as one strip, stage after stage.

use crate::axes::{self, AxisSpan, Layout, Panel, reading};
use crate::hatch::clipped;
use crate::labels::{Flag, Flags};
use crate::sheet::{Rect, Sheet, Side};
use crate::style::{LABEL, SMALL};
use crate::window::at_least_a_pixel;
use gatefrost_report::{CyclePart, Report};

/// Height of the strip in CSS pixels, and of what runs inside one of its parts.
const STRIP: f64 = 34.0;
const INSIDE: f64 = 13.0;

/// A stretch of the cycle and when it begins.
pub(crate) struct Stretch<'a> {
    pub part: &'a CyclePart,
    pub start: f64,
}

/// The cycle in order; what runs inside a part begins with it.
pub(crate) fn stretches(report: &Report) -> Vec<Stretch<'_>> {
    let (mut start, mut end) = (0.0, 0.0);
    let lasting = report.cool.cycle.iter().filter(|p| p.seconds.is_finite() && p.seconds > 0.0);
    let placed = lasting.map(|part| {
        if !part.inside {
            start = end;
            end += part.seconds;
        }
        Stretch { part, start }
    });
    placed.collect()
}

pub(crate) fn draw(sheet: &mut Sheet, report: &Report, caption: &str) -> Layout {
    let area = sheet.begin(caption, &report.scenario);
    let (inside, parts): (Vec<_>, Vec<_>) = stretches(report).into_iter().partition(|s| s.part.inside);
    let governed = &report.cool.governed_by;
    let words =
        if governed.is_empty() { String::new() } else { format!("What decides the cycle time: {governed}.") };
    let area = sheet.footnote(&words, area);
    let total: f64 = parts.iter().map(|s| s.part.seconds).sum();
    let x = AxisSpan::new("Time", "s", 0.0, total, false);
    let sides = sheet.px(10.0);
    let (left, right) = (area.left + sides, (area.right - sides).max(area.left + sides + 1.0));

    let pixel = |seconds: f64| left + x.fraction(seconds) * (right - left);
    let flags = parts.iter().map(|s| Flag {
        x: pixel(s.start + s.part.seconds / 2.0),
        foot: 0.0,
        text: said(s.part),
        color: sheet.palette.ink,
    });
    let mut flags = Flags::arrange(sheet, flags.collect(), area.left, area.right);
    let below = if inside.is_empty() { 0.0 } else { sheet.px(INSIDE + 4.0) };
    let needed = flags.height(sheet) + sheet.px(6.0 + STRIP) + below + axes::foot_room(sheet);
    let spare = ((area.height() - needed) * 0.45).max(0.0);
    let top = area.top + spare + flags.height(sheet) + sheet.px(6.0);
    let bottom = (area.bottom - axes::foot_room(sheet) - below).min(top + sheet.px(STRIP));
    let rect = at_least_a_pixel(Rect { left, right, top, bottom });
    let panel = Panel { rect, x, y: AxisSpan::new("", "", 0.0, 1.0, false) };

    if parts.is_empty() {
        let place = Rect { top: area.top, bottom: area.bottom, ..rect };
        sheet.outline(place, 1.2, sheet.palette.ink);
        sheet.sentence(
            "There is no cycle time: the cavity does not fill, or the part never gets cold enough to eject.",
            place,
        );
    } else {
        let ends = |s: &Stretch<'_>| [s.start, s.start + s.part.seconds].map(|t| panel.to_pixel([t, 0.0])[0]);
        for (i, stretch) in parts.iter().enumerate() {
            let [left, right] = ends(stretch);
            draw_part(sheet, i, Rect { left, right, ..rect });
        }
        sheet.outline(rect, 1.4, sheet.palette.ink);
        for stretch in &inside {
            let [left, right] = ends(stretch);
            let top = rect.bottom + sheet.px(3.0);
            draw_inside(
                sheet,
                stretch.part,
                Rect { left, right, top, bottom: top + sheet.px(INSIDE) },
                &rect,
            );
        }
        flags.stand_on(|_| rect.top + sheet.px(8.0));
        flags.draw(sheet, top - sheet.px(2.0));
        draw_times(sheet, &panel, rect.bottom + below, total);
    }
    Layout { width: sheet.width, height: sheet.height, plot: panel, others: Vec::new(), spots: Vec::new() }
}

fn said(part: &CyclePart) -> String {
    format!("{}  {} s", part.name, reading(part.seconds))
}

/// What runs inside a part: a thin bar below it, named beside it on the side with more room.
fn draw_inside(sheet: &mut Sheet, part: &CyclePart, bar: Rect, strip: &Rect) {
    let bar = at_least_a_pixel(bar);
    sheet.area(bar.corners(), sheet.palette.shade);
    sheet.outline(bar, 1.0, sheet.palette.ink);
    let (text, ink, y) = (said(part), sheet.palette.ink, bar.center()[1]);
    if strip.right - bar.right > bar.left - strip.left {
        sheet.write(&text, [bar.right + sheet.px(5.0), y], Side::Left, SMALL, false, ink);
    } else {
        sheet.write(&text, [bar.left - sheet.px(5.0), y], Side::Right, SMALL, false, ink);
    }
}

/// Neighbouring stages differ in their shading, so that they can be told apart in print.
fn draw_part(sheet: &mut Sheet, index: usize, rect: Rect) {
    let ground = if index.is_multiple_of(2) { sheet.palette.lifted } else { sheet.palette.paper };
    sheet.area(rect.corners(), ground);
    let lean = match index % 4 {
        1 => 1.0,
        3 => -1.0,
        _ => 0.0,
    };
    if lean != 0.0 {
        let (step, run) = (sheet.px(6.0), rect.height() * lean);
        let count = ((rect.width() + rect.height()) / step).ceil().clamp(0.0, 4000.0) as usize;
        for i in 0..=count {
            let x = rect.left + i as f64 * step + if lean < 0.0 { -rect.height() } else { 0.0 };
            for line in clipped(&[[x, rect.top], [x - run, rect.bottom]], &rect) {
                sheet.path(line, 1.0, sheet.palette.sectioning());
            }
        }
    }
    sheet.line([rect.right, rect.top], [rect.right, rect.bottom], 1.2, sheet.palette.ink);
}

fn draw_times(sheet: &mut Sheet, panel: &Panel, base: f64, total: f64) {
    let ink = sheet.palette.ink;
    for (value, label) in axes::ticks(&panel.x, sheet.units, panel.rect.width(), sheet.px(46.0)).major {
        let x = panel.to_pixel([value, 0.0])[0];
        sheet.line([x, base], [x, base + sheet.px(5.0)], 1.0, ink);
        sheet.write(&label, [x, base + sheet.px(13.0)], Side::Center, SMALL, false, ink);
    }
    sheet.line([panel.rect.left, base], [panel.rect.right, base], 1.0, ink);
    let y = base + sheet.px(30.0);
    sheet.write(&panel.x.words(sheet.units), [panel.rect.right, y], Side::Right, LABEL, false, ink);
    let text = format!("cycle time {} s", reading(total));
    sheet.write(&text, [panel.rect.left, y], Side::Left, LABEL, true, sheet.palette.accent);
}
