//! One cell of the grid: where a limit cuts it, and what is left of it when all limits have.

use crate::place::Place;

/// A cut through a cell, from one of its edges to another, with the out side on the left.
pub(super) type Cut = [Place; 2];

/// Cuts of one limit through a cell whose corners run counterclockwise.
///
/// `g` are the corner margins, `crossings[k]` the zero on the edge from corner k to k+1 where the
/// sign changes. With four crossings the corners alone do not tell which belong together; the mean
/// of the corners decides.
pub(super) fn cuts(g: [f64; 4], crossings: [Option<Place>; 4]) -> Vec<Cut> {
    let middle_inside = g.iter().sum::<f64>() > 0.0;
    let mut cuts = Vec::with_capacity(2);
    for k in 0..4 {
        // Counterclockwise, the boundary enters the inside here…
        let (Some(enter), true) = (crossings[k], g[k] < 0.0) else { continue };
        // …and the cut leads to where it leaves again: the next edge that leaves when the inside
        // corners stand apart, the one before when the outside corners do.
        let leaves = |i: usize| crossings[i].filter(|_| g[i] >= 0.0);
        let order: [usize; 3] = if middle_inside { [k + 3, k + 2, k + 1] } else { [k + 1, k + 2, k + 3] };
        if let Some(leave) = order.into_iter().find_map(|i| leaves(i % 4)) {
            // From entering to leaving the inside lies on the right.
            cuts.push([enter, leave]);
        }
    }
    cuts
}

/// What is left of a set of convex pieces when one limit's cuts have been made.
///
/// One cut takes a half plane away. Two cuts either both take a corner away, or (where the middle
/// is out) each leave one.
pub(super) fn keep_inside(pieces: Vec<Vec<Place>>, cuts: &[Cut], middle_inside: bool) -> Vec<Vec<Place>> {
    if cuts.len() == 2 && !middle_inside {
        return cuts.iter().flat_map(|cut| clip_all(&pieces, cut)).collect();
    }
    cuts.iter().fold(pieces, |left, cut| clip_all(&left, cut))
}

fn clip_all(pieces: &[Vec<Place>], cut: &Cut) -> Vec<Vec<Place>> {
    pieces.iter().map(|piece| clip(piece, cut)).filter(|piece| piece.len() > 2).collect()
}

/// The part of a convex piece to the right of a cut (Sutherland and Hodgman's clipping).
fn clip(piece: &[Place], [from, to]: &Cut) -> Vec<Place> {
    let side = |p: &Place| (to[0] - from[0]) * (p[1] - from[1]) - (to[1] - from[1]) * (p[0] - from[0]);
    // A vertex of the cut itself lies on the line, whatever rounding says.
    let snapped = |p: &Place| if p == from || p == to { 0.0 } else { side(p) };
    let mut kept = Vec::with_capacity(piece.len() + 2);
    for (i, a) in piece.iter().enumerate() {
        let b = &piece[(i + 1) % piece.len()];
        let (sa, sb) = (snapped(a), snapped(b));
        if sa <= 0.0 {
            kept.push(*a);
        }
        if (sa < 0.0 && sb > 0.0) || (sa > 0.0 && sb < 0.0) {
            let f = sa / (sa - sb);
            let crossing = [a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])];
            // Neighbouring cells share the crossing on their common edge only if it is the very same.
            let near = |p: &Place| (p[0] - crossing[0]).abs() + (p[1] - crossing[1]).abs() < 1e-9;
            kept.push(if near(from) {
                *from
            } else if near(to) {
                *to
            } else {
                crossing
            });
        }
    }
    kept.dedup();
    if kept.len() > 1 && kept.first() == kept.last() {
        kept.pop();
    }
    kept
}

/// Area of a polygon, positive counterclockwise.
pub(super) fn area(polygon: &[Place]) -> f64 {
    (0..polygon.len())
        .map(|i| {
            let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            0.5 * (a[0] * b[1] - a[1] * b[0])
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: [Place; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

    fn crossings(g: [f64; 4]) -> [Option<Place>; 4] {
        std::array::from_fn(|k| {
            let (a, b) = (UNIT[k], UNIT[(k + 1) % 4]);
            let (ga, gb) = (g[k], g[(k + 1) % 4]);
            ((ga < 0.0) != (gb < 0.0)).then(|| {
                let f = ga / (ga - gb);
                [a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])]
            })
        })
    }

    fn left_over(g: [f64; 4]) -> f64 {
        let cuts = cuts(g, crossings(g));
        let middle = g.iter().sum::<f64>() > 0.0;
        keep_inside(vec![UNIT.to_vec()], &cuts, middle).iter().map(|p| area(p)).sum()
    }

    #[test]
    fn every_sign_pattern_leaves_the_right_area() {
        // Margins of ±1: a cut corner takes (1/2)²/2, a straight cut one half.
        let corner = 0.125;
        for pattern in 1..15_u32 {
            let g: [f64; 4] = std::array::from_fn(|k| if pattern >> k & 1 == 1 { 1.0 } else { -1.0 });
            let expected = match pattern.count_ones() {
                1 => corner,
                3 => 1.0 - corner,
                _ if pattern == 5 || pattern == 10 => 2.0 * corner,
                _ => 0.5,
            };
            assert!((left_over(g) - expected).abs() < 1e-12, "{g:?}: {}", left_over(g));
        }
        // A saddle whose middle is in loses two corners instead.
        let g = [2.0, -1.0, 2.0, -1.0];
        assert!((left_over(g) - (1.0 - 2.0 / 18.0)).abs() < 1e-12, "{}", left_over(g));
    }

    #[test]
    fn the_out_side_lies_on_the_left_of_every_cut() {
        for pattern in 1..15_u32 {
            let g: [f64; 4] = std::array::from_fn(|k| if pattern >> k & 1 == 1 { 1.5 } else { -1.0 });
            for [from, to] in cuts(g, crossings(g)) {
                let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
                let left = [0.5 * (from[0] + to[0]) - 1e-3 * dy, 0.5 * (from[1] + to[1]) + 1e-3 * dx];
                // The nearest corner on the left must be out.
                let nearest = (0..4)
                    .min_by(|&a, &b| {
                        let d = |k: usize| (UNIT[k][0] - left[0]).powi(2) + (UNIT[k][1] - left[1]).powi(2);
                        d(a).total_cmp(&d(b))
                    })
                    .expect("four corners");
                let side = |p: Place| dx * (p[1] - from[1]) - dy * (p[0] - from[0]);
                if side(UNIT[nearest]) > 1e-9 {
                    assert!(g[nearest] < 0.0, "{g:?} {from:?} {to:?}");
                }
            }
        }
    }
}
