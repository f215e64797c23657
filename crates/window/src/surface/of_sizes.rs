//! Toleranced sizes on a surface: ln S is interpolated, and the margin follows from it at each node.

use super::{GridCell, Node, SIZE, Surface};
use crate::place::{Margins, near};
use crate::sizes::SizeMargins;
use gatefrost_core::scenario::Scenario;

/// The line of sizes is not tested in a cell of the coarse grid where the cubics may be off by at most this share of the
/// tolerance, as differences of their nodes say.
const SURE: f64 = 0.5;
/// A cell is divided if Cpk is missed by more than this in its middle, on the line of sizes. What was found there is added to
/// the surface in any case, and about a quarter of the error is left: a third of the 95 % sampling error of 2000 shots, which
/// is 0.044 at a Cpk of 1.33. Where Cpk is nearly level, 1 % of the axis would be far less than that.
pub(super) const CPK_OFF: f64 = 0.06;

impl Surface {
    /// Takes what was found for the [`size_parts`](crate::size_parts) of the scenario that is traced, before any place is
    /// given. From then on it is given what [`found_at`](crate::found_at) finds.
    pub fn take_sizes(&mut self, scenario: &Scenario, parts: &[f64]) {
        let margins = SizeMargins::of(scenario, parts);
        self.sizes = margins.map(|margins| (margins, vec![0.0; self.lattice.len()]));
    }

    /// Puts ln S in the place of the margin of sizes, so that it is what is interpolated.
    pub(super) fn make_smooth(&mut self) {
        if let Some((_, smooth)) = &self.sizes {
            self.lattice.iter_mut().zip(smooth).for_each(|(node, &smooth)| node[SIZE] = smooth);
        }
    }

    /// Keeps ln S, and puts the margin in its place.
    pub(super) fn make_margins(&mut self) {
        let steps = self.steps;
        let Some((margins, smooth)) = &mut self.sizes else { return };
        for (index, (node, smooth)) in self.lattice.iter_mut().zip(smooth).enumerate() {
            *smooth = node[SIZE];
            let at = [index % (steps + 1), index / (steps + 1)];
            node[SIZE] = near(margins.margin(at.map(|k| k as f64 / steps as f64), *smooth));
        }
    }

    /// Margins at a node from what was found there.
    pub(super) fn told(&self, node: Node, found: &Margins) -> Margins {
        let mut told = *found;
        if let Some((margins, _)) = self.sizes.as_ref().filter(|_| found[SIZE].is_finite()) {
            told[SIZE] = near(margins.margin(self.place(node.at), found[SIZE]));
        }
        told
    }

    /// Whether a cell needs no test for the line of sizes.
    pub(super) fn sure(&self, cell: GridCell) -> bool {
        let Some((margins, smooth)) = &self.sizes else { return false };
        if cell.size < self.coarse {
            return false;
        }
        let middle = cell.at.map(|k| k + cell.size / 2);
        let at = |off: f64| near(margins.margin(self.place(middle), smooth[self.index(middle)] + off));
        let off = self.doubt(smooth, cell);
        let missed = (at(-off) - at(0.0)).abs().max((at(off) - at(0.0)).abs());
        missed < CPK_OFF || self.share(cell, SIZE, missed) < SURE * self.tolerance(cell, SIZE)
    }

    /// How far cubics may be off in the middle of a cell of the coarse grid, by the differences of the nodes along its sides:
    /// 3/128 of the fourth ones, or 1/16 of the third ones where a parabola ends the line. Twice as much is told.
    fn doubt(&self, smooth: &[f64], GridCell { at, size }: GridCell) -> f64 {
        let cells = self.steps / self.coarse;
        let along = |direction: usize, side: usize| {
            let value = |k: usize| {
                let mut node = at.map(|k| k + side * size);
                node[direction] = k * self.coarse;
                smooth[self.index(node)]
            };
            let cell = at[direction] / self.coarse;
            let fourth = |k: usize| {
                let k = k.clamp(2, cells - 2);
                value(k - 2) - 4.0 * value(k - 1) + 6.0 * value(k) - 4.0 * value(k + 1) + value(k + 2)
            };
            if cell == 0 || cell + 1 == cells {
                let first = cell.min(cells - 3);
                let third = value(first + 3) - 3.0 * value(first + 2) + 3.0 * value(first + 1) - value(first);
                third.abs() / 8.0
            } else {
                fourth(cell).abs().max(fourth(cell + 1).abs()) * 3.0 / 64.0
            }
        };
        [0, 1].map(|direction| along(direction, 0).max(along(direction, 1))).iter().sum()
    }
}
