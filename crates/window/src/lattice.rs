//! From margins on a lattice to lines and outlines: marching squares, and what is left of each cell when
//! the limits have cut it.

use crate::cell::{self, Cut};
use crate::outline;
use crate::place::Place;

/// Margins at the nodes of a square lattice.
pub(super) struct Lattice<'a> {
    /// Cells along each side.
    pub cells: usize,
    /// Limits at each node.
    pub limits: usize,
    /// Every limit's margin, node by node, row by row.
    pub nodes: &'a [f64],
}

/// Lines and outlines in fractions of the plane.
pub(super) struct Joined {
    /// Pieces of every limit's line.
    pub lines: Vec<Vec<Vec<Place>>>,
    pub outlines: Vec<Vec<Place>>,
    pub usable_share: f64,
}

impl Lattice<'_> {
    /// Lines of every limit, and the region in which they all hold.
    pub fn join(&self) -> Joined {
        let n = self.cells;
        let mut pieces: Vec<Vec<Vec<Place>>> =
            (0..n * n).map(|c| vec![corners(c % n, c / n).map(|(i, j)| self.place(i, j)).to_vec()]).collect();
        let mut lines = Vec::with_capacity(self.limits);
        for limit in 0..self.limits {
            let mut cuts: Vec<Cut> = Vec::new();
            for (c, left) in pieces.iter_mut().enumerate() {
                let (i, j) = (c % n, c / n);
                let g = corners(i, j).map(|(i, j)| self.node(i, j, limit));
                if g.iter().all(|g| *g >= 0.0) {
                    continue;
                }
                if g.iter().all(|g| *g < 0.0) {
                    left.clear();
                    continue;
                }
                let crossings = self.crossings(limit, i, j);
                let through = cell::cuts(g, crossings);
                let middle = g.iter().sum::<f64>() > 0.0;
                *left = cell::keep_inside(std::mem::take(left), &through, middle);
                cuts.extend(through);
            }
            lines.push(outline::join(&cuts));
        }
        let kept: Vec<Vec<Place>> = pieces.into_iter().flatten().collect();
        Joined {
            lines,
            usable_share: kept.iter().map(|p| cell::area(p)).sum(),
            outlines: outline::outlines(&kept),
        }
    }

    fn place(&self, i: usize, j: usize) -> Place {
        [i as f64 / self.cells as f64, j as f64 / self.cells as f64]
    }

    fn node(&self, i: usize, j: usize, limit: usize) -> f64 {
        self.nodes[(j * (self.cells + 1) + i) * self.limits + limit]
    }

    /// Zeros of a limit on the edges of a cell, counterclockwise from below, where its sign changes. An
    /// edge has one zero, whichever of its two cells asks: it is taken from its lesser node on.
    fn crossings(&self, limit: usize, i: usize, j: usize) -> [Option<Place>; 4] {
        let zero = |a: (usize, usize), b: (usize, usize)| {
            let (ga, gb) = (self.node(a.0, a.1, limit), self.node(b.0, b.1, limit));
            ((ga < 0.0) != (gb < 0.0)).then(|| {
                let (from, to, f) = (self.place(a.0, a.1), self.place(b.0, b.1), ga / (ga - gb));
                [from[0] + f * (to[0] - from[0]), from[1] + f * (to[1] - from[1])]
            })
        };
        [
            zero((i, j), (i + 1, j)),
            zero((i + 1, j), (i + 1, j + 1)),
            zero((i, j + 1), (i + 1, j + 1)),
            zero((i, j), (i, j + 1)),
        ]
    }
}

/// Node indices of a cell's corners, counterclockwise.
fn corners(i: usize, j: usize) -> [(usize, usize); 4] {
    [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two limits with known zeros: a circle to stay within, and a line to stay above.
    fn joined() -> Joined {
        let cells = 48;
        let margins = |k: usize| {
            let [x, y] = [k % (cells + 1), k / (cells + 1)].map(|k| k as f64 / cells as f64);
            [0.16 - (x - 0.5).powi(2) - (y - 0.5).powi(2), y - 0.503]
        };
        let nodes: Vec<[f64; 2]> = (0..(cells + 1) * (cells + 1)).map(margins).collect();
        Lattice { cells, limits: 2, nodes: nodes.as_flattened() }.join()
    }

    #[test]
    fn a_circle_is_one_closed_line() {
        let window = joined();
        assert_eq!(window.lines[0].len(), 1);
        let circle = &window.lines[0][0];
        assert_eq!(circle.first(), circle.last());
        for [x, y] in circle {
            let r = (x - 0.5).hypot(y - 0.5);
            assert!((r - 0.4).abs() < 3e-4, "{x}, {y}");
        }
        let half_disc = 0.5 * std::f64::consts::PI * 0.16 - 0.003 * 0.8;
        assert!((window.usable_share - half_disc).abs() < 1e-3, "{}", window.usable_share);
        assert_eq!(window.outlines.len(), 1);
    }

    #[test]
    fn out_lies_on_the_left_of_a_line() {
        let window = joined();
        // Out is outside the circle: with out on the left, the line turns clockwise.
        assert!(cell::area(&window.lines[0][0]) < 0.0);
        // Out is below y = 1/2: the line runs from right to left.
        let line = &window.lines[1][0];
        assert!(line[0][0] > line[line.len() - 1][0]);
    }
}
