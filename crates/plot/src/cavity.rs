//! The flow path as a longitudinal section, like a toolmaker's drawing: the steel sectioned, the
//! cavity left hollow, the melt in it up to its fronts, set from the walls inwards. A tree has a row for
//! each branch, hanging from the junction it begins at.

mod melt;
mod passages;
mod rows;

use crate::At;
use crate::axes::{self, AxisSpan, Layout, Panel, at_least_a_pixel, reading};
use crate::display_list::{DisplayList, Rect, Side, text_width};
use crate::hatch::{clipped, dashed};
use crate::labels::{Flag, Flags};
use crate::style::{CHAIN, SHORT, SMALL};
use gatefrost_core::units::Units;
use gatefrost_report::{PassageReport, Report, WeldReport};
use melt::Melt;
pub(crate) use passages::table;
use rows::Row;

/// Greatest factor by which thickness may be enlarged so that the thinnest passage can be seen.
const ENLARGEMENTS: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
/// Width of the way down from a junction, in CSS pixels.
const CHANNEL: f64 = 6.0;

/// What is drawn: the passages, and what else is known of them.
#[derive(Clone, Copy)]
pub(crate) struct Shown<'a> {
    /// The scenario's name.
    pub name: &'a str,
    pub passages: &'a [PassageReport],
    /// The report; `None` while the cavity is being edited.
    pub report: Option<&'a Report>,
    pub at: Option<At<'a>>,
    /// The passage that is picked out.
    pub chosen: Option<usize>,
}

impl<'a> Shown<'a> {
    fn welds(&self) -> &'a [WeldReport] {
        self.report.map_or(&[], |report| &report.fill.weld_lines)
    }
}

pub(crate) fn draw(list: &mut DisplayList, shown: Shown<'_>, caption: &str) -> Layout {
    let area = list.begin(caption, shown.name);
    let Shown { passages, report, at, .. } = shown;
    let rows = rows::of(passages);
    let drawn = || rows.iter().flat_map(|row| &row.passages).map(|&i| &passages[i]);
    let total = drawn().map(|p| p.start_mm + p.length_mm).fold(0.0, f64::max);
    let x = AxisSpan::new("Distance from the nozzle", "mm", 0.0, total, false);
    let foot = area.bottom - axes::foot_room(list);
    let sides = list.px(10.0);
    let band =
        at_least_a_pixel(Rect { left: area.left + sides, right: area.right - sides, bottom: foot, ..area });

    let mut flags: Vec<Flags> =
        rows.iter().map(|row| names(list, &shown, row, &band, &x, rows.len() > 1)).collect();
    let mut heights: Vec<f64> = flags.iter().map(|f| f.height(list) + list.px(6.0)).collect();
    let free = band.height() - list.px(20.0);
    if rows.len() > 1 && heights.iter().sum::<f64>() > 0.6 * free {
        // No room for names: the table has them.
        flags = rows.iter().map(|_| Flags::arrange(list, Vec::new(), area.left, area.right)).collect();
        heights = vec![list.px(6.0); rows.len()];
    }
    let room = Rect { bottom: foot - list.px(20.0), top: band.top + heights.iter().sum::<f64>(), ..band };
    let thick = |row: &Row| row.passages.iter().flat_map(|&i| passages[i].thickness_mm).fold(0.0, f64::max);
    let thicks: Vec<f64> = rows.iter().map(thick).collect();
    let thinnest = drawn().flat_map(|p| p.thickness_mm).fold(f64::INFINITY, f64::min);
    let scale = Scale::fit(list, thinnest, &thicks, &at_least_a_pixel(room), x.to);

    // The height that is left over is shared above and below.
    let steel: f64 = thicks.iter().map(|t| t * scale.across + 2.0 * scale.margin).sum();
    let spare = ((room.height() - steel) * 0.45).max(0.0);
    let mut top = band.top + spare;
    let mut panels = Vec::new();
    for (row, (height, thick)) in rows.iter().zip(heights.iter().zip(&thicks)) {
        top += height;
        let half = thick * scale.across / 2.0 + scale.margin;
        // All rows share one scale along the flow.
        let rect = Rect { top, bottom: (top + 2.0 * half).min(foot.max(top + 1.0)), ..band };
        let half_mm = half / scale.across.max(1e-9);
        let y = AxisSpan::new("Half thickness", "mm", -half_mm, half_mm, false);
        panels.push((Panel { rect: at_least_a_pixel(rect), x: x.clone(), y }, row));
        top = rect.bottom;
    }
    let Some((lowest, _)) = panels.last() else {
        let place = at_least_a_pixel(Rect { bottom: area.bottom, ..band });
        list.outline(place, 1.2, list.palette.ink);
        list.sentence("The cavity has no passage to draw.", place);
        let plot = Panel { rect: place, x, y: AxisSpan::new("", "", 0.0, 1.0, false) };
        return Layout { width: list.width, height: list.height, ..Layout::of(plot) };
    };
    let lowest = lowest.rect.bottom;

    let melt = Melt::of(passages, report, at);
    for (panel, row) in &panels {
        draw_steel(list, steel_of(list, panel, row, passages, panels.len() > 1));
    }
    for k in 1..panels.len() {
        draw_channel(list, &panels, passages, k, &melt);
    }
    for (panel, row) in &panels {
        for &i in &row.passages {
            list.area(melt::section(panel, &passages[i], 0.0, 1.0), list.palette.lifted);
            melt.draw(list, panel, &passages[i], i);
        }
        draw_walls(list, panel, row, passages);
        let [from, to] = row.span(passages).map(|mm| panel.to_pixel([mm, 0.0]));
        let reach = list.px(8.0);
        let start = if row.from.is_some() { from[0] } else { from[0] - reach };
        for dash in dashed(&[[start, from[1]], [to[0] + reach, to[1]]], &list.pattern(CHAIN)) {
            list.path(dash, 1.0, list.palette.quiet);
        }
    }
    draw_meetings(list, &panels, &shown, &melt);
    let spots = draw_chosen(list, &panels, &shown);
    for ((panel, row), flags) in panels.iter().zip(&mut flags) {
        flags.stand_on(|x_pixel| surface(panel, row, passages, x_pixel));
        flags.draw(list, panel.rect.top - list.px(6.0));
    }
    draw_ruler(list, &x, Rect { top: lowest, ..band }, area, &scale, &melt);
    let mut panels = panels.into_iter().map(|(panel, _)| panel);
    let plot = panels.next().unwrap_or(Panel { rect: band, x, y: AxisSpan::new("", "", 0.0, 1.0, false) });
    Layout { width: list.width, height: list.height, others: panels.collect(), spots, ..Layout::of(plot) }
}

