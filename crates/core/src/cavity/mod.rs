//! The flow path in SI, divided into cells.

pub mod duct;
mod layers;
mod parts;
mod passage;

pub use layers::{Kind, Layers};
pub use passage::Passage;

use crate::scenario::{self, Role};
use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::PI;
use std::ops::Range;

/// A stretch of a passage over which the section is taken as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Index of the passage.
    pub passage: usize,
    /// Index of the cell that feeds it; the nozzle feeds the first.
    pub feeder: Option<usize>,
    /// Distance of its middle from the nozzle \[m\].
    pub distance: f64,
    /// Length along the flow \[m\].
    pub length: f64,
    /// Volume of one copy \[m³\].
    pub volume: f64,
    /// Area of its narrower end, one copy \[m²\].
    pub least_area: f64,
    /// Half gap, or radius, in the middle \[m\].
    pub half_gap: f64,
    /// Flow per wall stress and fluidity weight, C in Q = C τ_w Σ w φ \[m³\]: 2wH² flat, πR³ round.
    pub flow_constant: f64,
    /// Pressure drop over the cell, relative to the gradient of a wide section as in its middle times the length: taper
    /// (exact for isothermal power-law flow; tends to 1 as cells shrink), side walls, and loss at the entrance.
    pub drop_factor: f64,
    /// 1/W² with the half width W between side walls; 0 without them \[1/m²\].
    pub side: f64,
    /// Area projected on the parting plane, all copies \[m²\].
    pub projected_area: f64,
    /// Copies side by side.
    pub copies: f64,
}

impl Cell {
    /// Volume for each area of its walls, side walls included \[m\].
    pub fn volume_per_wall(&self, kind: Kind) -> f64 {
        self.half_gap / (f64::from(1 + kind.power()) + self.half_gap * self.side.sqrt())
    }

    /// Volume of all copies \[m³\].
    pub fn whole_volume(&self) -> f64 {
        self.volume * self.copies
    }
}

/// The flow path: a tree of passages, divided into cells and layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Cavity {
    /// The passages, each after the one that feeds it.
    pub passages: Vec<Passage>,
    /// The cells, passage by passage, each after the one that feeds it.
    pub cells: Vec<Cell>,
    /// Cells next to each cell: the one that feeds it, those it feeds, the one it meets.
    pub neighbours: Vec<Vec<usize>>,
    /// Cells of each passage.
    pub ranges: Vec<Range<usize>>,
    /// Last cells of the passages that nothing follows: the ends of flow, in order.
    pub ends: Vec<usize>,
    /// Ends that meet, each pair once: their last cells.
    pub welds: Vec<[usize; 2]>,
    /// Layers of flat sections.
    pub flat: Layers,
    /// Layers of round sections.
    pub round: Layers,
    /// Indices of the gates: the passages with that role that have no other gate behind them; the
    /// first passage of all stands for the gate of a part that has none.
    pub gates: Vec<usize>,
    /// Volume of the whole path, all copies \[m³\].
    pub volume: f64,
}

/// What the path has to know of the melt that flows through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flowing {
    /// Flow exponent n, with which tapers and side walls are averaged.
    pub exponent: f64,
    /// Bagley's end correction e: a sudden contraction takes the pressure of e half gaps (radii) more of the narrow
    /// section, Δp = 2τ_w (L/R + e) in a tube.
    pub entrance: f64,
    /// Exponent s of slip along the wall, if there is any.
    pub slip: Option<f64>,
}

impl Cavity {
    /// Divides a validated path.
    pub fn resolve(cavity: &scenario::Cavity, model: &scenario::Model, flowing: Flowing) -> Self {
        let passages: Vec<Passage> =
            (0..cavity.passages.len()).map(|i| Passage::resolve(cavity, i)).collect();
        let volume = passages.iter().map(|p| p.volume() * p.copies).sum();
        let (cells, ranges) = divide(&passages, model, volume, flowing);
        let feeds = |i: usize| passages.iter().any(|p| p.feeder == Some(i));
        let ends: Vec<usize> =
            (0..passages.len()).filter(|&i| !feeds(i)).map(|i| ranges[i].end - 1).collect();
        let met = |i: usize| Some([ranges[i].end - 1, ranges[passages[i].meets.filter(|&k| k > i)?].end - 1]);
        let welds: Vec<[usize; 2]> = (0..passages.len()).filter_map(met).collect();
        let of_kind = |kind: Kind| {
            let layers = Layers::new(kind, model.layers as usize);
            match flowing.slip {
                Some(exponent) => layers.slipping(exponent),
                None => layers,
            }
        };
        let mut out = Self {
            flat: of_kind(Kind::Flat),
            round: of_kind(Kind::Round),
            gates: Vec::new(),
            neighbours: neighbours(&cells, &welds),
            cells,
            ranges,
            ends,
            welds,
            volume,
            passages,
        };
        out.gates = out.find_gates();
        out
    }

