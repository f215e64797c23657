//! The window: limit lines, hatched on the side where the limit is not met and named beside the line, and the
//! set point. Limits are lines, not zones; the usable region has a lighter ground.

use crate::axes::{self, AxisSpan, Layout, Name, Panel, at_least_a_pixel};
use crate::display_list::{DisplayList, Point, Rect, Shape};
use crate::hatch::{dashed, distance, within};
use crate::limit_lines::{LimitLines, Strokes};
use crate::names::{self, Named, Placed};
use crate::over::{BEST, Over, shortened};
use crate::placer::{NOBODY, Placer, strokes_of};
use crate::style::{CHAIN, SMALL};
use crate::table::{DataCell, DataTable, columns};
use gatefrost_core::format::number;
use gatefrost_core::limits::{Limit, Margin};
use gatefrost_core::scenario::Span;
use gatefrost_numerics::order;
use gatefrost_window::Window;

/// Radius of the set point's ring, in CSS pixels: big enough to grab.
const RING: f64 = 10.0;
/// A picture that is less wide than this, in CSS pixels, has neither axes nor names.
const PICTURE: f64 = 200.0;
/// How often the figure is laid out anew because more lines need a number.
const ATTEMPTS: usize = 4;

pub(crate) fn draw(
    list: &mut DisplayList,
    window: &Window,
    set_point: [f64; 2],
    over: Over<'_>,
    caption: &str,
) -> Layout {
    let over = over.fitting(&window.plane);
    if let Some(rect) = over.mark_in {
        return draw_mark(list, window, set_point, rect);
    }
    if list.css_width() < PICTURE {
        return draw_small(list, window, set_point, over);
    }
    let mut key = Vec::new();
    let bare = list.shapes.len();
    for attempt in 1..=ATTEMPTS {
        let (layout, placed) = draw_with_key(list, window, set_point, over, caption, &key);
        if placed.without.is_empty() {
            return layout;
        }
        list.shapes.truncate(bare);
        // In the end everything has a number.
        key = placed.key(&key, attempt == ATTEMPTS);
    }
    draw_with_key(list, window, set_point, over, caption, &key).0
}

/// Draws it with numbers for the names in the key. Returns where the names stand, too.
fn draw_with_key(
    list: &mut DisplayList,
    window: &Window,
    set_point: [f64; 2],
    over: Over<'_>,
    caption: &str,
    key: &[String],
) -> (Layout, Placed) {
    let area = draw_foot(list, window, over, caption, key);
    let panel = place_panel(list, window, area);
    let regions = draw_regions(list, window, &panel);
    over.draw_ground(list, window, &panel);
    axes::grid(list, &panel);

    let limits = LimitLines::new(window, &panel, over.lit);
    limits.draw_hatching(list, &panel.rect, Strokes::FULL);
    over.draw_edges(list, window, &panel);
    limits.draw(list, Strokes::FULL);
    let beside = over.outline(&panel);
    over.draw_beside(list, &beside);
    let mark = panel.to_pixel(set_point);
    let tags = tags(list, &panel, set_point, mark);
    let tag_frames: Vec<Rect> = tags.iter().map(|(_, frame)| *frame).collect();
    axes::frame(list, &panel, true, &tag_frames);
    axes::upper_title(list, &panel, area.left, area.top + list.px(8.0));

    draw_set_point(list, &panel, mark, &tags, RING);
    over.draw_mark(list, &panel);
    let lozenge = over.lozenge(list, &panel);
    Over::draw_best(list, lozenge.as_ref());
    let named = named(list, window, over, &panel, &limits, beside, lozenge);
    let lines = named.iter().enumerate().flat_map(|(i, named)| strokes_of(i, &named.pieces));
    let mut placer = Placer {
        bounds: panel.rect.grown(-list.px(2.0)),
        taken: Vec::new(),
        strokes: lines.collect(),
        leaders: Vec::new(),
    };
    // Without a set point the names may stand anywhere.
    if mark.iter().all(|v| v.is_finite()) {
        placer.taken.push(Rect::around(mark, list.px(2.0 * RING + 8.0), list.px(2.0 * RING + 8.0)));
        placer.strokes.extend(center_lines(&panel.rect, mark).map(|stroke| (NOBODY, stroke)));
    }
    if let Some(text) = nothing_usable(window).map(|text| list.units.restated(&text)) {
        let taken = draw_notice(list, &text, &panel.rect, mark);
        placer.taken.push(taken);
    }
    placer.taken.extend(over.marks(list, &panel));
    let placed = names::place(list, &named, key, &mut placer);
    placed.write(list, &named, &regions);
    let of_limit =
        |(i, rect): (usize, Rect)| window.lines.get(i).map(|line| Name { limit: line.limit, rect });
    let names = placed.rects().filter_map(of_limit).collect();
    (Layout { width: list.width, height: list.height, names, ..Layout::of(panel) }, placed)
}

