//! Bars by cause: the budget of sizes, each bar as long as its scatter; and other sums that are drawn alike.

use crate::axes::{self, AxisSpan, Layout, Panel, at_least_a_pixel, reading};
use crate::display_list::{DisplayList, Rect, Side, text_width, truncated};
use crate::hatch::clipped;
use crate::style::{LABEL, SMALL};
use crate::table::{DataCell, DataTable, columns};
use gatefrost_after::plan::SizePlan;

/// Height of a bar and of the gap below it, CSS pixels.
const BAR: f64 = 16.0;
const GAP: f64 = 9.0;

/// Words of the last bar.
const TOGETHER: &str = "all together";

/// One bar.
pub(crate) struct Bar {
    pub words: String,
    pub value: f64,
    pub whole: bool,
}

/// Bars over one axis.
pub(crate) struct Bars {
    pub bars: Vec<Bar>,
    /// What the axis measures, and its unit.
    pub axis: [&'static str; 2],
    pub footnote: &'static str,
}

fn bars(sizes: &SizePlan) -> Vec<Bar> {
    let each = sizes.budget.iter().map(|share| Bar {
        words: share.cause.clone(),
        value: share.percent,
        whole: false,
    });
    let whole = Bar { words: TOGETHER.to_owned(), value: sizes.scatter_percent, whole: true };
    each.chain(std::iter::once(whole)).collect()
}

pub(super) fn draw(list: &mut DisplayList, sizes: &SizePlan, caption: &str, name: &str) -> Layout {
    let footnote = "One standard deviation of a length. The squares add up: a bar half as long as another has a quarter of its part in the whole.";
    let bars = Bars { bars: bars(sizes), axis: ["Scatter of a length", "%"], footnote };
    draw_bars(list, &bars, caption, name)
}

/// Draws bars from zero, the words before them and the value behind each.
pub(crate) fn draw_bars(list: &mut DisplayList, of: &Bars, caption: &str, name: &str) -> Layout {
    let area = list.begin(caption, name);
    let area = list.footnote(of.footnote, area);
    let (bars, [title, unit]) = (&of.bars, of.axis);
    let widest = bars.iter().map(|bar| text_width(&bar.words, LABEL, bar.whole)).fold(0.0, f64::max);
    let words_room = list.px(widest + 10.0).min(0.45 * area.width());
    let (left, right) =
        (area.left + words_room, (area.right - list.px(56.0)).max(area.left + words_room + 1.0));
    let greatest = bars.iter().map(|bar| bar.value).fold(0.0, f64::max).max(1e-6);
    let x = AxisSpan::new(title, unit, 0.0, greatest, false);
    let foot = axes::foot_room(list);
    let step = list.px(BAR + GAP).min((area.height() - foot) / bars.len() as f64);
    let top = area.top + ((area.height() - foot - step * bars.len() as f64) * 0.3).max(0.0);
    let rect = at_least_a_pixel(Rect { left, right, top, bottom: top + step * bars.len() as f64 });
    let panel = Panel { rect, x, y: AxisSpan::new("", "", 0.0, 1.0, false) };
    for (i, bar) in bars.iter().enumerate() {
        let high = rect.top + step * i as f64;
        let reach = panel.to_pixel([bar.value, 0.0])[0];
        let place =
            at_least_a_pixel(Rect { left, right: reach, top: high, bottom: high + step * BAR / (BAR + GAP) });
        draw_bar(list, bar, unit, place, [area.left, words_room]);
    }
    draw_axis(list, &panel);
    Layout {
        width: list.width,
        height: list.height,
        plot: panel,
        others: Vec::new(),
        spots: Vec::new(),
        names: Vec::new(),
    }
}

/// The whole is hatched, so that it stands apart in print.
fn draw_bar(list: &mut DisplayList, bar: &Bar, unit: &str, place: Rect, [words_from, words_room]: [f64; 2]) {
    let ink = if bar.whole { list.palette.accent } else { list.palette.ink };
    list.area(place.corners(), list.palette.shade);
    if bar.whole {
        let step = list.px(6.0);
        let count = ((place.width() + place.height()) / step).ceil().clamp(0.0, 2000.0) as usize;
        for i in 0..=count {
            let x = place.left + i as f64 * step;
            for line in clipped(&[[x, place.top], [x - place.height(), place.bottom]], &place) {
                list.path(line, 1.0, ink);
            }
        }
    }
    list.outline(place, 1.0, ink);
    let y = place.center()[1];
    let words = truncated(&bar.words, words_room / list.px(1.0) - 8.0, LABEL, bar.whole);
    list.write(&words, [words_from, y], Side::Left, LABEL, bar.whole, ink);
    let said = format!("{} {unit}", reading(bar.value));
    list.write(said.trim_end(), [place.right + list.px(5.0), y], Side::Left, SMALL, bar.whole, ink);
}

fn draw_axis(list: &mut DisplayList, panel: &Panel) {
    let (ink, base) = (list.palette.ink, panel.rect.bottom);
    for (value, label) in axes::ticks(&panel.x, list.units, panel.rect.width(), list.px(70.0)).major {
        let x = panel.to_pixel([value, 0.0])[0];
        list.line([x, base], [x, base + list.px(5.0)], 1.0, ink);
        list.write(&label, [x, base + list.px(13.0)], Side::Center, SMALL, false, ink);
    }
    list.line([panel.rect.left, base], [panel.rect.right, base], 1.0, ink);
    list.write(
        &panel.x.words(list.units),
        [panel.rect.right, base + list.px(30.0)],
        Side::Right,
        LABEL,
        false,
        ink,
    );
}

pub(super) fn table(sizes: &SizePlan, caption: String) -> DataTable {
    let heads = [("Cause", ""), ("Scatter of a length", "%"), ("Part in the variance", "%")];
    let mut rows: Vec<Vec<DataCell>> = sizes
        .budget
        .iter()
        .map(|share| {
            vec![
                DataCell::text(share.cause.clone()),
                DataCell::number(share.percent),
                DataCell::number(share.of_variance_percent),
            ]
        })
        .collect();
    rows.push(vec![
        DataCell::text(TOGETHER),
        DataCell::number(sizes.scatter_percent),
        DataCell::number(100.0),
    ]);
    DataTable { caption, columns: columns(&heads), rows }
}