    fn find_gates(&self) -> Vec<usize> {
        let is_gate = |i: &usize| self.passages[*i].role == Role::Gate;
        let all: Vec<usize> = (0..self.passages.len()).filter(is_gate).collect();
        let behind = |gate: usize| all.iter().any(|&other| self.upstream(other).any(|i| i == gate));
        let gates: Vec<usize> = all.iter().copied().filter(|&gate| !behind(gate)).collect();
        // A part that no gate closes off is closed off where the path begins.
        let gated = |i: usize| std::iter::once(i).chain(self.upstream(i)).any(|k| gates.contains(&k));
        let bare = |i: usize| self.passages[i].role == Role::Part && !gated(i);
        if gates.is_empty() || (0..self.passages.len()).any(bare) {
            return std::iter::once(0).chain(gates).collect();
        }
        gates
    }

    /// Indices of the passages that feed a passage, the nearest first.
    pub fn upstream(&self, passage: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(self.passages[passage].feeder, |&i| self.passages[i].feeder)
    }

    /// Index of the nearest gate a passage is fed through, itself included, counted in [`Self::gates`].
    pub fn gate_of(&self, passage: usize) -> Option<usize> {
        std::iter::once(passage)
            .chain(self.upstream(passage))
            .find_map(|i| self.gates.iter().position(|&gate| gate == i))
    }

    /// Indices of all gates that melt can come through to a passage, across weld lines too, counted in
    /// [`Self::gates`].
    pub fn gates_of(&self, passage: usize) -> Vec<usize> {
        let mut gates: Vec<usize> = self.gate_of(passage).into_iter().collect();
        let sides = |weld: &[usize; 2]| weld.map(|cell| self.gate_of(self.cells[cell].passage));
        // Each round follows the weld lines one further.
        for _ in 0..self.welds.len() {
            for [a, b] in self.welds.iter().map(sides) {
                for (one, other) in [(a, b), (b, a)] {
                    if let (Some(one), Some(other)) = (one, other)
                        && gates.contains(&one)
                        && !gates.contains(&other)
                    {
                        gates.push(other);
                    }
                }
            }
        }
        gates
    }

    /// Indices of the cells between the nozzle and a cell, that cell first.
    pub fn path_back(&self, cell: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(cell), |&i| self.cells[i].feeder)
    }

    /// Where the melt comes into a part: the passage that brings it and the part's own. A tube that opens into the middle
    /// of a disc is left out: it meets the far wall.
    pub fn mouths(&self) -> impl Iterator<Item = (&Passage, &Passage)> {
        self.passages.iter().filter(|part| part.role == Role::Part).filter_map(|part| {
            let gate = &self.passages[part.feeder?];
            let faces = gate.kind == Kind::Round && part.disc;
            (gate.role != Role::Part && !faces).then_some((gate, part))
        })
    }

    /// The layers of a cell.
    #[inline]
    pub fn layers(&self, cell: usize) -> &Layers {
        match self.passages[self.cells[cell].passage].kind {
            Kind::Flat => &self.flat,
            Kind::Round => &self.round,
        }
    }

    /// Index of the thickest passage among those accepted.
    pub fn thickest(&self, accept: impl Fn(Role) -> bool) -> Option<usize> {
        (0..self.passages.len())
            .filter(|&i| accept(self.passages[i].role))
            .max_by(|&a, &b| self.passages[a].thickest().total_cmp(&self.passages[b].thickest()))
    }
}

/// Cells of a gate at least. When a gate freezes is decided by melt that creeps through it and cools on the
/// way: with two cells it comes 10 % late, with six 2 %.
const GATE_CELLS: usize = 6;