/// The flags over a row: its passages, and where fronts meet in it.
fn names(list: &DisplayList, shown: &Shown<'_>, row: &Row, band: &Rect, x: &AxisSpan, tree: bool) -> Flags {
    let at = |mm: f64| band.left + mm / x.to * band.width();
    let sizes = list.css_width() >= if tree { 900.0 } else { 560.0 };
    let passages = shown.passages;
    let mut flags: Vec<Flag> = Vec::new();
    for &i in &row.passages {
        let p = &passages[i];
        let text = if sizes { format!("{}  {}", name(p), size(p, list.units)) } else { name(p) };
        let chosen = shown.chosen == Some(i);
        let color = if chosen { list.palette.accent } else { list.palette.ink };
        flags.push(Flag { x: at(p.start_mm + p.length_mm / 2.0), foot: 0.0, text, color });
        for weld in shown.welds().iter().filter(|w| w.index == i) {
            let (text, color) = ("weld".to_owned(), list.palette.accent);
            flags.push(Flag { x: at(p.start_mm + weld.from_start_mm), foot: 0.0, text, color });
        }
    }
    // Names keep to the right of the way down that they would otherwise cross.
    let from = row.from.map_or(band.left, |_| at(row.span(passages)[0]) + list.px(2.0));
    let left = if band.right - from > list.px(150.0) { from } else { band.left };
    Flags::arrange(list, flags, left - list.px(if row.from.is_some() { 0.0 } else { 10.0 }), band.right)
}

fn name(p: &PassageReport) -> String {
    if p.copies > 1 { format!("{} ×{}", p.name, p.copies) } else { p.name.clone() }
}

/// The section in words: Ø for a tube, width × thickness for a strip, thickness for a disc.
fn size(p: &PassageReport, units: Units) -> String {
    let reading = |mm| reading(units.shown("mm").of(mm));
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
    /// Steel above and below a row in pixels.
    margin: f64,
}

