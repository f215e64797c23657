//! Scales, ticks and frames, and the layout that maps pixels back to values.

use crate::display_list::{DisplayList, Point, Rect, Side, text_width};
use crate::style::{LABEL, SMALL};
use gatefrost_core::format::number;
use gatefrost_core::limits::Limit;
use gatefrost_core::units::Units;
use gatefrost_numerics::elementary::Elementary;
use serde::Serialize;

/// One side of a plot: what it measures and over which span.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AxisSpan {
    /// What is measured.
    pub title: String,
    /// In which unit; empty for a pure number.
    pub unit: String,
    /// Value at the left or lower end.
    pub from: f64,
    /// Value at the right or upper end.
    pub to: f64,
    /// Whether the axis is divided logarithmically.
    pub log: bool,
}

impl AxisSpan {
    /// A span that can be divided: bad ends are replaced by the nearest thing that works.
    pub(crate) fn new(title: &str, unit: &str, from: f64, to: f64, log: bool) -> Self {
        let usable = from.is_finite() && to.is_finite() && from < to && (!log || from > 0.0);
        let (from, to) = match (usable, log) {
            (true, _) => (from, to),
            (false, true) => (0.1, 10.0),
            (false, false) => (0.0, 1.0),
        };
        Self { title: title.to_owned(), unit: unit.to_owned(), from, to, log }
    }

    /// Fraction of the span at which a value lies; not finite where it has no place.
    pub fn fraction(&self, value: f64) -> f64 {
        if self.log {
            (value / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        }
    }

    /// Value at a fraction of the span.
    pub fn at(&self, fraction: f64) -> f64 {
        if self.log {
            self.from * (self.to / self.from).power(fraction)
        } else {
            self.from + (self.to - self.from) * fraction
        }
    }

    /// Title and unit, as they stand at the axis.
    pub(crate) fn words(&self, units: Units) -> String {
        if self.unit.is_empty() {
            return self.title.clone();
        }
        format!("{}, {}", self.title, units.shown(&self.unit).unit)
    }
}

/// A plot rectangle and its two axes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Panel {
    /// Where it lies, in backend pixels.
    pub rect: Rect,
    /// Horizontal axis, rising to the right.
    pub x: AxisSpan,
    /// Vertical axis, rising upwards.
    pub y: AxisSpan,
}

impl Panel {
    /// Backend pixel of a value.
    pub fn to_pixel(&self, value: [f64; 2]) -> [f64; 2] {
        [
            self.rect.left + self.x.fraction(value[0]) * self.rect.width(),
            self.rect.bottom - self.y.fraction(value[1]) * self.rect.height(),
        ]
    }

    /// Value under a backend pixel.
    pub fn to_value(&self, pixel: [f64; 2]) -> [f64; 2] {
        [
            self.x.at((pixel[0] - self.rect.left) / self.rect.width()),
            self.y.at((self.rect.bottom - pixel[1]) / self.rect.height()),
        ]
    }
}

/// Where a figure's plots came to lie.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Layout {
    /// Width of the picture in backend pixels.
    pub width: f64,
    /// Height of the picture in backend pixels.
    pub height: f64,
    /// The plot, or the upper one of several.
    pub plot: Panel,
    /// Further plots below it, on the same horizontal axis.
    pub others: Vec<Panel>,
    /// Where each passage of a cavity lies, by its position in the list.
    pub spots: Vec<Rect>,
    /// Where the limits of a window are named.
    pub names: Vec<Name>,
}

/// A name of a limit in the picture.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Name {
    /// The limit.
    pub limit: Limit,
    /// Where it stands.
    pub rect: Rect,
}

impl Layout {
    /// A layout with one plot, and without a size.
    pub(crate) fn of(plot: Panel) -> Self {
        Self { width: 0.0, height: 0.0, plot, others: Vec::new(), spots: Vec::new(), names: Vec::new() }
    }

    /// The layout of a picture shown so many times smaller.
    pub(crate) fn shrunk(mut self, times: f64) -> Self {
        self.width /= times;
        self.height /= times;
        let plots = std::iter::once(&mut self.plot).chain(&mut self.others).map(|panel| &mut panel.rect);
        let names = self.names.iter_mut().map(|name| &mut name.rect);
        for rect in plots.chain(&mut self.spots).chain(names) {
            let Rect { left, top, right, bottom } = *rect;
            *rect =
                Rect { left: left / times, top: top / times, right: right / times, bottom: bottom / times };
        }
        self
    }

