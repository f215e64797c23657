//! Finding places for labels in a plot: beside their lines, or at the end of a leader line.

use crate::display_list::{DisplayList, Point, Rect};
use crate::hatch::{Walk, distance, inside_share, left_of, length};
use crate::style::LABEL;
use gatefrost_palette::Color;

/// Places labels beside lines inside a frame, away from each other and from the lines.
pub(crate) struct Placer {
    pub bounds: Rect,
    /// Places that no label may cover.
    pub taken: Vec<Rect>,
    /// Strokes that labels should keep clear of, and the line each belongs to.
    pub strokes: Vec<(usize, [Point; 2])>,
    /// Leader lines, which no label may cover.
    pub leaders: Vec<[Point; 2]>,
}

/// Owner of strokes that belong to no named line.
pub(crate) const NOBODY: usize = usize::MAX;

/// The strokes of line number `owner`.
pub(crate) fn strokes_of(owner: usize, pieces: &[Vec<Point>]) -> impl Iterator<Item = (usize, [Point; 2])> {
    pieces.iter().flat_map(|piece| piece.windows(2)).map(move |p| (owner, [p[0], p[1]]))
}

/// A place found, and the point of the line it speaks of.
pub(crate) struct Spot {
    pub rect: Rect,
    pub foot: Point,
    /// How far from ideal the place is.
    pub cost: f64,
}

impl Placer {
    /// A place beside one of the pieces of line `owner`, on the right (`clear[0]` pixels away) or on
    /// the left (`clear[1]`). None where every place would hide something taken. The place is not
    /// yet taken.
    pub fn along(&self, owner: usize, pieces: &[Vec<Point>], size: Point, clear: [f64; 2]) -> Option<Spot> {
        let total: f64 = pieces.iter().map(|p| length(p)).sum();
        let mut best: Option<Spot> = None;
        for piece in pieces {
            let Some(walk) = Walk::new(piece) else { continue };
            let stations = (48.0 * walk.total() / total).ceil().clamp(3.0, 48.0) as usize;
            for i in 0..stations {
                let share = (i as f64 + 0.5) / stations as f64;
                let s = share * walk.total();
                let (foot, out) = (walk.at(s), left_of(walk.direction(s, size[0] / 4.0)));
                for (side, gap) in [(-1.0, clear[0]), (1.0, clear[1])] {
                    for extra in [0.0, size[1], 2.2 * size[1]] {
                        let (rect, moved) =
                            self.beside(foot, [out[0] * side, out[1] * side], size, gap + extra);
                        let leaning = 6.0 * (share - 0.5).abs() + if side > 0.0 { 3.0 } else { 0.0 };
                        let short_piece = 20.0 * (1.0 - walk.total() / total);
                        let least = leaning + short_piece + (extra + moved) / size[1] * 9.0;
                        // Looking at every stroke is the costly part, and this runs in every frame of a drag.
                        let bar = best.as_ref().map_or(HOPELESS, |found| found.cost);
                        if least >= bar || self.crosses_labels([rect.nearest(foot), foot]) {
                            continue;
                        }
                        let cost = least + self.cost(owner, &rect, size);
                        if cost < bar {
                            best = Some(Spot { rect, foot, cost });
                        }
                    }
                }
            }
        }
        let mut spot = best?;
        let nearer = closest(pieces, &spot.rect);
        if let Some(foot) = nearer.filter(|foot| !self.crosses_labels([spot.rect.nearest(*foot), *foot])) {
            spot.foot = foot;
        }
        Some(spot)
    }