/// What stands below the plot. Returns the room above it.
fn draw_foot(list: &mut DisplayList, window: &Window, over: Over<'_>, caption: &str, key: &[String]) -> Rect {
    let mut area = list.begin(caption, "");
    // On a narrow page they would take the plot's room; there the page says what the marks mean.
    if list.css_width() >= 480.0 {
        for words in over.words(window).iter().rev() {
            area = list.footnote(words, area);
        }
        area = list.footnote(&held_everywhere(window), area);
    }
    list.footnote(&names::key_words(key), area)
}

/// The same lines and marks in a small picture, without axes and names.
fn draw_small(list: &mut DisplayList, window: &Window, set_point: [f64; 2], over: Over<'_>) -> Layout {
    let rect = at_least_a_pixel(list.bounds().grown(-list.px(2.0)));
    let panel = Panel { rect, x: axis(&window.plane.x), y: axis(&window.plane.y) };
    draw_regions(list, window, &panel);
    over.draw_ground(list, window, &panel);
    let limits = LimitLines::new(window, &panel, over.lit);
    limits.draw_hatching(list, &rect, Strokes::SMALL);
    limits.draw(list, Strokes::SMALL);
    list.outline(rect, 1.0, list.palette.ink);
    draw_set_point(list, &panel, panel.to_pixel(set_point), &[], RING / 2.0);
    Layout { width: list.width, height: list.height, ..Layout::of(panel) }
}

/// The mark of the set point alone, without paper.
fn draw_mark(list: &mut DisplayList, window: &Window, set_point: [f64; 2], rect: Rect) -> Layout {
    list.shapes.clear();
    let panel = Panel { rect: at_least_a_pixel(rect), x: axis(&window.plane.x), y: axis(&window.plane.y) };
    let mark = panel.to_pixel(set_point);
    let small = list.css_width() < PICTURE;
    let tags = if small { Vec::new() } else { tags(list, &panel, set_point, mark) };
    draw_set_point(list, &panel, mark, &tags, if small { RING / 2.0 } else { RING });
    Layout::of(panel)
}

/// What is to be named, and where it runs: the limits, then what lies over them.
fn named(
    list: &DisplayList,
    window: &Window,
    over: Over<'_>,
    panel: &Panel,
    limits: &LimitLines<'_>,
    beside: Vec<Vec<Point>>,
    lozenge: Option<Vec<Point>>,
) -> Vec<Named> {
    let lines = window.lines.iter().zip(&limits.pieces).map(|(line, pieces)| Named {
        name: line.label.to_string(),
        pieces: pieces.clone(),
        ink: limits.ink(list, line.limit),
    });
    let ink = list.palette.ink;
    let plain = |(name, pieces)| Named { name, pieces, ink };
    let other = over.beside.map(|other| (shortened(&other.name), beside));
    let best = lozenge.map(|lozenge| (BEST.to_owned(), vec![lozenge]));
    lines.chain(other.into_iter().chain(over.apart(window, panel)).chain(best).map(plain)).collect()
}

fn axis(span: &Span) -> AxisSpan {
    let parameter = span.axis.parameter();
    AxisSpan::new(parameter.title, parameter.unit, span.from, span.to, span.axis.logarithmic())
}

fn place_panel(list: &DisplayList, window: &Window, area: Rect) -> Panel {
    let (x, y) = (axis(&window.plane.x), axis(&window.plane.y));
    let left = axes::label_room(list, &[&y], area.height());
    let rect = Rect {
        left: area.left + left,
        top: area.top + axes::head_room(list),
        right: area.right - list.px(4.0),
        bottom: area.bottom - axes::foot_room(list),
    };
    Panel { rect: at_least_a_pixel(rect), x, y }
}