    /// Value under a pixel, by the first plot.
    pub fn to_value(&self, pixel: [f64; 2]) -> [f64; 2] {
        self.plot.to_value(pixel)
    }

    /// Pixel of a value, by the first plot.
    pub fn to_pixel(&self, value: [f64; 2]) -> [f64; 2] {
        self.plot.to_pixel(value)
    }
}

/// Labelled and bare ticks of an axis.
pub(crate) struct Ticks {
    pub major: Vec<(f64, String)>,
    pub minor: Vec<f64>,
}

/// Ticks for an axis of `length` pixels whose labels want `spacing` pixels each: round in the units shown,
/// placed in those of the axis.
pub(crate) fn ticks(axis: &AxisSpan, units: Units, length: f64, spacing: f64) -> Ticks {
    let view = units.shown(&axis.unit);
    let shown = AxisSpan { from: view.of(axis.from), to: view.of(axis.to), ..axis.clone() };
    let mut found = round_ticks(&shown, length, spacing);
    for value in found.major.iter_mut().map(|(value, _)| value).chain(&mut found.minor) {
        *value = view.edge(*value);
    }
    found
}

fn round_ticks(axis: &AxisSpan, length: f64, spacing: f64) -> Ticks {
    if axis.log {
        let found = log_ticks(axis, length, spacing);
        if found.major.len() > 1 {
            return found;
        }
    }
    let span = axis.to - axis.from;
    // One tick gives no scale: then labels stand closer.
    let tight = nice_step(span * spacing / length.max(1.0));
    let count = |step: f64| (axis.to / step + 1e-6).floor() - (axis.from / step - 1e-6).ceil() + 1.0;
    let step = [1.0, 0.5, 0.2, 0.1].map(|part| nice_step(tight * part)).into_iter().find(|s| count(*s) > 1.0);
    let step = step.unwrap_or(tight);
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    let first = (axis.from / step - 1e-6).ceil();
    let major = (0..60)
        .map(|i| (first + f64::from(i)) * step)
        .take_while(|v| *v <= axis.to + step * 1e-6)
        // Adding zero turns −0 into 0.
        .map(|v| (v, format!("{:.decimals$}", v + 0.0)))
        .collect();
    Ticks { major, minor: Vec::new() }
}

fn log_ticks(axis: &AxisSpan, length: f64, spacing: f64) -> Ticks {
    let decades = (axis.to / axis.from).log10();
    let decade = length / decades;
    // 2 to 5 is the widest step of 1, 2, 5 and 1 to 2 the narrowest.
    let steps: &[f64] = if decade * 0.301 >= spacing { &[1.0, 2.0, 5.0] } else { &[1.0] };
    let every = (spacing / decade).ceil().max(1.0) as i32;
    let inside = |v: f64| v >= axis.from * (1.0 - 1e-9) && v <= axis.to * (1.0 + 1e-9);
    let low = axis.from.log10().floor().max(-300.0) as i32;
    let high = axis.to.log10().ceil().min(300.0) as i32;
    let mut found = Ticks { major: Vec::new(), minor: Vec::new() };
    for exponent in (low..=high).take(600) {
        let power = 10f64.powi(exponent);
        for multiple in 1..10 {
            let value = power * f64::from(multiple);
            if !inside(value) {
                continue;
            }
            if steps.contains(&f64::from(multiple)) && exponent % every == 0 {
                found.major.push((value, log_label(value, exponent, decades)));
            } else if decade >= spacing || multiple == 1 {
                found.minor.push(value);
            }
        }
    }
    found
}

/// Powers of ten where many decades are in view, plain numbers otherwise.
fn log_label(value: f64, exponent: i32, decades: f64) -> String {
    if decades > 4.0 || !(-4..=4).contains(&exponent) {
        let digits: String = exponent.to_string().chars().map(superscript).collect();
        let lead = (value / 10f64.powi(exponent)).round();
        return if lead > 1.0 { format!("{lead}·10{digits}") } else { format!("10{digits}") };
    }
    let decimals = usize::try_from(-exponent).unwrap_or(0);
    format!("{value:.decimals$}")
}

