//! Plots of curves, one above the other on a common horizontal axis, each curve named at its end.

mod ink;

use gatefrost_numerics::elementary::Elementary;
use gatefrost_palette::Color;

use crate::axes::{self, AxisSpan, Layout, Panel, at_least_a_pixel};
use crate::display_list::{DisplayList, Point, Rect, Side, text_width, truncated};
use crate::hatch::dashed;
use crate::labels::{Flag, Flags, spread};
use crate::placer::{Placer, strokes_of, write_at};
use crate::style::{CHAIN, Dashes, LABEL, SOLID};
use ink::{cut, draw_band, draw_sign, draw_span, thinned};

/// A curve.
pub(crate) struct Curve {
    pub name: String,
    pub points: Vec<Point>,
    pub dashes: Dashes,
    /// Drawn in the accent: the curve the figure is about.
    pub leading: bool,
    pub form: CurveForm,
}

/// How the points of a curve are drawn.
pub(crate) enum CurveForm {
    /// As a line.
    Line,
    /// As a thin line, beside those that the plot is about.
    Thin,
    /// Not drawn, but the axes include its points, so that they do not move from moment to moment.
    Unseen,
    /// As single points, with one of four marks.
    Dots(usize),
    /// As a line that may leave the frame at the top.
    Over,
    /// As a tinted band between the first and the last point, over the whole height.
    Span,
    /// As a tinted area down to the lower edge given here.
    Band(Vec<Point>),
}

impl Curve {
    /// A line without a name.
    pub fn line(points: Vec<Point>, dashes: Dashes, leading: bool) -> Self {
        Self { name: String::new(), points, dashes, leading, form: CurveForm::Line }
    }

    /// Single points.
    pub fn dots(points: Vec<Point>, sign: usize) -> Self {
        Self { form: CurveForm::Dots(sign), ..Self::line(points, SOLID, false) }
    }

    /// A leading line that runs out of the plot.
    pub fn over(points: Vec<Point>) -> Self {
        Self { form: CurveForm::Over, ..Self::line(points, SOLID, true) }
    }

    /// A tinted band between two places.
    pub fn span(from: f64, to: f64) -> Self {
        Self { form: CurveForm::Span, ..Self::line(vec![[from, f64::NAN], [to, f64::NAN]], SOLID, false) }
    }

    /// A tinted area between two edges over the same places.
    pub fn band(upper: Vec<Point>, lower: Vec<Point>) -> Self {
        Self { form: CurveForm::Band(lower), ..Self::line(upper, SOLID, false) }
    }

    /// What the axes must reach.
    pub fn unseen(points: Vec<Point>) -> Self {
        Self { form: CurveForm::Unseen, ..Self::line(points, SOLID, false) }
    }

    pub fn named(self, name: impl Into<String>) -> Self {
        Self { name: name.into(), ..self }
    }

    fn color(&self, list: &DisplayList) -> Color {
        match self.form {
            CurveForm::Thin => list.palette.quiet,
            _ if self.leading => list.palette.accent,
            _ => list.palette.ink,
        }
    }

    /// All points that an axis must reach.
    fn reach(&self) -> impl Iterator<Item = &Point> {
        let lower: &[Point] = if let CurveForm::Band(lower) = &self.form { lower } else { &[] };
        self.points.iter().chain(lower)
    }
}

/// One plot of a stack.
pub(crate) struct PaneOf<'a> {
    pub title: &'a str,
    pub unit: &'a str,
    pub log: bool,
    /// Whether the axis must reach zero.
    pub from_zero: bool,
    /// Share of the height.
    pub weight: f64,
    pub curves: Vec<Curve>,
}

/// A named upright line through all plots.
pub(crate) struct Mark {
    pub at: f64,
    pub text: String,
    pub leading: bool,
}

/// A plot whose words stand in this program.
pub(crate) type Pane = PaneOf<'static>;

/// Plots on one horizontal axis.
pub(crate) struct StackOf<'a> {
    pub x: (&'a str, &'a str),
    pub x_log: bool,
    /// Whether a horizontal axis that is not logarithmic must reach zero.
    pub x_from_zero: bool,
    /// How far the horizontal axis reaches at least.
    pub x_reach: f64,
    pub panes: Vec<PaneOf<'a>>,
    pub marks: Vec<Mark>,
    /// What to say when there is nothing to draw.
    pub empty: &'a str,
}

