//! Mass in the cells: pvT on one side, flow on the other.

use super::density::DensityTable;
use super::network::{Network, Scratch};
use crate::cavity::Cavity;

/// Pressure deficit at which a cell would be empty \[Pa\]: stands for the void that opens where the melt
/// no longer fills its cell, so soft that a missing per cent is ten kilopascal.
const VOID: f64 = 1e6;

/// Least density of what flows, relative to the cold mixture, and least rise of a density with pressure
/// \[1/Pa\]: no constants may turn the flow around or leave a cell without a pressure.
const THINNEST: f64 = 0.2;
const LEAST_SLOPE: f64 = 1e-13;
/// Times that a step may be solved until every cell is on its own line, of melt or of void.
const MOST_PIECES: usize = 12;

/// Masses and pressures of the cells. Masses are volumes of cold mixture, all copies \[m³\]; they follow
/// from what flows and never drift, pressures follow from them.
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
    /// All that came in from the nozzle.
    pub delivered: f64,
    /// All that was there at first.
    pub first: f64,
    table: DensityTable,
    feeder: Vec<Option<usize>>,
    compliance: Vec<f64>,
    excess: Vec<f64>,
    conductance: Vec<f64>,
    /// Conductance of the cells that each cell feeds \[m³/(Pa s)\].
    beyond: Vec<f64>,
    welds: Vec<([usize; 2], f64)>,
    /// Cells that were taken as void in the last solution.
    void: Vec<bool>,
    /// Relative density without pressure and its slope, linearised, of each cell in this step.
    density: Vec<[f64; 2]>,
    /// Relative density of what flows into each cell.
    dense: Vec<f64>,
    scratch: Scratch,
}

impl Masses {
    /// Masses of a cavity filled at these temperatures and pressures.
    pub fn new(table: DensityTable, cavity: &Cavity, temperature: &[f64], pressure: Vec<f64>) -> Self {
        let cells = cavity.cells.len();
        let n = cavity.flat.count();
        let volume: Vec<f64> = cavity.cells.iter().map(|c| c.volume * c.copies).collect();
        let mass: Vec<f64> = (0..cells)
            .map(|i| {
                let t = &temperature[i * n..(i + 1) * n];
                volume[i] * table.mean(t, &cavity.layers(i).area, pressure[i]).0
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
            table,
            feeder: cavity.cells.iter().map(|c| c.feeder).collect(),
            compliance: vec![0.0; cells],
            excess: vec![0.0; cells],
            conductance: vec![0.0; cells],
            beyond: vec![0.0; cells],
            welds: cavity.welds.iter().map(|&cells| (cells, 0.0)).collect(),
            void: vec![false; cells],
            density: vec![[0.0; 2]; cells],
            dense: vec![1.0; cells],
            scratch: Scratch::default(),
        }
    }

    /// Begins a step that ends at the layers' temperatures given, or goes on with it around the pressures
    /// last solved for.
    pub fn begin(&mut self, cavity: &Cavity, temperature: &[f64]) {
        let n = cavity.flat.count();
        for i in 0..self.mass.len() {
            let t = &temperature[i * n..(i + 1) * n];
            let p = self.pressure[i].max(0.0);
            let (now, slope) = self.table.mean(t, &cavity.layers(i).area, p);
            let slope = slope.max(LEAST_SLOPE);
            self.density[i] = [now - slope * p, slope];
            // What flows has the density of the cell it comes from.
            let from = self.feeder[i].unwrap_or(i);
            let source = if self.inflow[i] >= 0.0 { from } else { i };
            self.dense[i] = (self.mass[source] / self.volume[source]).max(THINNEST);
        }
    }

    /// Solves the backward Euler step that was begun, at the cells' resistances: pressures, and what
    /// flows. May be called again with better resistances.
    pub fn solve(&mut self, resistance: &[f64], nozzle: f64, dt: f64) {
        self.beyond.fill(0.0);
        for (i, feeder) in self.feeder.iter().enumerate() {
            if let Some(from) = *feeder {
                self.beyond[from] += 1.0 / resistance[i];
            }
        }
        for i in 0..self.mass.len() {
            // Half of the feeder and half of the cell itself. Branches share their feeder's half: each
            // has as much of it to itself as its part of what flows, taken as its own conductance's.
            let before = self.feeder[i].map_or(0.0, |from| resistance[from] * self.beyond[from]);
            let open = 2.0 * dt * self.dense[i] / resistance[i];
            self.conductance[i] = if before.is_finite() { open / (1.0 + before) } else { 0.0 };
        }
        for ([a, b], g) in &mut self.welds {
            let dense = (self.mass[*a] / self.volume[*a]).max(THINNEST);
            *g = 2.0 * dt * dense / (resistance[*a] + resistance[*b]);
        }
        // A cell without pressure follows the void's line, one with pressure the melt's; which of them a
        // cell is on shows when the step is solved.
        for _ in 0..MOST_PIECES {
            self.linearise();
            let network = Network {
                feeder: &self.feeder,
                compliance: &self.compliance,
                excess: &self.excess,
                conductance: &self.conductance,
                welds: &self.welds,
                nozzle,
            };
            network.solve(&mut self.pressure, &mut self.inflow, &mut self.across, &mut self.scratch);
            let mut changed = false;
            for (void, p) in self.void.iter_mut().zip(&self.pressure) {
                changed |= std::mem::replace(void, *p < 0.0) != *void;
            }
            if !changed {
                break;
            }
        }
    }

    /// Moves the masses by what the solved step lets flow.
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

    fn linearise(&mut self) {
        for (i, &[without, slope]) in self.density.iter().enumerate() {
            let slope = if self.void[i] { without / VOID } else { slope };
            self.compliance[i] = self.volume[i] * slope;
            self.excess[i] = self.mass[i] - self.volume[i] * without;
        }
    }

    /// Mass that cell `i` holds at the layers' temperatures and a pressure, by pvT.
    pub fn holds(&self, cavity: &Cavity, i: usize, layers: &[f64], pressure: f64) -> f64 {
        self.volume[i] * self.table.mean(layers, &cavity.layers(i).area, pressure).0
    }

    /// Share of a cell that its melt leaves empty, were it without pressure.
    pub fn void_share(&self, i: usize) -> f64 {
        (-self.pressure[i] / VOID).clamp(0.0, 1.0)
    }
}
