//! Masses and pressures of the cells, from pvT and flow.

use super::density::{Chord, DensityTable};
use super::network::{Network, Scratch};
use crate::cavity::{Cavity, Cell};
use gatefrost_numerics::order::{greater, lesser};

/// Pressure deficit at which a cell would be empty \[Pa\]. It stands for the void that opens where the melt no longer
/// fills its cell, and is so soft that one missing per cent is 10 kPa.
const VOID: f64 = 1e6;

/// Least density of what flows, relative to the cold mixture: a density below zero would reverse the flow.
const THINNEST: f64 = 0.2;
/// Greatest flow into a cell for a difference of 1 Pa, in volumes of the cavity. Thinner melt needs hardly any pressure,
/// and rounding of the pressures would exceed its flow.
const THINNEST_FLOW: f64 = 1e-3;
/// Most rounds in which each cell is put on its own chord of density against pressure.
const MOST_ROUNDS: usize = 100;
/// Bound of the work: solutions for the pressures in one hold. The holds of the demos take 160 to 190.
pub(super) const MANY: u32 = 6000;
/// Most rounds beyond that bound.
const ROUGH_ROUNDS: usize = 8;

/// Masses and pressures of the cells. Masses are volumes of cold mixture, all copies \[m³\]. They are summed from the
/// flows and do not drift; pressures follow from them.
#[derive(Debug, Clone)]
pub(super) struct Masses {
    /// Volume of each cell, all copies \[m³\].
    pub volume: Vec<f64>,
    pub mass: Vec<f64>,
    /// Pressure \[Pa\]; below zero, a void: see [`VOID`].
    pub pressure: Vec<f64>,
    /// What flowed into each cell from its feeder in the last step.
    pub inflow: Vec<f64>,
    /// What flowed across each weld.
    pub across: Vec<f64>,
    /// Mass that came in from the nozzle so far.
    pub delivered: f64,
    /// Solutions for all pressures so far.
    pub solutions: u32,
    /// Mass at the start.
    pub first: f64,
    table: DensityTable,
    feeder: Vec<Option<usize>>,
    compliance: Vec<f64>,
    excess: Vec<f64>,
    conductance: Vec<f64>,
    /// Conductance of the cells that each cell feeds \[m³/(Pa s)\].
    beyond: Vec<f64>,
    welds: Vec<([usize; 2], f64)>,
    /// Density of each cell against pressure in this step, on the chord it is on.
    lines: Vec<Piece>,
    /// Relative density of what flows into each cell.
    dense: Vec<f64>,
    scratch: Scratch,
}

/// A chord of the density of a cell against pressure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Piece {
    /// Its number in the table.
    stretch: usize,
    chord: Chord,
    /// Whether the cell is without pressure and partly empty.
    void: bool,
    /// Most chords that it may move by in a round, and whether its last move was to a higher pressure.
    leap: usize,
    risen: Option<bool>,
}

impl Piece {
    /// The chord that the cell is on.
    fn chord(&self) -> Chord {
        if self.void { Chord { slope: self.chord.at_zero / VOID, ..self.chord } } else { self.chord }
    }
}

impl Masses {
    /// Masses of a cavity filled at these temperatures and pressures.
    pub fn new(table: DensityTable, cavity: &Cavity, temperature: &[f64], pressure: Vec<f64>) -> Self {
        let cells = cavity.cells.len();
        let n = cavity.flat.count();
        let volume: Vec<f64> = cavity.cells.iter().map(Cell::whole_volume).collect();
        let mass: Vec<f64> = (0..cells)
            .map(|i| {
                let t = &temperature[i * n..(i + 1) * n];
                let chord = table.mean(t, &cavity.layers(i).area, table.stretch(pressure[i]));
                volume[i] * chord.at(pressure[i])
            })
            .collect();
        Self {
            first: mass.iter().sum(),
            volume,
            mass,
            pressure,
            inflow: vec![0.0; cells],
            across: vec![0.0; cavity.welds.len()],
            delivered: 0.0,
            solutions: 0,
            table,
            feeder: cavity.cells.iter().map(|c| c.feeder).collect(),
            compliance: vec![0.0; cells],
            excess: vec![0.0; cells],
            conductance: vec![0.0; cells],
            beyond: vec![0.0; cells],
            welds: cavity.welds.iter().map(|&cells| (cells, 0.0)).collect(),
            lines: vec![Piece::default(); cells],
            dense: vec![1.0; cells],
            scratch: Scratch::default(),
        }
    }

