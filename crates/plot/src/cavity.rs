//! The flow path as a longitudinal section, like a toolmaker's drawing: the steel sectioned, the
//! cavity left hollow, the melt in it up to its front.

use crate::axes::{self, AxisSpan, Layout, Panel, reading};
use crate::hatch::{clipped, dashed};
use crate::labels::{Flag, Flags};
use crate::sheet::{Point, Rect, Sheet, Side, text_width};
use crate::style::{CHAIN, SMALL};
use crate::window::at_least_a_pixel;
use gatefrost_core::report::{PassageReport, Report};

/// How many times thickness may be drawn true, so that the thinnest passage can be seen.
const ENLARGEMENTS: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];

pub(crate) fn draw(sheet: &mut Sheet, report: &Report, front: Option<f64>, caption: &str) -> Layout {
    let area = sheet.begin(caption, &report.scenario);
    let passages: Vec<&PassageReport> = report.cavity.passages.iter().filter(|p| drawable(p)).collect();
    let total = passages.iter().map(|p| p.start_mm + p.length_mm).fold(0.0, f64::max);
    let x = AxisSpan::new("Distance from the nozzle", "mm", 0.0, total, false);
    let foot = area.bottom - axes::foot_room(sheet);
    let sides = sheet.px(10.0);
    let band =
        at_least_a_pixel(Rect { left: area.left + sides, right: area.right - sides, bottom: foot, ..area });

    let sizes = sheet.css_width() >= 560.0;
    let flags = passages.iter().map(|p| Flag {
        x: band.left + (p.start_mm + p.length_mm / 2.0) / x.to * band.width(),
        foot: 0.0,
        text: if sizes { format!("{}  {}", name(p), size(p)) } else { name(p) },
        color: sheet.palette.ink,
    });
    let mut flags = Flags::arrange(sheet, flags.collect(), area.left, area.right);
    let top = area.top + flags.height(sheet);
    let room = at_least_a_pixel(Rect { top: top + sheet.px(6.0), bottom: foot - sheet.px(20.0), ..band });

    let scale = Scale::fit(sheet, &passages, &room, x.to);
    // What height is left over goes above and below.
    let spare = ((room.height() - 2.0 * scale.steel) * 0.45).max(0.0);
    let middle = room.top + spare + scale.steel.min(room.height() / 2.0);
    let half_height = scale.steel / scale.across.max(1e-9);
    let steel = Rect { top: middle - scale.steel, bottom: middle + scale.steel, ..band };
    let panel = Panel {
        rect: at_least_a_pixel(steel),
        x,
        y: AxisSpan::new("Half thickness", "mm", -half_height, half_height, false),
    };

    if passages.is_empty() {
        let place = at_least_a_pixel(Rect { bottom: area.bottom, ..band });
        sheet.outline(place, 1.2, sheet.palette.ink);
        sheet.sentence("The cavity has no passage to draw.", place);
        return Layout { width: sheet.width, height: sheet.height, plot: panel, others: Vec::new() };
    }
    draw_steel(sheet, panel.rect);
    draw_hollow(sheet, &panel, &passages);
    let front =
        front.or_else(|| report.fill.history.front_mm.last().copied()).filter(|f| f.is_finite() && *f > 0.0);
    if let Some(front) = front {
        draw_melt(sheet, &panel, &passages, front.min(total));
    }
    draw_walls(sheet, &panel, &passages);
    let center = [[band.left - sides * 0.8, middle], [band.right + sides * 0.8, middle]];
    for dash in dashed(&center, &sheet.pattern(CHAIN)) {
        sheet.path(dash, 1.0, sheet.palette.quiet);
    }
    flags.stand_on(|x_pixel| surface(&panel, &passages, x_pixel));
    flags.draw(sheet, top + spare);
    draw_ruler(sheet, &panel, front.map(|f| f.min(total)), scale.enlarged, area);
    Layout { width: sheet.width, height: sheet.height, plot: panel, others: Vec::new() }
}

fn drawable(p: &PassageReport) -> bool {
    let numbers = [p.start_mm, p.length_mm, p.thickness_mm[0], p.thickness_mm[1]];
    numbers.iter().all(|v| v.is_finite()) && p.length_mm > 0.0 && p.thickness_mm.iter().all(|t| *t > 0.0)
}

