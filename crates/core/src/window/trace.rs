//! Tracing the limit lines of a plane.

use super::cell::{self, Cut};
use super::outline;
use super::sample::{Margins, Place, Sampler};
use super::{LimitLine, Window};
use crate::limits::{COUNT, Limit};
use crate::scenario::{Model, Scenario, ScenarioError};

/// How finely a window is traced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// While a hand drags: few nodes, a coarse model, zeros by the secant.
    Coarse,
    /// When it rests: the scenario's own model, zeros on grid edges to 0.2 % of the axis.
    Fine,
}

impl Detail {
    /// Cells of the grid along each side.
    fn cells(self) -> usize {
        match self {
            Self::Coarse => 8,
            Self::Fine => 12,
        }
    }

    /// Tolerance of a zero, as a share of its edge.
    fn tolerance(self) -> f64 {
        match self {
            Self::Coarse => 1.0,
            Self::Fine => 0.002 * self.cells() as f64,
        }
    }
}

/// Traces the window of a scenario's plane.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn trace(scenario: &Scenario, detail: Detail) -> Result<Window, ScenarioError> {
    scenario.validate_plane()?;
    let mut scenario = scenario.clone();
    if detail == Detail::Coarse {
        let m = &mut scenario.model;
        *m = Model { axial_cells: m.axial_cells.min(16), layers: m.layers.min(10), ..m.clone() };
    }
    let plane = scenario.window.clone();
    let mut sampler = Sampler::new(scenario);
    let traced = Traced::over(detail, |place| sampler.margins(place));
    let window = traced.window(detail, &mut |limit, a, b, tolerance| sampler.zero(limit, a, b, tolerance));
    let value = |p: Place| [plane.x.at(p[0]), plane.y.at(p[1])];
    let values = |lines: Vec<Vec<Place>>| -> Vec<Vec<[f64; 2]>> {
        lines.into_iter().map(|line| line.into_iter().map(value).collect()).collect()
    };
    let mut lines = Vec::new();
    let (mut broken_everywhere, mut held_everywhere) = (Vec::new(), Vec::new());
    for (index, (limit, pieces)) in Limit::ALL.into_iter().zip(window.lines).enumerate() {
        if pieces.is_empty() {
            let list =
                if traced.nodes[0][index] < 0.0 { &mut broken_everywhere } else { &mut held_everywhere };
            list.push(limit);
        } else {
            lines.push(LimitLine { limit, label: limit.label().into(), pieces: values(pieces) });
        }
    }
    Ok(Window {
        lines,
        broken_everywhere,
        held_everywhere,
        outlines: values(window.outlines),
        usable_share: window.usable_share,
        evaluations: sampler.count,
        plane,
    })
}

/// Margins at the nodes of the grid, row by row.
struct Traced {
    cells: usize,
    nodes: Vec<Margins>,
}

/// Lines and outlines in fractions of the plane.
struct Joined {
    lines: Vec<Vec<Vec<Place>>>,
    outlines: Vec<Vec<Place>>,
    usable_share: f64,
}

impl Traced {
    fn over(detail: Detail, mut margins: impl FnMut(Place) -> Margins) -> Self {
        let cells = detail.cells();
        let mut nodes = Vec::with_capacity((cells + 1) * (cells + 1));
        for j in 0..=cells {
            for i in 0..=cells {
                nodes.push(margins([i as f64 / cells as f64, j as f64 / cells as f64]));
            }
        }
        Self { cells, nodes }
    }

    fn place(&self, i: usize, j: usize) -> Place {
        [i as f64 / self.cells as f64, j as f64 / self.cells as f64]
    }

    fn node(&self, i: usize, j: usize) -> &Margins {
        &self.nodes[j * (self.cells + 1) + i]
    }