impl Scale {
    /// For rows of these greatest thicknesses, one below the other.
    fn fit(list: &DisplayList, thin: f64, thicks: &[f64], room: &Rect, total: f64) -> Self {
        let along = room.width() / total;
        let thick: f64 = thicks.iter().sum();
        let margin = list.px(if thicks.len() > 1 { 10.0 } else { 16.0 });
        let least = list.px(5.0);
        // If names leave no room, the cavity is drawn and names are left out.
        let most =
            (room.height() - 2.0 * margin * thicks.len() as f64).max(list.px(14.0) * thicks.len() as f64);
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
        Self { across, enlarged, margin }
    }
}

/// The steel about a row: across the whole drawing for a chain, about its own passages in a tree.
fn steel_of(list: &DisplayList, panel: &Panel, row: &Row, passages: &[PassageReport], tree: bool) -> Rect {
    if !tree {
        return panel.rect;
    }
    let [from, to] = row.span(passages).map(|mm| panel.to_pixel([mm, 0.0])[0]);
    let air = list.px(10.0 + CHANNEL);
    let left = if row.from.is_some() { (from - air).max(panel.rect.left) } else { panel.rect.left };
    Rect { left, right: (to + air).min(panel.rect.right), ..panel.rect }
}

fn draw_steel(list: &mut DisplayList, rect: Rect) {
    let step = list.px(9.0);
    let count = ((rect.width() + rect.height()) / step).ceil().clamp(0.0, 4000.0) as usize;
    let quiet = list.palette.sectioning();
    for i in 0..=count {
        let x = rect.left + i as f64 * step;
        for line in clipped(&[[x, rect.top], [x - rect.height(), rect.bottom]], &rect) {
            list.path(line, 1.0, quiet);
        }
    }
    list.outline(rect, 1.2, list.palette.ink);
}

/// The way from a junction down to row `k`. It has no length of its own.
fn draw_channel(
    list: &mut DisplayList,
    panels: &[(Panel, &Row)],
    passages: &[PassageReport],
    k: usize,
    melt: &Melt<'_>,
) {
    let (panel, row) = &panels[k];
    let Some(feeder) = row.from else { return };
    let Some((above, _)) = panels.iter().find(|(_, r)| r.passages.contains(&feeder)) else { return };
    let first = &passages[row.passages[0]];
    let from = &passages[feeder];
    let (start, end) = (from.thickness_mm[1] / 2.0, first.thickness_mm[0] / 2.0);
    let top = above.to_pixel([from.start_mm + from.length_mm, -start * 0.8]);
    let (upper, lower) =
        (panel.to_pixel([first.start_mm, end])[1], panel.to_pixel([first.start_mm, -end])[1]);
    let (right, left) = (top[0], top[0] - list.px(CHANNEL));
    let reached = melt.share(row.passages[0]) > 0.0;
    let ground = if reached { list.palette.shade } else { list.palette.lifted };
    list.area(Rect { left, right, top: top[1], bottom: lower }.corners(), ground);
    let below = panels[k + 1..].iter().any(|(_, r)| r.from == Some(feeder));
    let ink = list.palette.ink;
    list.line([right, top[1]], [right, upper], 1.8, ink);
    list.line([left, top[1]], [left, lower], 1.8, ink);
    if !below {
        list.line([left, lower], [right, lower], 1.8, ink);
    }
}

/// The walls, with the steps between passages of different thickness.
fn draw_walls(list: &mut DisplayList, panel: &Panel, row: &Row, passages: &[PassageReport]) {
    for side in [1.0, -1.0] {
        let wall = row.passages.iter().map(|&i| &passages[i]).flat_map(|p| {
            [
                [p.start_mm, side * p.thickness_mm[0] / 2.0],
                [p.start_mm + p.length_mm, side * p.thickness_mm[1] / 2.0],
            ]
        });
        let wall = wall.map(|v| panel.to_pixel(v)).collect();
        list.path(wall, 1.8, list.palette.ink);
    }
    let [from, to] = row.span(passages);
    let last = row.passages.last().map_or(0.0, |&i| passages[i].thickness_mm[1]);
    // Where a row hangs from a junction, that is its entry.
    let entry =
        row.passages.first().filter(|_| row.from.is_none()).map_or(0.0, |&i| passages[i].thickness_mm[0]);
    for (x, t) in [(from, entry), (to, last)] {
        list.line(panel.to_pixel([x, t / 2.0]), panel.to_pixel([x, -t / 2.0]), 1.8, list.palette.ink);
    }
}

