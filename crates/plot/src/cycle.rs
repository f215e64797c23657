//! The cycle as one strip, stage after stage.

use crate::axes::{self, AxisSpan, Layout, Panel, at_least_a_pixel, reading};
use crate::display_list::{DisplayList, Rect, Side};
use crate::hatch::clipped;
use crate::labels::{Flag, Flags};
use crate::style::{LABEL, SMALL};
use crate::table::{DataCell, DataTable, columns};
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

pub(crate) fn draw(list: &mut DisplayList, report: &Report, caption: &str) -> Layout {
    let area = list.begin(caption, &report.scenario);
    let (inside, parts): (Vec<_>, Vec<_>) = stretches(report).into_iter().partition(|s| s.part.inside);
    let governed = &report.cool.governed_by;
    let words =
        if governed.is_empty() { String::new() } else { format!("What decides the cycle time: {governed}.") };
    let area = list.footnote(&words, area);
    let total: f64 = parts.iter().map(|s| s.part.seconds).sum();
    let x = AxisSpan::new("Time", "s", 0.0, total, false);
    let sides = list.px(10.0);
    let (left, right) = (area.left + sides, (area.right - sides).max(area.left + sides + 1.0));

    let pixel = |seconds: f64| left + x.fraction(seconds) * (right - left);
    let flags = parts.iter().map(|s| Flag {
        x: pixel(s.start + s.part.seconds / 2.0),
        foot: 0.0,
        text: said(s.part),
        color: list.palette.ink,
    });
    let mut flags = Flags::arrange(list, flags.collect(), area.left, area.right);
    let below = if inside.is_empty() { 0.0 } else { list.px(INSIDE + 4.0) };
    let needed = flags.height(list) + list.px(6.0 + STRIP) + below + axes::foot_room(list);
    let spare = ((area.height() - needed) * 0.45).max(0.0);
    let top = area.top + spare + flags.height(list) + list.px(6.0);
    let bottom = (area.bottom - axes::foot_room(list) - below).min(top + list.px(STRIP));
    let rect = at_least_a_pixel(Rect { left, right, top, bottom });
    let panel = Panel { rect, x, y: AxisSpan::new("", "", 0.0, 1.0, false) };

    if parts.is_empty() {
        let place = Rect { top: area.top, bottom: area.bottom, ..rect };
        list.outline(place, 1.2, list.palette.ink);
        list.sentence(
            "There is no cycle time: the cavity does not fill, or the part never gets cold enough to eject.",
            place,
        );
    } else {
        let ends = |s: &Stretch<'_>| [s.start, s.start + s.part.seconds].map(|t| panel.to_pixel([t, 0.0])[0]);
        for (i, stretch) in parts.iter().enumerate() {
            let [left, right] = ends(stretch);
            draw_part(list, i, Rect { left, right, ..rect });
        }
        list.outline(rect, 1.4, list.palette.ink);
        for stretch in &inside {
            let [left, right] = ends(stretch);
            let top = rect.bottom + list.px(3.0);
            draw_inside(list, stretch.part, Rect { left, right, top, bottom: top + list.px(INSIDE) }, &rect);
        }
        flags.stand_on(|_| rect.top + list.px(8.0));
        flags.draw(list, top - list.px(2.0));
        draw_times(list, &panel, rect.bottom + below, total);
    }
    Layout { width: list.width, height: list.height, ..Layout::of(panel) }
}

fn said(part: &CyclePart) -> String {
    format!("{}  {} s", part.name, reading(part.seconds))
}

/// What runs inside a part: a thin bar below it, named beside it on the side with more room.
fn draw_inside(list: &mut DisplayList, part: &CyclePart, bar: Rect, strip: &Rect) {
    let bar = at_least_a_pixel(bar);
    list.area(bar.corners(), list.palette.shade);
    list.outline(bar, 1.0, list.palette.ink);
    let (text, ink, y) = (said(part), list.palette.ink, bar.center()[1]);
    if strip.right - bar.right > bar.left - strip.left {
        list.write(&text, [bar.right + list.px(5.0), y], Side::Left, SMALL, false, ink);
    } else {
        list.write(&text, [bar.left - list.px(5.0), y], Side::Right, SMALL, false, ink);
    }
}

/// Neighbouring stages differ in their shading, so that they can be told apart in print.
fn draw_part(list: &mut DisplayList, index: usize, rect: Rect) {
    let ground = if index.is_multiple_of(2) { list.palette.lifted } else { list.palette.paper };
    list.area(rect.corners(), ground);
    let lean = match index % 4 {
        1 => 1.0,
        3 => -1.0,
        _ => 0.0,
    };
    if lean != 0.0 {
        let (step, run) = (list.px(6.0), rect.height() * lean);
        let count = ((rect.width() + rect.height()) / step).ceil().clamp(0.0, 4000.0) as usize;
        for i in 0..=count {
            let x = rect.left + i as f64 * step + if lean < 0.0 { -rect.height() } else { 0.0 };
            for line in clipped(&[[x, rect.top], [x - run, rect.bottom]], &rect) {
                list.path(line, 1.0, list.palette.sectioning());
            }
        }
    }
    list.line([rect.right, rect.top], [rect.right, rect.bottom], 1.2, list.palette.ink);
}

fn draw_times(list: &mut DisplayList, panel: &Panel, base: f64, total: f64) {
    let ink = list.palette.ink;
    for (value, label) in axes::ticks(&panel.x, list.units, panel.rect.width(), list.px(46.0)).major {
        let x = panel.to_pixel([value, 0.0])[0];
        list.line([x, base], [x, base + list.px(5.0)], 1.0, ink);
        list.write(&label, [x, base + list.px(13.0)], Side::Center, SMALL, false, ink);
    }
    list.line([panel.rect.left, base], [panel.rect.right, base], 1.0, ink);
    let y = base + list.px(30.0);
    list.write(&panel.x.words(list.units), [panel.rect.right, y], Side::Right, LABEL, false, ink);
    let text = format!("cycle time {} s", reading(total));
    list.write(&text, [panel.rect.left, y], Side::Left, LABEL, true, list.palette.accent);
}

/// The numbers of the cycle.
pub(crate) fn table(report: &Report, caption: String) -> DataTable {
    let heads = [("Part of the cycle", ""), ("Begins", "s"), ("Lasts", "s")];
    let rows = stretches(report).into_iter().map(|s| {
        vec![
            DataCell::text(s.part.name.as_ref()),
            DataCell::number(s.start),
            DataCell::number(s.part.seconds),
        ]
    });
    let governed = &report.cool.governed_by;
    let caption = if governed.is_empty() {
        caption
    } else {
        format!("{caption}. What decides the cycle time: {governed}")
    };
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}