    /// A place anywhere in the frame from which a leader line reaches line `owner` without crossing a label. None where
    /// there is no such place. The place is not yet taken.
    pub fn led(&self, owner: usize, pieces: &[Vec<Point>], size: Point) -> Option<Spot> {
        let feet: Vec<Point> = pieces.iter().flat_map(|piece| feet(piece, size[1])).collect();
        let mut best: Option<Spot> = None;
        for rect in self.boxes(size) {
            let away = |foot: &Point| distance(*foot, rect.nearest(*foot));
            let Some(foot) = feet.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b))) else {
                continue;
            };
            let least = LEADER + FAR * away(&foot) / size[1];
            let bar = best.as_ref().map_or(HOPELESS, |found| found.cost);
            if least >= bar || self.crosses_labels([rect.nearest(foot), foot]) {
                continue;
            }
            let cost = least + self.cost(owner, &rect, size);
            if cost < bar {
                best = Some(Spot { rect, foot, cost });
            }
        }
        best
    }

    /// Takes a place, with its leader line where it stands off.
    pub fn take(&mut self, spot: &Spot) {
        self.taken.push(spot.rect);
        self.leaders.push([spot.rect.nearest(spot.foot), spot.foot]);
    }

    /// Boxes of a size all over the frame, overlapping by about a half.
    fn boxes(&self, size: Point) -> impl Iterator<Item = Rect> + '_ {
        let steps = |room: f64, step: f64| (room / step).floor().clamp(0.0, 200.0) as usize;
        let (across, down) = (
            steps(self.bounds.width() - size[0], 0.5 * size[0]),
            steps(self.bounds.height() - size[1], 0.7 * size[1]),
        );
        (0..=down).flat_map(move |j| {
            (0..=across).map(move |i| {
                let center = [
                    self.bounds.left + size[0] * (0.5 + 0.5 * i as f64),
                    self.bounds.top + size[1] * (0.5 + 0.7 * j as f64),
                ];
                Rect::around(center, size[0], size[1])
            })
        })
    }

    fn crosses_labels(&self, [a, b]: [Point; 2]) -> bool {
        self.taken
            .iter()
            .any(|taken| taken.contains(a) || taken.contains(b) || inside_share(a, b, taken).is_some())
    }

    /// The box that just clears a point in a direction, moved into the frame, and by how far.
    fn beside(&self, foot: Point, toward: Point, size: Point, gap: f64) -> (Rect, f64) {
        let reach = gap + toward[0].abs() * size[0] / 2.0 + toward[1].abs() * size[1] / 2.0;
        let center = [foot[0] + toward[0] * reach, foot[1] + toward[1] * reach];
        let rect = Rect::around(center, size[0], size[1]).moved_into(&self.bounds);
        (rect, distance(rect.center(), center))
    }

    /// What it costs to cover strokes, and to stand so near another line as to seem to name it.
    fn cost(&self, owner: usize, rect: &Rect, size: Point) -> f64 {
        let crossed = |leader: &[Point; 2]| inside_share(leader[0], leader[1], rect).is_some();
        if self.taken.iter().any(|t| t.overlaps(rect)) || self.leaders.iter().any(crossed) {
            return HOPELESS;
        }
        let near = rect.grown(size[1] * 0.4);
        let length_in = |rect: &Rect, [a, b]: [Point; 2]| {
            inside_share(a, b, rect).map_or(0.0, |(from, to)| (to - from) * distance(a, b))
        };
        let close = self.strokes.iter().filter(|(_, stroke)| may_touch(*stroke, &near));
        let lines = close.map(|&(of, stroke)| {
            let beside = if of == owner || of == NOBODY { 0.0 } else { 15.0 * length_in(&near, stroke) };
            40.0 * length_in(rect, stroke) + beside
        });
        lines.sum::<f64>() / size[1]
    }
}

/// False where a stroke surely misses a rectangle: most do.
fn may_touch([a, b]: [Point; 2], rect: &Rect) -> bool {
    a[0].min(b[0]) <= rect.right
        && a[0].max(b[0]) >= rect.left
        && a[1].min(b[1]) <= rect.bottom
        && a[1].max(b[1]) >= rect.top
}

/// The point of the pieces that lies closest to a rectangle, found in steps of a few pixels.
pub(crate) fn closest(pieces: &[Vec<Point>], rect: &Rect) -> Option<Point> {
    let step = (rect.height() / 4.0).max(1.0);
    let walks = pieces.iter().filter_map(|piece| Walk::new(piece));
    let points = walks.flat_map(|walk| {
        let steps = (walk.total() / step).ceil().clamp(1.0, 2000.0) as usize;
        (0..=steps).map(move |i| walk.at(walk.total() * i as f64 / steps as f64)).collect::<Vec<_>>()
    });
    points.min_by(|a, b| distance(*a, rect.nearest(*a)).total_cmp(&distance(*b, rect.nearest(*b))))
}

const HOPELESS: f64 = 1e6;
/// Cost of a leader line by itself: a name next to its line is read more easily.
const LEADER: f64 = 25.0;
/// Cost of its length, for each height of a name.
const FAR: f64 = 5.0;

/// Points along a piece, in steps of about so many pixels, where a leader line may end.
fn feet(piece: &[Point], step: f64) -> Vec<Point> {
    let Some(walk) = Walk::new(piece) else { return Vec::new() };
    let steps = (walk.total() / step).ceil().clamp(2.0, 200.0) as usize;
    (1..steps).map(|i| walk.at(walk.total() * i as f64 / steps as f64)).collect()
}

/// Writes a label where a place was found, tied to its line where it stands off.
pub(crate) fn write_at(
    list: &mut DisplayList,
    spot: &Spot,
    text: &str,
    bold: bool,
    color: Color,
    ground: Color,
) {
    let near = spot.rect.nearest(spot.foot);
    if distance(near, spot.foot) > list.px(13.0) {
        list.line(near, spot.foot, 1.0, color);
    }
    list.write_boxed(text, spot.rect, LABEL, bold, color, ground);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_clears_its_line_and_what_is_taken() {
        let bounds = Rect { left: 0.0, top: 0.0, right: 300.0, bottom: 200.0 };
        let line = vec![[0.0, 100.0], [300.0, 100.0]];
        let taken = Rect { left: 100.0, top: 50.0, right: 200.0, bottom: 150.0 };
        let placer = Placer {
            bounds,
            taken: vec![taken],
            strokes: vec![(0, [line[0], line[1]])],
            leaders: Vec::new(),
        };
        let spot = placer.along(0, &[line], [60.0, 15.0], [3.0, 12.0]).expect("there is room");
        assert!(!spot.rect.overlaps(&taken));
        assert!(spot.foot[1] == 100.0);
        assert!(spot.rect.top > 100.0, "on the right of the line of travel, which is below");
    }
}