/// Plots whose words stand in this program.
pub(crate) type Stack = StackOf<'static>;

pub(crate) fn draw(list: &mut DisplayList, stack: &StackOf<'_>, area: Rect) -> Layout {
    let x = x_axis(stack);
    let ys: Vec<AxisSpan> = stack.panes.iter().map(y_axis).collect();
    let column = names_room(list, stack);
    let beside = list.css_width() >= 460.0 || column <= area.width() * 0.25;
    let share = area.height() / stack.panes.len().max(1) as f64;
    let left = area.left + axes::label_room(list, &ys.iter().collect::<Vec<_>>(), share);
    let right = area.right - if beside { column } else { list.px(6.0) };

    let probe = Panel {
        rect: at_least_a_pixel(Rect { left, right, ..area }),
        x: x.clone(),
        y: AxisSpan::new("", "", 0.0, 1.0, false),
    };
    let base = area.top + axes::head_room(list);
    let flags = stack.marks.iter().filter(|m| inside(&x, m.at)).map(|m| Flag {
        x: probe.to_pixel([m.at, 0.0])[0],
        foot: 0.0,
        text: m.text.clone(),
        color: if m.leading { list.palette.accent } else { list.palette.quiet },
    });
    let mut flags = Flags::arrange(list, flags.collect(), left, area.right);
    let top = base + flags.height(list);
    let rects = divide(list, stack, Rect { left, right, top, bottom: area.bottom - axes::foot_room(list) });
    let panels: Vec<Panel> =
        rects.into_iter().zip(ys).map(|(rect, y)| Panel { rect, x: x.clone(), y }).collect();

    for (i, (panel, pane)) in panels.iter().zip(&stack.panes).enumerate() {
        let y = if i == 0 { area.top } else { panel.rect.top - axes::head_room(list) };
        axes::upper_title(list, panel, area.left, y + list.px(8.0));
        if pane.curves.iter().all(|c| axes::pixels(panel, &c.points).is_empty()) {
            list.outline(panel.rect, 1.2, list.palette.ink);
            list.sentence(stack.empty, panel.rect);
            continue;
        }
        axes::grid(list, panel);
        for curve in &pane.curves {
            match &curve.form {
                CurveForm::Band(lower) => draw_band(list, panel, &curve.points, lower),
                CurveForm::Span => draw_span(list, panel, &curve.points),
                _ => {}
            }
        }
        draw_marks(list, stack, panel);
        let curves = draw_curves(list, pane, panel);
        axes::frame(list, panel, i + 1 == panels.len(), &[]);
        if beside && !crowded(list, pane, &curves) {
            name_beside(list, pane, panel, &curves);
        } else {
            name_along(list, pane, panel, &curves);
        }
    }
    flags.stand_on(|_| top);
    flags.draw(list, top);
    let mut panels = panels.into_iter();
    let plot = panels.next().unwrap_or(probe);
    Layout { width: list.width, height: list.height, others: panels.collect(), ..Layout::of(plot) }
}

fn inside(axis: &AxisSpan, value: f64) -> bool {
    (-1e-9..=1.0 + 1e-9).contains(&axis.fraction(value))
}

/// Smallest and largest of the finite numbers (positive ones on a logarithmic axis).
fn extent(values: impl Iterator<Item = f64>, log: bool) -> Option<(f64, f64)> {
    values.filter(|v| v.is_finite() && (!log || *v > 0.0)).fold(None, |found, v| match found {
        None => Some((v, v)),
        Some((low, high)) => Some((v.min(low), v.max(high))),
    })
}