/// Fills the usable region with the lighter ground. Outlines inside outlines are holes, so the outermost
/// come first. Returns the outlines in pixels.
fn draw_regions(list: &mut DisplayList, window: &Window, panel: &Panel) -> Vec<Vec<Point>> {
    let rect = panel.rect;
    let outlines: Vec<Vec<Point>> = window
        .outlines
        .iter()
        .map(|outline| {
            let pixels =
                outline.iter().map(|p| panel.to_pixel(*p)).filter(|p| p.iter().all(|v| v.is_finite()));
            pixels.map(|p| [p[0].clamp(rect.left, rect.right), p[1].clamp(rect.top, rect.bottom)]).collect()
        })
        .filter(|outline: &Vec<Point>| outline.len() > 2)
        .collect();
    let depth = |i: usize| {
        let others = outlines.iter().enumerate().filter(|(j, _)| *j != i);
        others.filter(|(_, other)| within(other, outlines[i][0])).count()
    };
    let depths: Vec<usize> = (0..outlines.len()).map(depth).collect();
    let keys: Vec<f64> = depths.iter().map(|d| *d as f64).collect();
    for i in order::rising(&keys) {
        let ground = if depths[i].is_multiple_of(2) { list.palette.lifted } else { list.palette.paper };
        list.area(outlines[i].clone(), ground);
    }
    outlines
}

/// Ring of a radius in CSS pixels and cross, with centre lines to the axes and the readings tagged there.
fn draw_set_point(list: &mut DisplayList, panel: &Panel, mark: Point, tags: &[(String, Rect)], ring: f64) {
    if !mark.iter().all(|v| v.is_finite()) {
        return;
    }
    let (rect, accent, ground) = (panel.rect, list.palette.accent, list.palette.lifted);
    let held = rect.nearest(mark);
    if !rect.grown(1.0).contains(mark) {
        draw_pointer(list, held, mark);
        return;
    }
    let pattern = list.pattern(CHAIN);
    for line in center_lines(&rect, mark) {
        for dash in dashed(&line, &pattern) {
            list.path(dash, 1.0, accent);
        }
    }
    for (text, tag) in tags {
        list.write_boxed(text, *tag, SMALL, true, ground, accent);
    }
    let (radius, arm) = (list.px(ring), list.px(1.5 * ring));
    list.shapes.push(Shape::Disc { center: mark, radius, color: ground });
    list.shapes.push(Shape::Ring { center: mark, radius, width: list.px(2.4), color: accent });
    list.line([mark[0] - arm, mark[1]], [mark[0] + arm, mark[1]], 1.4, accent);
    list.line([mark[0], mark[1] - arm], [mark[0], mark[1] + arm], 1.4, accent);
}

fn shown(list: &DisplayList, axis: &AxisSpan, value: f64) -> String {
    // The readings of a set point have the digits that were set.
    number(list.units.shown(&axis.unit).of(value), 4)
}

/// The set point's readings, on the axes; none where it lies beyond them.
fn tags(list: &DisplayList, panel: &Panel, value: [f64; 2], mark: Point) -> Vec<(String, Rect)> {
    let rect = panel.rect;
    if !rect.grown(1.0).contains(mark) {
        return Vec::new();
    }
    let places = [
        (shown(list, &panel.x, value[0]), [mark[0], rect.bottom + list.px(13.0)]),
        (shown(list, &panel.y, value[1]), [rect.left - list.px(20.0), mark[1]]),
    ];
    let tags = places.map(|(text, center)| {
        let size = list.label_size(&text, SMALL, true);
        let frame = Rect::around(center, size[0] + list.px(2.0), size[1] + list.px(2.0));
        (text, frame.moved_into(&list.bounds()))
    });
    tags.into()
}

/// From the axes to the set point.
fn center_lines(rect: &Rect, mark: Point) -> [[Point; 2]; 2] {
    [[[mark[0], rect.bottom], mark], [[rect.left, mark[1]], mark]]
}

/// An arrowhead at the edge, for a set point beyond the plane.
fn draw_pointer(list: &mut DisplayList, held: Point, mark: Point) {
    let far = distance(held, mark).max(1e-9);
    let toward = [(mark[0] - held[0]) / far, (mark[1] - held[1]) / far];
    let (long, half) = (list.px(14.0), list.px(6.0));
    let base = [held[0] - toward[0] * long, held[1] - toward[1] * long];
    let across = [-toward[1] * half, toward[0] * half];
    let head =
        vec![held, [base[0] + across[0], base[1] + across[1]], [base[0] - across[0], base[1] - across[1]]];
    list.area(head, list.palette.accent);
}