fn superscript(c: char) -> char {
    match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        c => c.to_digit(10).and_then(|d| char::from_u32(0x2070 + d)).unwrap_or(c),
    }
}

/// The next of 1, 2, 5 times a power of ten.
fn nice_step(rough: f64) -> f64 {
    let rough = if rough.is_finite() && rough > 0.0 { rough } else { 1.0 };
    let power = 10_f64.power(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= rough * (1.0 - 1e-9)).unwrap_or(rough)
}

/// A number to three significant digits, as a reading.
pub(crate) fn reading(value: f64) -> String {
    number(value, 3)
}

/// Pixels per label along a vertical and a horizontal axis.
fn spacing(list: &DisplayList, vertical: bool) -> f64 {
    list.px(if vertical { 30.0 } else { 46.0 })
}

/// Gives a plot at least a little width and height, however small the sheet.
pub(crate) fn at_least_a_pixel(rect: Rect) -> Rect {
    Rect { right: rect.right.max(rect.left + 1.0), bottom: rect.bottom.max(rect.top + 1.0), ..rect }
}

/// Room that the tick labels of vertical axes need on their left, for plots of about that height.
pub(crate) fn label_room(list: &DisplayList, axes: &[&AxisSpan], height: f64) -> f64 {
    let size = list.px(SMALL);
    let widest = axes
        .iter()
        .flat_map(|axis| ticks(axis, list.units, height, spacing(list, true)).major)
        .map(|(_, label)| text_width(&label, size, false))
        .fold(list.px(14.0), f64::max);
    widest + list.px(9.0)
}

/// Room below a plot for tick labels and the title of the horizontal axis.
pub(crate) fn foot_room(list: &DisplayList) -> f64 {
    list.px(38.0)
}

/// Room above a plot for the title of its vertical axis.
pub(crate) fn head_room(list: &DisplayList) -> f64 {
    list.px(19.0)
}

/// Grid lines; to be drawn before what they lie under.
pub(crate) fn grid(list: &mut DisplayList, panel: &Panel) {
    let (rect, hair) = (panel.rect, list.palette.grid);
    for (value, _) in ticks(&panel.x, list.units, rect.width(), spacing(list, false)).major {
        let x = panel.to_pixel([value, panel.y.from])[0];
        list.line([x, rect.top], [x, rect.bottom], 1.0, hair);
    }
    for (value, _) in ticks(&panel.y, list.units, rect.height(), spacing(list, true)).major {
        let y = panel.to_pixel([panel.x.from, value])[1];
        list.line([rect.left, y], [rect.right, y], 1.0, hair);
    }
}

/// Frame, ticks, tick labels and titles. Only the lowest of stacked plots labels its x axis. Tick
/// labels make way for what is `reserved`.
pub(crate) fn frame(list: &mut DisplayList, panel: &Panel, label_x: bool, reserved: &[Rect]) {
    let (rect, ink, quiet) = (panel.rect, list.palette.ink, list.palette.quiet);
    list.outline(rect, 1.2, ink);
    let (long, short) = (list.px(5.0), list.px(3.0));

    let x_ticks = ticks(&panel.x, list.units, rect.width(), spacing(list, false));
    let mut free_from = f64::NEG_INFINITY;
    for (value, label) in &x_ticks.major {
        let x = panel.to_pixel([*value, panel.y.from])[0];
        list.line([x, rect.bottom], [x, rect.bottom + long], 1.0, ink);
        let half = text_width(label, list.px(SMALL), false) / 2.0;
        let place = Rect::around([x, rect.bottom + list.px(13.0)], half * 2.0, list.px(SMALL));
        if label_x && x - half > free_from && !reserved.iter().any(|r| r.overlaps(&place)) {
            list.write(label, place.center(), Side::Center, SMALL, false, ink);
            free_from = x + half + list.px(4.0);
        }
    }
    for value in x_ticks.minor {
        let x = panel.to_pixel([value, panel.y.from])[0];
        list.line([x, rect.bottom], [x, rect.bottom + short], 1.0, quiet);
    }

    let y_ticks = ticks(&panel.y, list.units, rect.height(), spacing(list, true));
    for (value, label) in &y_ticks.major {
        let y = panel.to_pixel([panel.x.from, *value])[1];
        list.line([rect.left - long, y], [rect.left, y], 1.0, ink);
        let place = Rect::around([rect.left - list.px(14.0), y], list.px(12.0), list.px(SMALL));
        if !reserved.iter().any(|r| r.overlaps(&place)) {
            list.write(label, [rect.left - list.px(8.0), y], Side::Right, SMALL, false, ink);
        }
    }
    for value in y_ticks.minor {
        let y = panel.to_pixel([panel.x.from, value])[1];
        list.line([rect.left - short, y], [rect.left, y], 1.0, quiet);
    }

    if label_x {
        let at = [rect.right, rect.bottom + list.px(30.0)];
        list.write(&panel.x.words(list.units), at, Side::Right, LABEL, false, ink);
    }
}