/// Picks out the chosen passage by a heavy outline, and says where each lies.
fn draw_chosen(list: &mut DisplayList, panels: &[(Panel, &Row)], shown: &Shown<'_>) -> Vec<Rect> {
    let nowhere = Rect { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 };
    let mut spots = vec![nowhere; shown.passages.len()];
    for (panel, row) in panels {
        for &i in &row.passages {
            let mut outline = melt::section(panel, &shown.passages[i], 0.0, 1.0);
            spots[i] = Rect { left: outline[0][0], right: outline[1][0], ..panel.rect };
            if shown.chosen == Some(i) {
                outline.push(outline[0]);
                list.path(outline, 4.0, list.palette.accent);
            }
        }
    }
    spots
}

/// Ties between ends that meet, and the weld lines.
fn draw_meetings(list: &mut DisplayList, panels: &[(Panel, &Row)], shown: &Shown<'_>, melt: &Melt<'_>) {
    let passages = shown.passages;
    let panel_of =
        |i: usize| panels.iter().find(|(_, row)| row.passages.contains(&i)).map(|(panel, _)| panel);
    let end_of = |i: usize| {
        let p = passages.get(i)?;
        Some(panel_of(i)?.to_pixel([p.start_mm + p.length_mm, 0.0]))
    };
    for (i, p) in passages.iter().enumerate() {
        let Some((from, to)) = end_of(i).zip(p.meets.and_then(end_of)) else { continue };
        let x = from[0].max(to[0]) + list.px(5.0);
        for dash in dashed(&[from, [x, from[1]], [x, to[1]], to], &list.pattern(SHORT)) {
            list.path(dash, 1.4, list.palette.accent);
        }
    }
    for weld in shown.welds() {
        let (Some(p), Some(panel)) = (passages.get(weld.index), panel_of(weld.index)) else { continue };
        let at = p.start_mm + weld.from_start_mm;
        let half = melt::thickness(p, at) / 2.0;
        let pattern = list.pattern(if melt.time() >= weld.time_s { &[] } else { SHORT });
        let accent = list.palette.accent;
        for shift in [-1.5, 1.5].map(|css| list.px(css)) {
            let line = [half, -half].map(|y| panel.to_pixel([at, y])).map(|[x, y]| [x + shift, y]);
            for dash in dashed(&line, &pattern) {
                list.path(dash, 1.4, accent);
            }
        }
    }
}

/// Pixel a little inside the upper wall, where a pole may end.
fn surface(panel: &Panel, row: &Row, passages: &[PassageReport], x_pixel: f64) -> f64 {
    let at = panel.to_value([x_pixel, panel.rect.top])[0];
    let here = row.passages.iter().map(|&i| &passages[i]).find(|p| at <= p.start_mm + p.length_mm);
    let half = here.map_or(0.0, |p| melt::thickness(p, at) / 2.0);
    panel.to_pixel([at, half * 0.5])[1]
}

/// Distances below the steel, and how the drawing is to be read.
fn draw_ruler(list: &mut DisplayList, x: &AxisSpan, below: Rect, area: Rect, scale: &Scale, melt: &Melt<'_>) {
    let base = below.top + list.px(6.0);
    let ink = list.palette.ink;
    let pixel = |mm: f64| below.left + x.fraction(mm) * below.width();
    list.line([below.left, base], [below.right, base], 1.0, ink);
    for (value, label) in axes::ticks(x, list.units, below.width(), list.px(46.0)).major {
        list.line([pixel(value), base], [pixel(value), base + list.px(5.0)], 1.0, ink);
        list.write(&label, [pixel(value), base + list.px(14.0)], Side::Center, SMALL, false, ink);
    }
    let y = base + list.px(34.0);
    let enlarged = scale.enlarged;
    let mut note = if (enlarged - 1.0).abs() < 1e-9 {
        "Drawn to scale".to_owned()
    } else {
        format!("Thickness {} times the scale of the length", reading(enlarged))
    };
    let title =
        if list.css_width() < 560.0 { list.units.shown("mm").unit.to_owned() } else { x.words(list.units) };
    if melt.frozen_somewhere() {
        let longer = format!("{note}; dark: frozen");
        let width = text_width(&longer, list.px(SMALL), false) + text_width(&title, list.px(SMALL), false);
        if width + list.px(10.0) < area.width() {
            note = longer;
        }
    }
    list.write(&title, [area.right, y], Side::Right, SMALL, false, ink);
    list.write(&note, [area.left, y], Side::Left, SMALL, false, list.palette.quiet);
}