fn x_axis(stack: &StackOf<'_>) -> AxisSpan {
    let all = stack.panes.iter().flat_map(|p| &p.curves).flat_map(Curve::reach).map(|p| p[0]);
    // Signs at the ends of the range shall not stand half outside the frame.
    let signs = stack.panes.iter().flat_map(|p| &p.curves).any(|c| matches!(c.form, CurveForm::Dots(_)));
    let air = if signs { 0.02 } else { 0.0 };
    let (title, unit) = stack.x;
    let (from, to) = match extent(all, stack.x_log) {
        Some((low, high)) if stack.x_log => {
            let air = (high / low).power(air);
            (low / air, high * air)
        }
        Some((low, high)) if stack.x_from_zero => (low.min(0.0), high.max(stack.x_reach)),
        Some((low, high)) => {
            let high = high.max(stack.x_reach);
            (low - air * (high - low), high + air * (high - low))
        }
        None => (f64::NAN, f64::NAN),
    };
    AxisSpan::new(title, unit, from, to, stack.x_log)
}

fn y_axis(pane: &PaneOf<'_>) -> AxisSpan {
    let bound = pane.curves.iter().filter(|c| !matches!(c.form, CurveForm::Over));
    let all = bound.flat_map(Curve::reach).map(|p| p[1]);
    let (from, to) = match extent(all, pane.log) {
        Some((low, high)) if pane.log => (low / 1.25, high * 1.25),
        Some((low, high)) => {
            let low = if pane.from_zero { low.min(0.0) } else { low };
            // A level curve shall not be magnified until its rounding shows.
            let least = match pane.unit {
                _ if pane.from_zero => 0.0,
                "g" => 2e-3 * high.abs(),
                "J/gK" => 0.02 * high.abs(),
                _ => 1.0,
            };
            let air = ((high - low) * 0.07).max(high.abs() * 1e-3).max(least);
            let from = if pane.from_zero && low >= 0.0 { 0.0 } else { low - air };
            // Nothing but zeros still gets a span that means something.
            let span = if pane.unit.starts_with('%') { 10.0 } else { 1.0 };
            (from, if high + air > from + 1e-6 { high + air } else { from + span })
        }
        None => (f64::NAN, f64::NAN),
    };
    AxisSpan::new(pane.title, pane.unit, from, to, pane.log)
}

/// The rectangles of the plots, with room for the title of each but the first.
fn divide(list: &DisplayList, stack: &StackOf<'_>, area: Rect) -> Vec<Rect> {
    let gap = axes::head_room(list) + list.px(8.0);
    let free = area.height() - gap * (stack.panes.len().max(1) - 1) as f64;
    let weights: f64 = stack.panes.iter().map(|p| p.weight).sum();
    let mut top = area.top;
    let mut rects = Vec::new();
    for pane in &stack.panes {
        let height = (free * pane.weight / weights).max(1.0);
        rects.push(at_least_a_pixel(Rect { top, bottom: top + height, ..area }));
        top += height + gap;
    }
    rects
}

fn draw_marks(list: &mut DisplayList, stack: &StackOf<'_>, panel: &Panel) {
    let pattern = list.pattern(CHAIN);
    for mark in stack.marks.iter().filter(|m| inside(&panel.x, m.at)) {
        let x = panel.to_pixel([mark.at, panel.y.from])[0];
        let color = if mark.leading { list.palette.accent } else { list.palette.quiet };
        for dash in dashed(&[[x, panel.rect.top], [x, panel.rect.bottom]], &pattern) {
            list.path(dash, 1.0, color);
        }
    }
}

/// Draws the curves of a plot and returns their runs in pixels.
fn draw_curves(list: &mut DisplayList, pane: &PaneOf<'_>, panel: &Panel) -> Vec<Vec<Vec<Point>>> {
    let mut drawn = Vec::new();
    for curve in &pane.curves {
        let color = curve.color(list);
        let mut width = if curve.leading { 2.2 } else { 1.7 };
        match &curve.form {
            CurveForm::Line | CurveForm::Over => {}
            CurveForm::Thin => width = 1.0,
            CurveForm::Unseen => {
                drawn.push(Vec::new());
                continue;
            }
            CurveForm::Dots(sign) => {
                for point in axes::pixels(panel, &curve.points).into_iter().flatten() {
                    draw_sign(list, *sign, point, color);
                }
                drawn.push(Vec::new());
                continue;
            }
            // Drawn before, below the marks.
            CurveForm::Band(_) | CurveForm::Span => {
                drawn.push(Vec::new());
                continue;
            }
        }
        let pattern = list.pattern(curve.dashes);
        let runs: Vec<Vec<Point>> = axes::pixels(panel, &curve.points)
            .into_iter()
            .map(|r| thinned(&cut(r, curve, panel), list))
            .collect();
        for run in &runs {
            for dash in dashed(run, &pattern) {
                list.path(dash, width, color);
            }
        }
        drawn.push(runs);
    }
    drawn
}

