//! The bands of numbers before and after: a row each, on a scale of its own.

use super::TrialNumber;
use crate::axes::{AxisSpan, Layout, Panel, at_least_a_pixel, reading};
use crate::display_list::{DisplayList, Rect, Side, text_width, truncated};
use crate::style::{LABEL, SMALL};
use crate::table::{DataCell, DataTable, columns};
use gatefrost_numerics::elementary::Elementary;

/// Height of a row at most, CSS pixels: its name, then its bands.
const ROW: f64 = 56.0;
/// A band whose ends have a greater ratio is drawn on a logarithmic scale.
const WIDE: f64 = 4.0;

/// How a value is placed on a row.
fn scale(number: &TrialNumber) -> impl Fn(f64) -> f64 {
    let ends = [number.prior, number.posterior].map(|[_, low, high]| [low, high]);
    let (low, high) = (ends[0][0].min(ends[1][0]), ends[0][1].max(ends[1][1]));
    let log = low > 0.0 && high > WIDE * low;
    let on = move |value: f64| if log { value.max(1e-300).logarithm() } else { value };
    let (from, span) = (on(low), (on(high) - on(low)).max(1e-300));
    move |value: f64| ((on(value) - from) / span).clamp(0.0, 1.0)
}

/// Draws a row for each number: the band before as an outlined bar, that after as a filled one below it, each with its value.
pub(super) fn draw(list: &mut DisplayList, numbers: &[TrialNumber], caption: &str, name: &str) -> Layout {
    let area = list.begin(caption, name);
    let area = list.footnote(
        "Each row has a scale of its own. The open bar is the 95 % band before, the filled bar that after; the strokes are the values.",
        area,
    );
    let rect =
        at_least_a_pixel(Rect { top: area.top, bottom: area.bottom, left: area.left, right: area.right });
    let panel =
        Panel { rect, x: AxisSpan::new("", "", 0.0, 1.0, false), y: AxisSpan::new("", "", 0.0, 1.0, false) };
    if numbers.is_empty() {
        list.sentence("There are no numbers.", rect);
    }
    let step = list.px(ROW).min(area.height() / numbers.len().max(1) as f64);
    for (i, number) in numbers.iter().enumerate() {
        row(
            list,
            number,
            Rect { top: area.top + step * i as f64, bottom: area.top + step * (i + 1) as f64, ..rect },
        );
    }
    Layout { width: list.width, height: list.height, ..Layout::of(panel) }
}

fn row(list: &mut DisplayList, number: &TrialNumber, room: Rect) {
    let (ink, accent, shade) = (list.palette.ink, list.palette.accent, list.palette.shade);
    let quiet = list.palette.quiet;
    let told =
        |[value, low, high]: [f64; 3]| format!("{} ({} to {})", reading(value), reading(low), reading(high));
    let y = |share: f64| room.top + share * room.height();
    let margin = list.px(3.0);
    let width = room.width() / list.px(1.0);
    let words = format!("{}: {} {}", number.title, told(number.posterior), number.unit);
    let words = truncated(words.trim_end(), width - 6.0, LABEL, false);
    list.write(&words, [room.left, y(0.2)], Side::Left, LABEL, false, ink);
    let before = format!("before: {}", told(number.prior));
    if text_width(&words, LABEL, false) + text_width(&before, SMALL, false) + 24.0 < width {
        list.write(&before, [room.right - margin, y(0.2)], Side::Right, SMALL, false, quiet);
    }
    let at = scale(number);
    let (left, across) = (room.left + margin, room.width() - 2.0 * margin);
    let place = |value: f64| left + across * at(value);
    for ([value, low, high], from, to, after) in
        [(number.prior, 0.44, 0.60, false), (number.posterior, 0.66, 0.88, true)]
    {
        let bar =
            at_least_a_pixel(Rect { left: place(low), right: place(high), top: y(from), bottom: y(to) });
        let color = if after { accent } else { ink };
        if after {
            list.area(bar.corners(), shade);
        }
        list.outline(bar, if after { 1.6 } else { 1.0 }, color);
        let x = place(value);
        list.line([x, bar.top], [x, bar.bottom], 2.5, color);
    }
}

/// The numbers with their bands.
pub(super) fn table(numbers: &[TrialNumber], caption: String) -> DataTable {
    let heads = [
        ("Number", ""),
        ("Unit", ""),
        ("Before", ""),
        ("Before, low", ""),
        ("Before, high", ""),
        ("After", ""),
        ("After, low", ""),
        ("After, high", ""),
    ];
    let row = |n: &TrialNumber| {
        let words = [n.title.clone(), n.unit.clone()].map(DataCell::text);
        words.into_iter().chain(n.prior.into_iter().chain(n.posterior).map(DataCell::number)).collect()
    };
    DataTable { caption, columns: columns(&heads), rows: numbers.iter().map(row).collect() }
}