fn name(p: &PassageReport) -> String {
    if p.copies > 1 { format!("{} ×{}", p.name, p.copies) } else { p.name.clone() }
}

/// The section in words: Ø for a tube, width × thickness for a strip, thickness for a disc.
fn size(p: &PassageReport) -> String {
    let span = |[a, b]: [f64; 2]| {
        if (a - b).abs() < 1e-9 { reading(a) } else { format!("{}–{}", reading(a), reading(b)) }
    };
    match p.shape.as_str() {
        "tube" => format!("Ø{}", span(p.thickness_mm)),
        "strip" => format!("{} × {}", span(p.width_mm), span(p.thickness_mm)),
        _ => format!("{} thick", span(p.thickness_mm)),
    }
}

/// How thickness is drawn.
struct Scale {
    /// Pixels per millimetre of thickness.
    across: f64,
    /// How many times the scale of the length.
    enlarged: f64,
    /// Half height of the steel in pixels.
    steel: f64,
}

impl Scale {
    fn fit(sheet: &Sheet, passages: &[&PassageReport], room: &Rect, total: f64) -> Self {
        let along = room.width() / total;
        let all = || passages.iter().flat_map(|p| p.thickness_mm);
        let (thin, thick) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
        let (margin, least) = (sheet.px(16.0), sheet.px(5.0));
        let most = (room.height() - 2.0 * margin).max(1.0);
        let fits = |k: &&f64| thick * along * **k <= most;
        let seen = ENLARGEMENTS.iter().find(|k| thin * along * **k >= least).copied();
        let largest = ENLARGEMENTS.iter().rev().find(fits).copied();
        let enlarged = match (seen, largest) {
            (Some(seen), Some(largest)) => seen.min(largest),
            (None, Some(largest)) => largest,
            // Even true thickness is too tall: draw it smaller and say so.
            (_, None) => most / (thick * along).max(1e-9),
        };
        let across = if enlarged.is_finite() && along.is_finite() { along * enlarged } else { 1.0 };
        Self { across, enlarged, steel: thick * across / 2.0 + margin }
    }
}

fn draw_steel(sheet: &mut Sheet, rect: Rect) {
    let step = sheet.px(9.0);
    let count = ((rect.width() + rect.height()) / step).ceil().clamp(0.0, 4000.0) as usize;
    let quiet = sheet.palette.sectioning();
    for i in 0..=count {
        let x = rect.left + i as f64 * step;
        for line in clipped(&[[x, rect.top], [x - rect.height(), rect.bottom]], &rect) {
            sheet.path(line, 1.0, quiet);
        }
    }
    sheet.outline(rect, 1.2, sheet.palette.ink);
}

/// Thickness at a distance into a passage.
fn thickness(p: &PassageReport, at_mm: f64) -> f64 {
    let t = ((at_mm - p.start_mm) / p.length_mm).clamp(0.0, 1.0);
    p.thickness_mm[0] + (p.thickness_mm[1] - p.thickness_mm[0]) * t
}

/// The four corners of a passage from its start to `end_mm`.
fn section(panel: &Panel, p: &PassageReport, end_mm: f64) -> Vec<Point> {
    let (a, b) = (p.thickness_mm[0] / 2.0, thickness(p, end_mm) / 2.0);
    [[p.start_mm, a], [end_mm, b], [end_mm, -b], [p.start_mm, -a]].map(|v| panel.to_pixel(v)).to_vec()
}

fn draw_hollow(sheet: &mut Sheet, panel: &Panel, passages: &[&PassageReport]) {
    for p in passages {
        sheet.area(section(panel, p, p.start_mm + p.length_mm), sheet.palette.lifted);
    }
}

/// The melt, with the bulge of its front in the passage where it stands.
fn draw_melt(sheet: &mut Sheet, panel: &Panel, passages: &[&PassageReport], front: f64) {
    let (wash, accent) = (sheet.palette.wash, sheet.palette.accent);
    for p in passages.iter().filter(|p| p.start_mm < front) {
        let end = p.start_mm + p.length_mm;
        if front >= end - 1e-9 {
            sheet.area(section(panel, p, end), wash);
            continue;
        }
        // The layers at the walls lag by about a third of the gap, as far as the passage allows.
        let half = thickness(p, front) / 2.0;
        let lag = (half * 0.7).min((front - p.start_mm) * 0.9);
        let bulge: Vec<Point> = (-8..=8)
            .map(|i| {
                let u = f64::from(i) / 8.0;
                panel.to_pixel([front - lag * u * u, -u * half])
            })
            .collect();
        let a = p.thickness_mm[0] / 2.0;
        let mut melt = vec![panel.to_pixel([p.start_mm, -a]), panel.to_pixel([p.start_mm, a])];
        melt.extend_from_slice(&bulge);
        sheet.area(melt, wash);
        sheet.path(bulge, 2.0, accent);
    }
}