/// Curves of a plot that have a name.
fn names(pane: &PaneOf<'_>) -> usize {
    pane.curves.iter().filter(|c| !c.name.is_empty()).count()
}

fn shown_name(list: &DisplayList, name: &str) -> String {
    truncated(name, list.px(120.0), list.px(LABEL), false)
}

/// Room to the right of the plots for the names of the curves.
fn names_room(list: &DisplayList, stack: &StackOf<'_>) -> f64 {
    let named = stack.panes.iter().filter(|p| names(p) > 1).flat_map(|p| &p.curves);
    let widest =
        named.map(|c| text_width(&shown_name(list, &c.name), list.px(LABEL), false)).fold(0.0, f64::max);
    if widest > 0.0 { widest + list.px(24.0) } else { list.px(8.0) }
}

/// Whether so many curves end at one place that names tied to their ends would not tell them apart.
fn crowded(list: &DisplayList, pane: &PaneOf<'_>, curves: &[Vec<Vec<Point>>]) -> bool {
    let named = curves.iter().zip(&pane.curves).filter(|(_, curve)| !curve.name.is_empty());
    let ends: Vec<Point> = named.filter_map(|(runs, _)| runs.last()?.last().copied()).collect();
    let close = |a: &Point| ends.iter().filter(|b| crate::hatch::distance(*a, **b) < list.px(3.0)).count();
    ends.iter().any(|end| close(end) > 2)
}

/// Names in a column to the right, each tied to the end of its curve. A single curve goes by the
/// title of its axis.
fn name_beside(list: &mut DisplayList, pane: &PaneOf<'_>, panel: &Panel, curves: &[Vec<Vec<Point>>]) {
    let named = curves.iter().enumerate().filter(|(i, _)| !pane.curves[*i].name.is_empty());
    let ends: Vec<(usize, Point)> = named.filter_map(|(i, runs)| Some((i, *runs.last()?.last()?))).collect();
    if names(pane) < 2 {
        return;
    }
    let wanted: Vec<f64> = ends.iter().map(|(_, end)| end[1]).collect();
    let sizes = vec![list.px(LABEL * 1.25); ends.len()];
    let reach = list.px(6.0);
    let placed = spread(&wanted, &sizes, panel.rect.top - reach, panel.rect.bottom + reach);
    for ((i, end), y) in ends.into_iter().zip(placed) {
        let curve = &pane.curves[i];
        let color = curve.color(list);
        let x = panel.rect.right + list.px(14.0);
        list.line([end[0] + list.px(1.0), end[1]], [x - list.px(3.0), y], 1.0, list.palette.quiet);
        let text = shown_name(list, &curve.name);
        list.write(&text, [x, y], Side::Left, LABEL, false, color);
    }
}

/// Names beside the curves, inside a plot that is too narrow for a column of them.
fn name_along(list: &mut DisplayList, pane: &PaneOf<'_>, panel: &Panel, curves: &[Vec<Vec<Point>>]) {
    if names(pane) < 2 {
        return;
    }
    let mut placer = Placer {
        bounds: panel.rect.grown(-list.px(2.0)),
        taken: Vec::new(),
        strokes: curves.iter().enumerate().flat_map(|(i, runs)| strokes_of(i, runs)).collect(),
        leaders: Vec::new(),
    };
    for (i, (curve, runs)) in pane.curves.iter().zip(curves).enumerate() {
        if curve.name.is_empty() {
            continue;
        }
        let text = shown_name(list, &curve.name);
        let size = list.label_size(&text, LABEL, false);
        let clear = [list.px(3.0), list.px(3.0)];
        let Some(spot) = placer.along(i, runs, size, clear) else { continue };
        placer.taken.push(spot.rect);
        let color = curve.color(list);
        write_at(list, &spot, &text, false, color, list.palette.paper);
    }
}