    /// Begins a step that ends at the layers' temperatures given.
    pub fn begin(&mut self, cavity: &Cavity, temperature: &[f64]) {
        let n = cavity.flat.count();
        for i in 0..self.mass.len() {
            let void = self.pressure[i] < 0.0;
            let stretch = self.table.stretch(greater(self.pressure[i], 0.0));
            let t = &temperature[i * n..(i + 1) * n];
            let chord = self.table.mean(t, &cavity.layers(i).area, stretch);
            self.lines[i] = Piece { stretch, chord, void, ..Piece::default() };
        }
    }

    /// Solves the backward Euler step that was begun, with the resistances of the cells given, for pressures and flows.
    /// May be called again with better resistances.
    ///
    /// Density against pressure is a chain of chords, that of the void first. Each round solves with every cell on the
    /// chord where it was last found. Where the chain bends down, as that of melt does at the void and under pressure,
    /// the pressures rise from round to round and never pass the solution (Newton's method on a concave rise with an
    /// M-matrix). Where it bends up, as where a binder sets under pressure, a cell may go back and forth: each time it
    /// turns, the number of chords that it may move by is halved.
    pub fn solve(&mut self, cavity: &Cavity, temperature: &[f64], resistance: &[f64], nozzle: f64, dt: f64) {
        self.conduct(resistance, dt);
        for piece in &mut self.lines {
            (piece.leap, piece.risen) = (usize::MAX, None);
        }
        for _ in 0..if self.is_rough() { ROUGH_ROUNDS } else { MOST_ROUNDS } {
            self.solutions += 1;
            for (i, piece) in self.lines.iter().enumerate() {
                let chord = piece.chord();
                self.compliance[i] = self.volume[i] * chord.slope;
                self.excess[i] = self.mass[i] - self.volume[i] * chord.at_zero;
            }
            let network = Network {
                feeder: &self.feeder,
                compliance: &self.compliance,
                excess: &self.excess,
                conductance: &self.conductance,
                welds: &self.welds,
                nozzle,
            };
            network.solve(&mut self.pressure, &mut self.inflow, &mut self.across, &mut self.scratch);
            if !self.change_pieces(cavity, temperature) {
                break;
            }
        }
    }

    /// Whether the work has passed its bound. From there on cells may stay off their own chord, so that every hold
    /// ends.
    pub fn is_rough(&self) -> bool {
        self.solutions > MANY
    }

    /// Conductances between cells over a step, in mass.
    fn conduct(&mut self, resistance: &[f64], dt: f64) {
        let most = THINNEST_FLOW * self.volume.iter().sum::<f64>();
        self.beyond.fill(0.0);
        for (i, feeder) in self.feeder.iter().enumerate() {
            // What flows has the density of the cell it comes from.
            let from = feeder.unwrap_or(i);
            let source = if self.inflow[i] >= 0.0 { from } else { i };
            self.dense[i] = greater(self.mass[source] / self.volume[source], THINNEST);
            if let Some(from) = *feeder {
                self.beyond[from] += 1.0 / resistance[i];
            }
        }
        for i in 0..self.mass.len() {
            // Half of the feeder and half of the cell itself. Branches share the half of their feeder in proportion to
            // their conductances.
            let before = self.feeder[i].map_or(0.0, |from| resistance[from] * self.beyond[from]);
            let open = 2.0 * dt * self.dense[i] / resistance[i];
            self.conductance[i] = if before.is_finite() { lesser(most, open / (1.0 + before)) } else { 0.0 };
        }
        for ([a, b], g) in &mut self.welds {
            let dense = (self.mass[*a] / self.volume[*a]).max(THINNEST);
            *g = (2.0 * dt * dense / (resistance[*a] + resistance[*b])).min(most);
        }
    }