/// The walls, with the steps between passages of different thickness.
fn draw_walls(sheet: &mut Sheet, panel: &Panel, passages: &[&PassageReport]) {
    for side in [1.0, -1.0] {
        let wall = passages.iter().flat_map(|p| {
            [
                [p.start_mm, side * p.thickness_mm[0] / 2.0],
                [p.start_mm + p.length_mm, side * p.thickness_mm[1] / 2.0],
            ]
        });
        let wall: Vec<Point> = wall.map(|v| panel.to_pixel(v)).collect();
        sheet.path(wall, 1.8, sheet.palette.ink);
    }
    if let (Some(first), Some(last)) = (passages.first(), passages.last()) {
        let end = last.start_mm + last.length_mm;
        for (x, t) in [(first.start_mm, first.thickness_mm[0]), (end, last.thickness_mm[1])] {
            sheet.line(panel.to_pixel([x, t / 2.0]), panel.to_pixel([x, -t / 2.0]), 1.8, sheet.palette.ink);
        }
    }
}

/// Pixel a little inside the upper wall, where a pole may end.
fn surface(panel: &Panel, passages: &[&PassageReport], x_pixel: f64) -> f64 {
    let at = panel.to_value([x_pixel, panel.rect.top])[0];
    let here = passages.iter().find(|p| at <= p.start_mm + p.length_mm);
    let half = here.map_or(0.0, |p| thickness(p, at) / 2.0);
    panel.to_pixel([at, half * 0.5])[1]
}

/// Distances below the steel, the front's own reading, and how thickness is drawn.
fn draw_ruler(sheet: &mut Sheet, panel: &Panel, front: Option<f64>, enlarged: f64, area: Rect) {
    let base = panel.rect.bottom + sheet.px(6.0);
    let ink = sheet.palette.ink;
    sheet.line([panel.rect.left, base], [panel.rect.right, base], 1.0, ink);
    let tag = front.map(|front| {
        let text = format!("front {}", reading(front));
        let size = sheet.label_size(&text, SMALL, true);
        let center = [panel.to_pixel([front, 0.0])[0], base + sheet.px(15.0)];
        (text, Rect::around(center, size[0] + sheet.px(2.0), size[1]).moved_into(&sheet.bounds()))
    });
    for (value, label) in axes::ticks(&panel.x, panel.rect.width(), sheet.px(46.0)).major {
        let x = panel.to_pixel([value, 0.0])[0];
        sheet.line([x, base], [x, base + sheet.px(5.0)], 1.0, ink);
        let frame = Rect::around(
            [x, base + sheet.px(14.0)],
            text_width(&label, sheet.px(SMALL), false),
            sheet.px(SMALL),
        );
        if tag.as_ref().is_none_or(|(_, tag)| !tag.overlaps(&frame)) {
            sheet.write(&label, frame.center(), Side::Center, SMALL, false, ink);
        }
    }
    if let (Some((text, tag)), Some(front)) = (tag, front) {
        let x = panel.to_pixel([front, 0.0])[0];
        sheet.line([x, base - sheet.px(4.0)], [x, tag.top], 1.4, sheet.palette.accent);
        sheet.write_boxed(&text, tag, SMALL, true, sheet.palette.lifted, sheet.palette.accent);
    }
    let y = base + sheet.px(34.0);
    let note = if (enlarged - 1.0).abs() < 1e-9 {
        "Drawn to scale".to_owned()
    } else if enlarged > 1.0 {
        format!("Thickness drawn {} times", reading(enlarged))
    } else {
        format!("Thickness drawn at {} of true", reading(enlarged))
    };
    let title = if sheet.css_width() < 460.0 { "mm".to_owned() } else { panel.x.words() };
    sheet.write(&title, [area.right, y], Side::Right, SMALL, false, ink);
    sheet.write(&note, [area.left, y], Side::Left, SMALL, false, sheet.palette.quiet);
}