/// Shares out the cells by what each passage needs: half by its share of the volume (time
/// resolution), half by its share of length over gap (thermal development), two at least.
fn divide(
    passages: &[Passage],
    model: &scenario::Model,
    volume: f64,
    flowing: Flowing,
) -> (Vec<Cell>, Vec<Range<usize>>) {
    let wanted = model.axial_cells as usize;
    let slenderness = |p: &Passage| p.length / (p.half_gap[0] + p.half_gap[1]);
    let slender: f64 = passages.iter().map(slenderness).sum();
    let mut cells: Vec<Cell> = Vec::with_capacity(wanted + passages.len());
    let mut ranges: Vec<Range<usize>> = Vec::with_capacity(passages.len());
    let mut starts: Vec<f64> = Vec::with_capacity(passages.len());
    for (index, p) in passages.iter().enumerate() {
        let start = p.feeder.map_or(0.0, |i| starts[i] + passages[i].length);
        let share = 0.5 * (p.volume() * p.copies / volume + slenderness(p) / slender);
        let least = if p.role == Role::Gate { GATE_CELLS } else { 2 };
        let count = ((share * wanted as f64).round() as usize).max(least);
        let faces: Vec<f64> = (0..=count).map(|k| p.station(k as f64 / count as f64)).collect();
        let first = cells.len();
        for (k, face) in faces.windows(2).enumerate() {
            let feeder = if k > 0 { Some(first + k - 1) } else { p.feeder.map(|i| ranges[i].end - 1) };
            cells.push(Cell { feeder, ..cell(index, p, face[0], face[1], start, flowing.exponent) });
        }
        if p.strip && model.side_walls {
            cells[first..].iter_mut().for_each(|cell| add_side_walls(cell, flowing.exponent));
        }
        let narrowing = p.feeder.map_or(1.0, |i| 1.0 - p.area_at(0.0) * p.copies / passages[i].whole_exit());
        let entrance = flowing.entrance * narrowing.max(0.0) * p.half_gap[0];
        cells[first].drop_factor *= 1.0 + entrance / cells[first].length;
        // An area that is stated is shared out as the one by the sizes would be.
        if let Some(stated) = p.stated_area {
            let area: f64 = cells[first..].iter().map(|c| c.projected_area).sum();
            cells[first..].iter_mut().for_each(|c| c.projected_area *= stated * p.copies / area);
        }
        ranges.push(first..cells.len());
        starts.push(start);
    }
    (cells, ranges)
}

fn neighbours(cells: &[Cell], welds: &[[usize; 2]]) -> Vec<Vec<usize>> {
    let mut out = vec![Vec::new(); cells.len()];
    let feeds = cells.iter().enumerate().filter_map(|(i, cell)| Some([cell.feeder?, i]));
    for [a, b] in feeds.chain(welds.iter().copied()) {
        out[a].push(b);
        out[b].push(a);
    }
    out
}

fn cell(passage: usize, p: &Passage, a: f64, b: f64, start: f64, n: f64) -> Cell {
    let middle = 0.5 * (a + b);
    let h = p.half_gap_at(middle);
    let w = p.width_at(middle);
    let length = p.length * (b - a);
    // dp/ds of power-law flow goes as (w h²)^−n h^−1 flat, R^(−3n−1) round; Gauss over the cell.
    let gradient = |f: f64| match p.kind {
        Kind::Flat => (p.width_at(f) / w * (p.half_gap_at(f) / h).powi(2)).power(-n) * h / p.half_gap_at(f),
        Kind::Round => (p.half_gap_at(f) / h).power(-3.0 * n - 1.0),
    };
    let drop_factor = gauss3(gradient, a, b);
    Cell {
        passage,
        feeder: None,
        distance: start + p.length * middle,
        length,
        volume: p.volume_between(a, b),
        least_area: p.area_at(a).min(p.area_at(b)),
        half_gap: h,
        flow_constant: match p.kind {
            Kind::Flat => 2.0 * w * h * h,
            Kind::Round => PI * h.powi(3),
        },
        drop_factor,
        side: 0.0,
        projected_area: p.projected_between(a, b) * p.copies,
        copies: p.copies,
    }
}

/// Adds side walls to a cell of a strip; its width is that of its volume.
fn add_side_walls(cell: &mut Cell, exponent: f64) {
    let width = 0.5 * cell.volume / (cell.length * cell.half_gap);
    cell.drop_factor *= duct::pressure_factor(2.0 * cell.half_gap / width, exponent);
    cell.side = 4.0 / (width * width);
}

/// Mean of `f` over [a, b] by Gauss's rule of three points.
fn gauss3(f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (m, r) = (0.5 * (a + b), 0.5 * (b - a) * 0.6_f64.sqrt());
    (5.0 * f(m - r) + 8.0 * f(m) + 5.0 * f(m + r)) / 18.0
}
