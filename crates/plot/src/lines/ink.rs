//! Drawing curves: point marks, bands, lines without needless points.

use gatefrost_palette::Color;

use super::{Curve, CurveForm};
use crate::axes::{self, Panel};
use crate::display_list::{DisplayList, Point, Rect, Shape};

/// Point marks that differ without colour: full and open discs, full and open squares.
pub(super) fn draw_sign(list: &mut DisplayList, sign: usize, center: Point, color: Color) {
    let (radius, half) = (list.px(3.2), list.px(6.0));
    let square = Rect::around(center, half, half);
    match sign % 4 {
        0 => list.shapes.push(Shape::Disc { center, radius, color }),
        1 => list.shapes.push(Shape::Ring { center, radius, width: list.px(1.4), color }),
        2 => list.area(square.corners(), color),
        _ => list.outline(square, 1.4, color),
    }
}

pub(super) fn draw_band(list: &mut DisplayList, panel: &Panel, upper: &[Point], lower: &[Point]) {
    let color = list.palette.band();
    for (above, below) in axes::pixels(panel, upper).into_iter().zip(axes::pixels(panel, lower)) {
        list.area(above.into_iter().chain(below.into_iter().rev()).collect(), color);
    }
}

pub(super) fn draw_span(list: &mut DisplayList, panel: &Panel, ends: &[Point]) {
    let place = |end: Option<&Point>| {
        let x = panel.to_pixel([end.map_or(f64::NAN, |p| p[0]), panel.y.from])[0];
        x.clamp(panel.rect.left, panel.rect.right)
    };
    let (left, right) = (place(ends.first()), place(ends.last()));
    if left < right {
        let color = list.palette.band();
        list.area(Rect { left, right, ..panel.rect }.corners(), color);
    }
}

/// A run that goes over the top of its plot, up to there.
pub(super) fn cut(run: Vec<Point>, curve: &Curve, panel: &Panel) -> Vec<Point> {
    let top = panel.rect.top;
    let Some(out) = run.iter().position(|p| p[1] < top).filter(|_| matches!(curve.form, CurveForm::Over))
    else {
        return run;
    };
    let mut kept = run[..out].to_vec();
    if let Some(last) = kept.last() {
        let (a, b) = (*last, run[out]);
        kept.push([a[0] + (b[0] - a[0]) * (top - a[1]) / (b[1] - a[1]), top]);
    }
    kept
}

/// Leaves out points that lie closer than a pixel could show.
pub(super) fn thinned(run: &[Point], list: &DisplayList) -> Vec<Point> {
    let least = list.px(0.6);
    let mut kept: Vec<Point> = Vec::new();
    for (i, p) in run.iter().enumerate() {
        if i + 1 == run.len() || kept.last().is_none_or(|last| crate::hatch::distance(*last, *p) >= least) {
            kept.push(*p);
        }
    }
    kept
}