    /// Puts every cell on the chord that holds its pressure, or on one nearer to it; returns whether any cell moved.
    fn change_pieces(&mut self, cavity: &Cavity, temperature: &[f64]) -> bool {
        let n = cavity.flat.count();
        let mut changed = false;
        for (i, piece) in self.lines.iter_mut().enumerate() {
            let p = self.pressure[i];
            let void = p < 0.0;
            let aim = self.table.stretch(greater(p, 0.0));
            if void == piece.void && aim == piece.stretch {
                continue;
            }
            changed = true;
            // The void lies below the first chord.
            let rises = aim > piece.stretch || piece.void;
            if piece.risen.is_some_and(|risen| risen != rises) {
                piece.leap = (piece.leap.min(self.table.stretches()) / 2).max(1);
            }
            piece.risen = Some(rises);
            let furthest =
                [piece.stretch.saturating_sub(piece.leap), piece.stretch.saturating_add(piece.leap)];
            let stretch = aim.clamp(furthest[0], furthest[1]);
            if stretch != piece.stretch {
                let t = &temperature[i * n..(i + 1) * n];
                piece.chord = self.table.mean(t, &cavity.layers(i).area, stretch);
                piece.stretch = stretch;
            }
            piece.void = void && stretch == 0;
        }
        changed
    }

    /// Moves the masses by the flows of the solved step.
    pub fn commit(&mut self) {
        self.delivered += self.inflow[0];
        for i in 0..self.mass.len() {
            self.mass[i] += self.inflow[i];
            if let Some(from) = self.feeder[i] {
                self.mass[from] -= self.inflow[i];
            }
        }
        for (([a, b], _), across) in self.welds.iter().zip(&self.across) {
            self.mass[*a] -= across;
            self.mass[*b] += across;
        }
    }

    /// Mass that cell `i` would hold at the layers' temperatures \[K\] and a pressure \[Pa\], by pvT.
    pub fn holds(&self, cavity: &Cavity, i: usize, layers: &[f64], pressure: f64) -> f64 {
        let stretch = self.table.stretch(pressure);
        self.volume[i] * self.table.mean(layers, &cavity.layers(i).area, stretch).at(pressure)
    }

    /// Relative density of cell `i` without pressure at the layers' temperatures \[K\], middle first, and the share of its
    /// volume that it loses while the layers above a temperature come down to it.
    pub fn unpressed(&self, cavity: &Cavity, i: usize, layers: &[f64], until: f64) -> [f64; 2] {
        let area = &cavity.layers(i).area;
        let density = |t: &[f64], area: &[f64]| self.table.mean(t, area, 0).at_zero;
        let soft = layers.iter().rposition(|&t| t > until).map_or(0, |last| last + 1);
        let share: f64 = area[..soft].iter().sum();
        let lost = share - density(&layers[..soft], &area[..soft]) / density(&[until], &[1.0]);
        [density(layers, area), lost.max(0.0)]
    }

    /// Flow into cell `i` in the last step, of `dt`, by volume of the melt \[m³/s\].
    pub fn flow(&self, i: usize, dt: f64) -> f64 {
        self.inflow[i] / (self.dense[i] * dt)
    }

    /// Share of a cell that its melt leaves empty without pressure.
    pub fn void_share(&self, i: usize) -> f64 {
        (-self.pressure[i] / VOID).clamp(0.0, 1.0)
    }
}
