//! What the lines of a window say of a place in it: which limits are met there, and whose line passes nearest.

use crate::display_list::Point;
use crate::hatch::distance;
use gatefrost_core::limits::Limit;
use gatefrost_window::{LimitLine, Window};
use serde::Serialize;

/// What the lines say of a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Reading {
    /// Limits with a line in the plane that are met at the place. Those that are met everywhere in the plane are not
    /// listed.
    pub met: Vec<Limit>,
    /// Limits that are not met there, those that are met nowhere in the plane first.
    pub not_met: Vec<Limit>,
    /// The limit whose line passes nearest, and the nearest point of the line, in edge units.
    pub nearest: Option<(Limit, [f64; 2])>,
}

/// Reads the lines at a place: a limit is not met if the place lies on the left of the nearest stroke of its line.
///
/// # Arguments
/// - `window`: the window
/// - `size`: width and height of its plot, in pixels; they decide which point is the nearest
/// - `place`: fractions of the plot's width, from the left, and of its height, from below
pub fn reading(window: &Window, size: [f64; 2], place: [f64; 2]) -> Reading {
    let mut found = Reading { met: Vec::new(), not_met: window.broken_everywhere.clone(), nearest: None };
    let mut least = f64::INFINITY;
    for line in &window.lines {
        let Some(stroke) = nearest_stroke(window, line, size, place) else { continue };
        if stroke.out {
            found.not_met.push(line.limit)
        } else {
            found.met.push(line.limit)
        }
        if stroke.far < least {
            least = stroke.far;
            let at = [stroke.foot[0] / size[0], stroke.foot[1] / size[1]];
            found.nearest = Some((line.limit, window.plane.value(at)));
        }
    }
    found
}

/// The limit whose line passes nearest to a place, and how far away it passes.
///
/// # Arguments
/// - `window`: the window
/// - `size`: width and height of its plot, in pixels
/// - `place`: fractions of the plot's width, from the left, and of its height, from below
///
/// Returns the limit and the distance in the same pixels; `None` if the window has no lines.
pub fn nearest_line(window: &Window, size: [f64; 2], place: [f64; 2]) -> Option<(Limit, f64)> {
    let found = |line: &LimitLine| Some((line.limit, nearest_stroke(window, line, size, place)?.far));
    window.lines.iter().filter_map(found).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The stroke of a line that passes nearest to a place.
struct Stroke {
    far: f64,
    /// Its point that is nearest.
    foot: Point,
    /// Whether the place lies on the side where the limit is not met.
    out: bool,
}

/// Where two strokes meet in the nearest point, the one that the place stands beside more squarely decides on the side:
/// seen from the outer side of a sharp bend, the straight continuation of the other one may pass on the wrong side.
fn nearest_stroke(window: &Window, line: &LimitLine, size: [f64; 2], place: [f64; 2]) -> Option<Stroke> {
    let pixel = |fractions: [f64; 2]| [fractions[0] * size[0], fractions[1] * size[1]];
    let point = pixel(place);
    let mut best: Option<(Stroke, f64)> = None;
    for pair in line.pieces.iter().flat_map(|piece| piece.windows(2)) {
        let [a, b] = [pair[0], pair[1]].map(|end| pixel(window.plane.fraction(end)));
        let foot = nearest_on(point, a, b);
        let far = distance(point, foot);
        if !far.is_finite() || a == b {
            continue;
        }
        let left = (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]);
        let beside = left.abs() / distance(a, b);
        let same = 1e-9 * (size[0] + size[1]);
        let nearer = best.as_ref().is_none_or(|(stroke, least)| {
            far < stroke.far - same || (far < stroke.far + same && beside > *least)
        });
        if nearer {
            best = Some((Stroke { far, foot, out: left > 0.0 }, beside));
        }
    }
    best.map(|(stroke, _)| stroke)
}

/// The point of a straight stroke that is nearest to a point.
fn nearest_on(p: Point, a: Point, b: Point) -> Point {
    let along = [b[0] - a[0], b[1] - a[1]];
    let square = along[0] * along[0] + along[1] * along[1];
    let share = ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / square;
    let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
    [a[0] + along[0] * share, a[1] + along[1] * share]
}