/// Title of the vertical axis, written level above the plot at `y`.
pub(crate) fn upper_title(list: &mut DisplayList, panel: &Panel, left: f64, y: f64) {
    let ink = list.palette.ink;
    list.write(&panel.y.words(list.units), [left, y], Side::Left, LABEL, false, ink);
}

/// Pixels of a list of values, broken where a value has no place on the axes.
pub(crate) fn pixels(panel: &Panel, values: &[Point]) -> Vec<Vec<Point>> {
    let mut runs = vec![Vec::new()];
    for value in values {
        let p = panel.to_pixel(*value);
        if p.iter().all(|v| v.is_finite()) {
            if let Some(run) = runs.last_mut() {
                run.push(p);
            }
        } else if runs.last().is_some_and(|run| !run.is_empty()) {
            runs.push(Vec::new());
        }
    }
    runs.retain(|run| !run.is_empty());
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(from: f64, to: f64, log: bool, length: f64, spacing: f64) -> Vec<String> {
        let axis = AxisSpan::new("t", "s", from, to, log);
        ticks(&axis, Units::Si, length, spacing).major.into_iter().map(|(_, label)| label).collect()
    }

    #[test]
    fn injection_time_is_divided_by_one_two_five() {
        assert_eq!(labels(0.05, 5.0, true, 600.0, 46.0), ["0.05", "0.1", "0.2", "0.5", "1", "2", "5"]);
        assert_eq!(labels(0.05, 5.0, true, 200.0, 46.0), ["0.1", "1"]);
    }

    #[test]
    fn ticks_are_round_in_the_units_shown_and_stand_where_they_belong() {
        let axis = AxisSpan::new("Melt temperature", "°C", 110.0, 210.0, false);
        let found = ticks(&axis, Units::Inch, 300.0, 60.0).major;
        assert_eq!(
            found.iter().map(|(_, label)| label.as_str()).collect::<Vec<_>>(),
            ["250", "300", "350", "400"]
        );
        for (place, label) in &found {
            let fahrenheit: f64 = label.parse().expect("a number");
            assert!((place - (fahrenheit - 32.0) / 1.8).abs() < 1e-9, "{label} at {place} °C");
        }
        assert_eq!(axis.words(Units::Inch), "Melt temperature, °F");
    }

    #[test]
    fn many_decades_are_written_as_powers() {
        assert_eq!(labels(1.0, 1e6, true, 600.0, 46.0), ["10⁰", "10¹", "10²", "10³", "10⁴", "10⁵", "10⁶"]);
        assert_eq!(labels(1.0, 1e6, true, 150.0, 46.0), ["10⁰", "10²", "10⁴", "10⁶"]);
    }

    #[test]
    fn straight_axes_take_round_steps_and_a_short_log_span_is_not_left_bare() {
        assert_eq!(labels(110.0, 210.0, false, 300.0, 60.0), ["120", "140", "160", "180", "200"]);
        assert_eq!(labels(-0.1, 0.1, false, 300.0, 100.0), ["-0.1", "0.0", "0.1"]);
        assert!(labels(1.2, 1.8, true, 400.0, 46.0).len() > 1);
    }
}
