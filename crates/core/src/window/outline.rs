//! Joining: cuts to lines, pieces of cells to outlines.

use super::surface::Place;
use std::collections::HashMap;

/// Points closer than this (in fractions of the plane) are one.
const SAME: f64 = 1e-7;

type Key = (i64, i64);

fn key(p: Place) -> Key {
    ((p[0] / SAME).round() as i64, (p[1] / SAME).round() as i64)
}

/// Joins directed segments head to tail into lines; closed lines repeat their first point.
pub(super) fn join(segments: &[[Place; 2]]) -> Vec<Vec<Place>> {
    let mut from: HashMap<Key, Vec<usize>> = HashMap::new();
    let mut arrivals: HashMap<Key, usize> = HashMap::new();
    for (i, [a, b]) in segments.iter().enumerate() {
        from.entry(key(*a)).or_default().push(i);
        *arrivals.entry(key(*b)).or_default() += 1;
    }
    let mut used = vec![false; segments.len()];
    let mut lines = Vec::new();
    // Open lines first, from where nothing arrives; what is left over is closed.
    for open in [true, false] {
        for start in 0..segments.len() {
            if used[start] || (open && arrivals.contains_key(&key(segments[start][0]))) {
                continue;
            }
            let mut line = vec![segments[start][0]];
            let mut current = start;
            loop {
                used[current] = true;
                let end = segments[current][1];
                line.push(end);
                let next = from.get(&key(end)).and_then(|list| list.iter().copied().find(|&i| !used[i]));
                match next {
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
    let mut edges: HashMap<(Key, Key), [Place; 2]> = HashMap::new();
    let mut order = Vec::new();
    for polygon in polygons {
        for (i, &a) in polygon.iter().enumerate() {
            let b = polygon[(i + 1) % polygon.len()];
            let (ka, kb) = (key(a), key(b));
            if ka != kb && edges.remove(&(kb, ka)).is_none() {
                edges.insert((ka, kb), [a, b]);
                order.push((ka, kb));
            }
        }
    }
    // In the order of the cells, not of the hash, so that the same window is the same text.
    let left: Vec<[Place; 2]> = order.iter().filter_map(|k| edges.remove(k)).collect();
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
        assert!((super::super::cell::area(&found[0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_ring_has_two_outlines_of_opposite_turn() {
        let square = |x: f64, y: f64| vec![[x, y], [x + 1.0, y], [x + 1.0, y + 1.0], [x, y + 1.0]];
        let ring: Vec<_> =
            (0..9).filter(|&i| i != 4).map(|i| square(f64::from(i % 3), f64::from(i / 3))).collect();
        let mut areas: Vec<f64> = outlines(&ring).iter().map(|o| super::super::cell::area(o)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas, [-1.0, 9.0]);
    }

    #[test]
    fn segments_in_any_order_make_one_line() {
        let lines = join(&[[[1.0, 0.0], [2.0, 0.0]], [[2.0, 0.0], [3.0, 1.0]], [[0.0, 0.0], [1.0, 0.0]]]);
        assert_eq!(lines, vec![vec![[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 1.0]]]);
    }
}
