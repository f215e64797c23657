//! Strokes made of lines: clipping, dashes, and the hatching on the side that is out.

use crate::display_list::{Point, Rect};

fn between(a: Point, b: Point, t: f64) -> Point {
    [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
}

pub(crate) fn distance(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Share of a straight stroke that lies inside a rectangle, as its first and last fraction.
pub(crate) fn inside_share(a: Point, b: Point, rect: &Rect) -> Option<(f64, f64)> {
    let (mut first, mut last) = (0.0f64, 1.0f64);
    for (start, step, low, high) in
        [(a[0], b[0] - a[0], rect.left, rect.right), (a[1], b[1] - a[1], rect.top, rect.bottom)]
    {
        // `max` and `min` would pass over a NaN.
        if !step.is_finite() {
            return None;
        }
        if step == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (t0, t1) = ((low - start) / step, (high - start) / step);
        first = first.max(t0.min(t1));
        last = last.min(t0.max(t1));
    }
    (first < last).then_some((first, last))
}

/// The parts of a line that lie inside a rectangle, in order and direction.
pub(crate) fn clipped(line: &[Point], rect: &Rect) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    for pair in line.windows(2) {
        let Some((first, last)) = inside_share(pair[0], pair[1], rect) else { continue };
        let (from, to) = (between(pair[0], pair[1], first), between(pair[0], pair[1], last));
        match parts.last_mut() {
            Some(part) if part.last().is_some_and(|end| distance(*end, from) < 1e-6) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts
}

/// Length of a line.
pub(crate) fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|p| distance(p[0], p[1])).sum()
}

/// Walks a line and answers positions by distance from its start.
pub(crate) struct Walk<'a> {
    line: &'a [Point],
    reached: Vec<f64>,
}

impl<'a> Walk<'a> {
    /// None for a line without extent.
    pub fn new(line: &'a [Point]) -> Option<Self> {
        let mut reached = vec![0.0];
        let mut sum = 0.0;
        for pair in line.windows(2) {
            sum += distance(pair[0], pair[1]);
            reached.push(sum);
        }
        (sum > 0.0 && sum.is_finite()).then_some(Self { line, reached })
    }

    pub fn total(&self) -> f64 {
        self.reached.last().copied().unwrap_or(0.0)
    }

    pub fn at(&self, distance: f64) -> Point {
        let distance = distance.clamp(0.0, self.total());
        let i = self.reached.partition_point(|r| *r < distance).clamp(1, self.line.len() - 1);
        let step = self.reached[i] - self.reached[i - 1];
        let t = if step > 0.0 { (distance - self.reached[i - 1]) / step } else { 0.0 };
        between(self.line[i - 1], self.line[i], t)
    }

    /// Direction of travel, evened out over `reach` to both sides.
    pub fn direction(&self, distance: f64, reach: f64) -> Point {
        let (a, b) = (self.at(distance - reach), self.at(distance + reach));
        let d = self::distance(a, b).max(f64::MIN_POSITIVE);
        [(b[0] - a[0]) / d, (b[1] - a[1]) / d]
    }

    /// The stretch between two distances.
    fn stretch(&self, from: f64, to: f64) -> Vec<Point> {
        let mut points = vec![self.at(from)];
        let inner = self.reached.partition_point(|r| *r <= from)..self.reached.partition_point(|r| *r < to);
        if inner.start < inner.end {
            points.extend_from_slice(&self.line[inner]);
        }
        points.push(self.at(to));
        points
    }
}

/// The left of a direction of travel, seen with y upwards, in pixels whose y points down.
pub(crate) fn left_of(direction: Point) -> Point {
    [direction[1], -direction[0]]
}