    /// Zeros of one limit on the edges along x (j rows of `cells`) and along y (`cells` rows of i).
    fn zeros(
        &self,
        limit: usize,
        tolerance: f64,
        zero: &mut impl FnMut(usize, (Place, f64), (Place, f64), f64) -> Place,
    ) -> [Vec<Option<Place>>; 2] {
        let n = self.cells;
        let mut on_edge = |a: (usize, usize), b: (usize, usize)| {
            let (ga, gb) = (self.node(a.0, a.1)[limit], self.node(b.0, b.1)[limit]);
            ((ga < 0.0) != (gb < 0.0))
                .then(|| zero(limit, (self.place(a.0, a.1), ga), (self.place(b.0, b.1), gb), tolerance))
        };
        let along_x = (0..=n).flat_map(|j| (0..n).map(move |i| (i, j)));
        let along_x = along_x.map(|(i, j)| on_edge((i, j), (i + 1, j))).collect();
        let along_y = (0..n).flat_map(|j| (0..=n).map(move |i| (i, j)));
        let along_y = along_y.map(|(i, j)| on_edge((i, j), (i, j + 1))).collect();
        [along_x, along_y]
    }

    fn window(
        &self,
        detail: Detail,
        zero: &mut impl FnMut(usize, (Place, f64), (Place, f64), f64) -> Place,
    ) -> Joined {
        let n = self.cells;
        let mut pieces: Vec<Vec<Vec<Place>>> = (0..n * n)
            .map(|c| {
                let (i, j) = (c % n, c / n);
                vec![self.corners(i, j).map(|(i, j)| self.place(i, j)).to_vec()]
            })
            .collect();
        let mut lines = Vec::with_capacity(COUNT);
        for limit in 0..COUNT {
            let [along_x, along_y] = self.zeros(limit, detail.tolerance(), zero);
            let mut cuts: Vec<Cut> = Vec::new();
            for (c, left) in pieces.iter_mut().enumerate() {
                let (i, j) = (c % n, c / n);
                let g = self.corners(i, j).map(|(i, j)| self.node(i, j)[limit]);
                if g.iter().all(|g| *g < 0.0) {
                    left.clear();
                    continue;
                }
                let crossings = [
                    along_x[j * n + i],
                    along_y[j * (n + 1) + i + 1],
                    along_x[(j + 1) * n + i],
                    along_y[j * (n + 1) + i],
                ];
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

    /// Node indices of a cell's corners, counterclockwise.
    fn corners(&self, i: usize, j: usize) -> [(usize, usize); 4] {
        [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two limits with known zeros: a circle to stay within, and a line to stay above.
    fn margins(p: Place) -> Margins {
        let mut g = [1.0; COUNT];
        g[0] = 0.16 - (p[0] - 0.5).powi(2) - (p[1] - 0.5).powi(2);
        g[1] = p[1] - 0.5;
        g
    }

    fn joined(detail: Detail) -> Joined {
        let traced = Traced::over(detail, margins);
        traced.window(detail, &mut |limit, a, b, _| {
            let (mut low, mut high) = (a.0, b.0);
            for _ in 0..50 {
                let middle = [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])];
                if (margins(middle)[limit] > 0.0) == (a.1 > 0.0) { low = middle } else { high = middle }
            }
            low
        })
    }

    #[test]
    fn known_boundaries_are_traced_to_one_per_cent_of_the_axis() {
        let window = joined(Detail::Fine);
        assert_eq!(window.lines[0].len(), 1, "the circle is one closed line");
        let circle = &window.lines[0][0];
        assert_eq!(circle.first(), circle.last());
        for pair in circle.windows(2) {
            // Vertices and the chord's middle both lie within 1 % of the axis of the true circle.
            let middle = [0.5 * (pair[0][0] + pair[1][0]), 0.5 * (pair[0][1] + pair[1][1])];
            for p in [pair[0], middle] {
                let r = (p[0] - 0.5).hypot(p[1] - 0.5);
                assert!((r - 0.4).abs() < 0.01, "{p:?}");
            }
        }
        let half_disc = 0.5 * std::f64::consts::PI * 0.16;
        assert!((window.usable_share - half_disc).abs() < 0.01, "{}", window.usable_share);
        assert_eq!(window.outlines.len(), 1);
    }

    #[test]
    fn out_lies_on_the_left_of_a_line() {
        let window = joined(Detail::Fine);
        // Out is outside the circle: with out on the left, the line turns clockwise.
        assert!(cell::area(&window.lines[0][0]) < 0.0);
        // Out is below y = 1/2: the line runs from right to left.
        let line = &window.lines[1][0];
        assert!(line[0][0] > line[line.len() - 1][0]);
    }
}