fn draw_notice(list: &mut DisplayList, text: &str, rect: &Rect, mark: Point) -> Rect {
    // Above or below the middle if the set point stands there.
    let third = rect.height() / 3.0;
    let in_the_way = (mark[1] - rect.center()[1]).abs() < third / 2.0 && rect.contains(mark);
    let shift = if in_the_way { third * if mark[1] > rect.center()[1] { -0.8 } else { 0.8 } } else { 0.0 };
    let place = Rect { top: rect.top + shift, bottom: rect.bottom + shift, ..*rect };
    let frame = list
        .sentence(text, Rect { left: rect.left + list.px(8.0), right: rect.right - list.px(8.0), ..place });
    list.outline(frame, 1.0, list.palette.ink);
    frame
}

/// What to say when no point of the plane is usable.
pub fn nothing_usable(window: &Window) -> Option<String> {
    // The share decides: a window without outlines may be usable throughout.
    if window.usable_share > 0.0 && window.broken_everywhere.is_empty() {
        return None;
    }
    let place = window.nearest.as_ref().map(|nearest| {
        let [x, y] = nearest.place.map(|v| number(v, 3));
        let [a, b] = window.plane.axes().map(|axis| axis.parameter().unit);
        (format!("{x} {a}, {y} {b}"), &nearest.missed)
    });
    if let Some((place, missed)) = &place
        && missed.is_empty()
    {
        return Some(format!("The usable region is too small to be drawn. Every limit is met at {place}."));
    }
    let mut text = "No set point in this plane is usable.".to_owned();
    if window.broken_everywhere.is_empty() {
        text.push_str(" At each point at least one limit is not met.");
    } else {
        text.push_str(" Not met anywhere in this plane: ");
        text.push_str(&listed(&window.broken_everywhere));
        text.push('.');
    }
    if let Some((place, missed)) = place {
        let of = |m: &Margin| format!("{} by {}", m.label, m.distance(2));
        let missed: Vec<String> = missed.iter().map(of).collect();
        text.push_str(&format!(" The closest is {place}; not met there: {}.", in_a_row(&missed)));
    }
    Some(text)
}

fn held_everywhere(window: &Window) -> String {
    if window.held_everywhere.is_empty() {
        String::new()
    } else {
        format!("Met everywhere in this plane: {}.", listed(&window.held_everywhere))
    }
}

fn listed(limits: &[Limit]) -> String {
    limits.iter().map(|l| l.label()).collect::<Vec<_>>().join(", ")
}

/// A list of parts of a sentence: "a", "a and b", "a, b and c".
fn in_a_row(parts: &[String]) -> String {
    match parts {
        [first @ .., before, last] => [first, &[format!("{before} and {last}")]].concat().join(", "),
        parts => parts.concat(),
    }
}

/// The numbers of the window: its lines, the limits without a line, and what lies over it.
pub(crate) fn table(window: &Window, over: Over<'_>, mut caption: String) -> DataTable {
    let over = over.fitting(&window.plane);
    if let Some(text) = nothing_usable(window) {
        caption = format!("{caption}. {text}");
    }
    let (x, y) = (window.plane.x.axis.parameter(), window.plane.y.axis.parameter());
    let heads = [("Limit", ""), ("Where", ""), ("Piece", ""), (x.title, x.unit), (y.title, y.unit)];
    // What is read most comes first: a table of points is long.
    let mut rows = over.widths();
    for line in &window.lines {
        for (i, piece) in line.pieces.iter().enumerate() {
            for [x, y] in piece {
                rows.push(vec![
                    DataCell::text(line.label.as_ref()),
                    DataCell::text("on the line"),
                    DataCell::number((i + 1) as f64),
                    DataCell::number(*x),
                    DataCell::number(*y),
                ]);
            }
        }
    }
    for (limits, place) in
        [(&window.broken_everywhere, "not met anywhere"), (&window.held_everywhere, "met everywhere")]
    {
        for limit in limits {
            let name = DataCell::text(limit.label());
            rows.push(vec![name, DataCell::text(place), DataCell::Empty, DataCell::Empty, DataCell::Empty]);
        }
    }
    rows.extend(over.rows());
    DataTable { caption, columns: columns(&heads), rows }
}

#[cfg(test)]
mod tests {
    use super::in_a_row;

    #[test]
    fn the_last_two_of_a_list_are_joined_by_and() {
        for (count, expected) in [(0, ""), (1, "a"), (2, "a and b"), (3, "a, b and c")] {
            let parts: Vec<String> = ["a", "b", "c"][..count].iter().map(ToString::to_string).collect();
            assert_eq!(in_a_row(&parts), expected);
        }
    }
}