/// A line cut into dashes; the pattern's lengths are pixels.
pub(crate) fn dashed(line: &[Point], pattern: &[f64]) -> Vec<Vec<Point>> {
    let cycle: f64 = pattern.iter().sum();
    let Some(walk) = Walk::new(line) else { return Vec::new() };
    if pattern.is_empty() || cycle <= 0.0 || walk.total() / cycle > 20_000.0 {
        return vec![line.to_vec()];
    }
    let mut dashes = Vec::new();
    let mut at = 0.0;
    for (i, step) in pattern.iter().cycle().enumerate() {
        if at >= walk.total() {
            break;
        }
        let end = (at + step).min(walk.total());
        if i % 2 == 0 && end > at {
            dashes.push(walk.stretch(at, end));
        }
        at += step;
    }
    dashes
}

/// Short strokes on the left of a line (y upwards), leaning against its direction of travel.
pub(crate) fn hatched(line: &[Point], spacing: f64, reach: f64) -> Vec<[Point; 2]> {
    let Some(walk) = Walk::new(line) else { return Vec::new() };
    let count = (walk.total() / spacing).floor().clamp(1.0, 20_000.0);
    let step = walk.total() / count;
    (0..count as usize)
        .map(|i| {
            let s = (i as f64 + 0.5) * step;
            let (foot, along) = (walk.at(s), walk.direction(s, spacing / 2.0));
            let out = left_of(along);
            let tip = [
                foot[0] + reach * (0.8 * out[0] - 0.6 * along[0]),
                foot[1] + reach * (0.8 * out[1] - 0.6 * along[1]),
            ];
            [foot, tip]
        })
        .collect()
}

/// Whether a point lies inside a closed outline (even–odd).
pub(crate) fn within(outline: &[Point], p: Point) -> bool {
    let mut inside = false;
    for i in 0..outline.len() {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
            inside = !inside;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_lies_on_the_left_seen_with_y_upwards() {
        // To the right on the screen: left is up, which is a smaller pixel y.
        for [_, tip] in hatched(&[[0.0, 50.0], [100.0, 50.0]], 7.0, 8.0) {
            assert!(tip[1] < 50.0);
        }
        // Upwards on the screen: left is a smaller x.
        for [_, tip] in hatched(&[[50.0, 100.0], [50.0, 0.0]], 7.0, 8.0) {
            assert!(tip[0] < 50.0);
        }
    }

    #[test]
    fn hatching_of_a_round_outline_stays_outside_it() {
        // Clockwise with y upwards, so that outside is on the left; pixels mirror y.
        let circle: Vec<Point> = (0..=90)
            .map(|i| {
                let a = -f64::from(i) * 4.0f64.to_radians();
                [200.0 + 80.0 * a.cos(), 200.0 - 80.0 * a.sin()]
            })
            .collect();
        let strokes = hatched(&circle, 7.0, 8.0);
        assert!(strokes.len() > 60);
        for [_, tip] in strokes {
            assert!(distance(tip, [200.0, 200.0]) > 80.5);
        }
    }

    #[test]
    fn dashes_cover_their_share_and_follow_the_line() {
        let bent = [[0.0, 0.0], [90.0, 0.0], [90.0, 90.0]];
        let dashes = dashed(&bent, &[12.0, 6.0]);
        let sum: f64 = dashes.iter().map(|d| length(d)).sum();
        assert!((sum - 120.0).abs() < 1e-9, "{sum}");
        assert!(dashes.iter().any(|d| d.contains(&[90.0, 0.0])), "the corner is kept");
    }

    #[test]
    fn clipping_keeps_what_is_inside_and_its_direction() {
        let rect = Rect { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };
        let zigzag = [[-5.0, 5.0], [5.0, 5.0], [5.0, 20.0], [8.0, 20.0], [8.0, 2.0], [f64::NAN, 3.0]];
        let parts = clipped(&zigzag, &rect);
        assert_eq!(parts, vec![vec![[0.0, 5.0], [5.0, 5.0], [5.0, 10.0]], vec![[8.0, 10.0], [8.0, 2.0]]]);
    }
}
