//! The cycle as one strip, part after part.

use crate::axes::{self, AxisSpan, Layout, Panel, reading};
use crate::hatch::clipped;
use crate::labels::{Flag, Flags};
use crate::sheet::{Rect, Sheet, Side};
use crate::style::LABEL;
use crate::window::at_least_a_pixel;
use gatefrost_core::report::{CyclePart, Report};

/// Height of the strip in CSS pixels.
const STRIP: f64 = 34.0;

pub(crate) fn draw(sheet: &mut Sheet, report: &Report, caption: &str) -> Layout {
    let area = sheet.begin(caption, &report.scenario);
    let parts: Vec<&CyclePart> =
        report.cool.cycle.iter().filter(|p| p.seconds.is_finite() && p.seconds > 0.0).collect();
    let total: f64 = parts.iter().map(|p| p.seconds).sum();
    let x = AxisSpan::new("Time", "s", 0.0, total, false);
    let sides = sheet.px(10.0);
    let (left, right) = (area.left + sides, (area.right - sides).max(area.left + sides + 1.0));

    let mut starts = Vec::new();
    let mut at = 0.0;
    for part in &parts {
        starts.push(at);
        at += part.seconds;
    }
    let pixel = |seconds: f64| left + x.fraction(seconds) * (right - left);
    let flags = parts.iter().zip(&starts).map(|(part, start)| Flag {
        x: pixel(start + part.seconds / 2.0),
        foot: 0.0,
        text: format!("{}  {} s", part.name, reading(part.seconds)),
        color: sheet.palette.ink,
    });
    let mut flags = Flags::arrange(sheet, flags.collect(), area.left, area.right);
    let needed = flags.height(sheet) + sheet.px(6.0 + STRIP) + axes::foot_room(sheet);
    let spare = ((area.height() - needed) * 0.45).max(0.0);
    let top = area.top + spare + flags.height(sheet) + sheet.px(6.0);
    let bottom = (area.bottom - axes::foot_room(sheet)).min(top + sheet.px(STRIP));
    let rect = at_least_a_pixel(Rect { left, right, top, bottom });
    let panel = Panel { rect, x, y: AxisSpan::new("", "", 0.0, 1.0, false) };

    if parts.is_empty() {
        let place = Rect { top: area.top, bottom: area.bottom, ..rect };
        sheet.outline(place, 1.2, sheet.palette.ink);
        sheet.sentence("There is no cycle: the part never cools enough to be ejected.", place);
    } else {
        for (i, (part, start)) in parts.iter().zip(&starts).enumerate() {
            let (from, to) =
                (panel.to_pixel([*start, 0.0])[0], panel.to_pixel([start + part.seconds, 0.0])[0]);
            draw_part(sheet, i, Rect { left: from, right: to, ..rect });
        }
        sheet.outline(rect, 1.4, sheet.palette.ink);
        flags.stand_on(|_| rect.top + sheet.px(8.0));
        flags.draw(sheet, top - sheet.px(2.0));
        draw_times(sheet, &panel, total);
    }
    Layout { width: sheet.width, height: sheet.height, plot: panel, others: Vec::new() }
}

/// Neighbours differ in their shading, which survives print: plain, sectioned, plain, counter-sectioned.
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

fn draw_times(sheet: &mut Sheet, panel: &Panel, total: f64) {
    let ink = sheet.palette.ink;
    for (value, label) in axes::ticks(&panel.x, panel.rect.width(), sheet.px(46.0)).major {
        let x = panel.to_pixel([value, 0.0])[0];
        sheet.line([x, panel.rect.bottom], [x, panel.rect.bottom + sheet.px(5.0)], 1.0, ink);
        sheet.write(
            &label,
            [x, panel.rect.bottom + sheet.px(13.0)],
            Side::Center,
            crate::style::SMALL,
            false,
            ink,
        );
    }
    let y = panel.rect.bottom + sheet.px(30.0);
    sheet.write(&panel.x.words(), [panel.rect.right, y], Side::Right, LABEL, false, ink);
    let text = format!("whole cycle {} s", reading(total));
    sheet.write(&text, [panel.rect.left, y], Side::Left, LABEL, true, sheet.palette.accent);
}
