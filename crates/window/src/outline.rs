//! Joining: cuts to lines, pieces of cells to outlines.

use crate::place::Place;
use gatefrost_numerics::order;

/// Points closer than this (in fractions of the plane) are one.
const SAME: f64 = 1e-7;

/// A point as one number: its two rounded fractions, side by side. Whole numbers below 2⁵³ are exact.
fn key([x, y]: Place) -> f64 {
    const WIDE: f64 = 4.0 / SAME;
    (x / SAME).round() * WIDE + (y / SAME).round()
}

/// Segments by the point they begin at.
struct ByStart {
    /// Keys in rising order, and the segment of each.
    keys: Vec<f64>,
    segments: Vec<usize>,
}

impl ByStart {
    fn of(segments: &[[Place; 2]]) -> Self {
        let keys: Vec<f64> = segments.iter().map(|s| key(s[0])).collect();
        let segments = order::rising(&keys);
        Self { keys: segments.iter().map(|&i| keys[i]).collect(), segments }
    }

    /// Segments that begin at a point, in their own order.
    fn at(&self, point: Place) -> &[usize] {
        let key = key(point);
        let first = self.keys.partition_point(|k| *k < key);
        let count = self.keys[first..].iter().take_while(|k| **k == key).count();
        &self.segments[first..first + count]
    }
}

/// Joins directed segments head to tail into lines; closed lines repeat their first point.
pub(super) fn join(segments: &[[Place; 2]]) -> Vec<Vec<Place>> {
    let starts = ByStart::of(segments);
    let mut arrived = vec![false; segments.len()];
    for [_, end] in segments {
        starts.at(*end).iter().for_each(|&i| arrived[i] = true);
    }
    let mut used = vec![false; segments.len()];
    let mut lines = Vec::new();
    // Open lines first, from where nothing arrives; what is left over is closed.
    for open in [true, false] {
        for start in 0..segments.len() {
            if used[start] || (open && arrived[start]) {
                continue;
            }
            let mut line = vec![segments[start][0]];
            let mut current = start;
            loop {
                used[current] = true;
                let end = segments[current][1];
                line.push(end);
                match starts.at(end).iter().copied().find(|&i| !used[i]) {
                    Some(i) => current = i,
                    None => break,
                }
            }
            lines.push(line);
        }
    }
    lines
}

/// Outlines of a union of polygons that tile: edges that two of them share in opposite directions
/// cancel, the rest is joined. Counterclockwise around what is inside.
pub(super) fn outlines(polygons: &[Vec<Place>]) -> Vec<Vec<Place>> {
    let mut edges: Vec<[Place; 2]> = Vec::new();
    for polygon in polygons {
        for (i, &a) in polygon.iter().enumerate() {
            let b = polygon[(i + 1) % polygon.len()];
            if key(a) != key(b) {
                edges.push([a, b]);
            }
        }
    }
    let starts = ByStart::of(&edges);
    let mut cancelled = vec![false; edges.len()];
    for i in 0..edges.len() {
        let back = |&&j: &&usize| !cancelled[j] && key(edges[j][1]) == key(edges[i][0]);
        if !cancelled[i]
            && let Some(&j) = starts.at(edges[i][1]).iter().find(back)
        {
            (cancelled[i], cancelled[j]) = (true, true);
        }
    }
    let left: Vec<[Place; 2]> = (0..edges.len()).filter(|&i| !cancelled[i]).map(|i| edges[i]).collect();
    join(&left)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_squares_have_one_outline() {
        let square = |x: f64| vec![[x, 0.0], [x + 1.0, 0.0], [x + 1.0, 1.0], [x, 1.0]];
        let found = outlines(&[square(0.0), square(1.0)]);
        assert_eq!(found.len(), 1);
        assert!((crate::cell::area(&found[0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_ring_has_two_outlines_of_opposite_turn() {
        let square = |x: f64, y: f64| vec![[x, y], [x + 1.0, y], [x + 1.0, y + 1.0], [x, y + 1.0]];
        let ring: Vec<_> =
            (0..9).filter(|&i| i != 4).map(|i| square(f64::from(i % 3), f64::from(i / 3))).collect();
        let mut areas: Vec<f64> = outlines(&ring).iter().map(|o| crate::cell::area(o)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas, [-1.0, 9.0]);
    }

    #[test]
    fn segments_in_any_order_make_one_line() {
        let lines = join(&[[[1.0, 0.0], [2.0, 0.0]], [[2.0, 0.0], [3.0, 1.0]], [[0.0, 0.0], [1.0, 0.0]]]);
        assert_eq!(lines, vec![vec![[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 1.0]]]);
    }
}
