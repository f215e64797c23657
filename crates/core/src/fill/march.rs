//! The state of a fill and one step of it.

use super::conduction::{self, Step};
use super::section::{self, Profile};
use crate::cavity::Cavity;
use crate::feedstock::Material;

/// What a fill is driven by, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Melt temperature at the nozzle \[K\].
    pub melt: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
    /// Contact conductance \[W/m²K\].
    pub contact: f64,
    /// Set flow rate \[m³/s\].
    pub rate: f64,
    /// Greatest nozzle pressure \[Pa\].
    pub max_pressure: f64,
    /// Whether dissipation heats the melt.
    pub heating: bool,
}

/// How far what leaves a cell is ahead of its mean, as a share of the change from what arrived:
/// 0 is the upwind scheme, 1 the box scheme. One half takes half of the axial numerical diffusion
/// away, and an alternation that a steep inlet may cause dies to a third from cell to cell.
const LOOK_AHEAD: f64 = 0.5;

/// Running balances of heat above the wall temperature \[J\].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Volume delivered \[m³\].
    pub delivered: f64,
    /// Brought by the melt.
    pub inflow: f64,
    /// Brought by dissipation.
    pub dissipated: f64,
    /// Lost to the wall.
    pub lost: f64,
}

/// The melt in the path at one instant. Lists run over the cells up to and including the front's.
#[derive(Debug, Clone)]
pub struct March<'a> {
    material: &'a Material,
    cavity: &'a Cavity,
    drive: Drive,
    layers: usize,
    /// Cells that are full; the front stands in the next one.
    pub full: usize,
    /// Share of the front's cell that is full.
    pub fraction: f64,
    /// Time since injection began \[s\].
    pub time: f64,
    /// Temperature of what the front lays down \[K\].
    pub front_temperature: f64,
    /// Hottest temperature met so far \[K\].
    pub hottest: f64,
    /// Share of the needed pressure that the machine has, at most 1. Beyond its limit the need is
    /// computed on without the heat and the force that no machine could put in, so that every margin
    /// stays continuous and sensible there.
    pub within_machine: f64,
    /// Balances so far.
    pub balance: Balance,
    /// Layer temperatures, cell by cell \[K\].
    pub temperature: Vec<f64>,
    /// Wall stress of each cell.
    pub stress: Vec<section::Stress>,
    /// Pressure drop over each cell, were it full \[Pa\].
    pub drop: Vec<f64>,
    /// Pressure in the middle of each cell \[Pa\].
    pub pressure: Vec<f64>,
    /// Greatest shear rate over the gap of each cell, at any time so far \[1/s\].
    pub greatest_rate: Vec<f64>,
    /// Layer temperatures of what leaves each cell \[K\].
    leaving: Vec<f64>,
    psi: Vec<f64>,
    heat: Vec<f64>,
    scratch: Scratch,
}

/// Buffers of one section, kept to avoid allocation in the loop.
#[derive(Debug, Clone)]
struct Scratch {
    mobility: Vec<f64>,
    slopes: Vec<(f64, f64)>,
    carried: Vec<f64>,
    inflow: Vec<(f64, f64)>,
    outflow: Vec<f64>,
    heat: Vec<f64>,
    eliminated: Vec<f64>,
}

impl<'a> March<'a> {
    /// An empty path.
    pub fn new(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Self {
        let cells = cavity.cells.len();
        let layers = cavity.flat.count();
        Self {
            material,
            cavity,
            drive,
            layers,
            full: 0,
            fraction: 0.0,
            time: 0.0,
            front_temperature: drive.melt,
            hottest: drive.melt,
            within_machine: 1.0,
            balance: Balance::default(),
            temperature: vec![drive.melt; cells * layers],
            stress: vec![
                section::Stress { log: material.viscosity.reference_stress().ln(), slope: 1.0 };
                cells
            ],
            drop: vec![0.0; cells],
            pressure: vec![0.0; cells],
            greatest_rate: vec![0.0; cells],
            leaving: vec![drive.melt; cells * layers],
            psi: vec![0.0; cells * (layers + 1)],
            heat: vec![0.0; cells * layers],
            scratch: Scratch {
                mobility: vec![0.0; layers],
                slopes: vec![(0.0, 0.0); layers],
                carried: vec![0.0; layers],
                inflow: vec![(0.0, 0.0); layers],
                outflow: vec![0.0; layers],
                heat: vec![0.0; layers],
                eliminated: vec![0.0; layers],
            },
        }
    }

    /// Whether every cell is full.
    pub fn is_full(&self) -> bool {
        self.full == self.cavity.cells.len()
    }

    /// Cells that hold melt.
    fn wet(&self) -> usize {
        self.full + usize::from(self.fraction > 0.0)
    }

    /// Share of a cell that is full.
    fn share(&self, cell: usize) -> f64 {
        if cell < self.full { 1.0 } else { self.fraction }
    }

    /// Volume still empty in the front's cell, all copies \[m³\].
    pub fn room(&self) -> f64 {
        let cell = &self.cavity.cells[self.full];
        cell.volume * cell.copies * (1.0 - self.fraction)
    }

    /// Volume filled so far, all copies \[m³\].
    pub fn volume(&self) -> f64 {
        (0..self.wet())
            .map(|i| self.share(i) * self.cavity.cells[i].volume * self.cavity.cells[i].copies)
            .sum()
    }

    /// Solves the flow in every wet cell at the rate `q` and sets their pressures, from the front
    /// back to the nozzle; returns the pressure at the nozzle \[Pa\] and d ln p/d ln q.
    pub fn flow(&mut self, q: f64) -> (f64, f64) {
        let (mut pressure, mut rise) = (0.0, 0.0);
        for i in (0..self.wet()).rev() {
            let share = self.share(i);
            self.solve_cell(i, q, pressure + 0.5 * share * self.drop[i]);
            let drop = share * self.drop[i];
            self.pressure[i] = pressure + 0.5 * drop;
            pressure += drop;
            rise += drop / self.stress[i].slope;
        }
        self.within_machine = (self.drive.max_pressure / pressure.max(f64::MIN_POSITIVE)).min(1.0);
        (pressure, if pressure > 0.0 { rise / pressure } else { 1.0 })
    }

    /// Flow of one cell at a pressure: stress, profile, pressure drop.
    fn solve_cell(&mut self, i: usize, q: f64, pressure: f64) {
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        let log_reference = self.material.viscosity.reference_stress().ln();
        let range = i * self.layers..(i + 1) * self.layers;
        for (a, &t) in self.scratch.mobility.iter_mut().zip(&self.temperature[range.clone()]) {
            *a = self.material.mobility(t, pressure);
        }
        let flow = q / cell.copies / cell.flow_constant;
        let fluidity = &mut self.scratch.mobility;
        let curve = &self.material.curve;
        let slopes = &mut self.scratch.slopes;
        let guess = self.stress[i].log;
        let stress = section::solve_stress(layers, curve, log_reference, fluidity, slopes, flow, guess);
        let mut out = Profile {
            psi: &mut self.psi[i * (self.layers + 1)..(i + 1) * (self.layers + 1)],
            heat: &mut self.heat[range],
        };
        let greatest = section::profile(layers, fluidity, &mut out) * stress.log.exp();
        self.greatest_rate[i] = self.greatest_rate[i].max(greatest);
        self.stress[i] = stress;
        // Force balance: G = τ_w/H flat, 2τ_w/R round.
        let gradient = f64::from(1 + layers.kind.power()) * stress.log.exp() / cell.half_gap;
        self.drop[i] = gradient * cell.taper_factor * cell.length;
    }

    /// Rate at which the nozzle pressure is `limit`, from the guess `q` downwards, and the state
    /// solved at that rate.
    pub fn flow_at_pressure(&mut self, limit: f64, q: f64) -> f64 {
        let mut log_q = q.ln();
        for _ in 0..40 {
            let (pressure, rise) = self.flow(log_q.exp());
            let step = (pressure / limit).ln() / rise;
            if !step.is_finite() || step.abs() < 1e-6 {
                break;
            }
            log_q -= step.clamp(-12.0, 12.0);
        }
        log_q.exp()
    }

    /// Lets the volume `volume` in at the rate `q`, with the flow solved for `q` before.
    pub fn advance(&mut self, q: f64, volume: f64) {
        let dt = volume / q;
        let heat_in = self.material.volumetric_heat() * (self.drive.melt - self.drive.wall) * volume;
        if self.fraction == 0.0 {
            self.open_front_cell(q);
        }
        for i in 0..self.full {
            self.bring_inflow(i);
            self.conduct(i, q, dt, None);
        }
        let front = self.full;
        let cell = &self.cavity.cells[front];
        let added = volume / (cell.volume * cell.copies);
        self.bring_inflow(front);
        self.deposit(front, added);
        self.conduct(front, q, dt, Some(added));
        self.fraction += added;
        // The last volume asked for is the room of the cell, to rounding.
        if self.fraction > 1.0 - 1e-9 {
            self.full += 1;
            self.fraction = 0.0;
        }
        self.time += dt;
        self.balance.delivered += volume;
        self.balance.inflow += heat_in;
    }

    /// Gives a cell the front has just reached a temperature and a profile to start from.
    fn open_front_cell(&mut self, q: f64) {
        let front = self.full;
        let range = front * self.layers..(front + 1) * self.layers;
        self.temperature[range].fill(self.front_temperature);
        if front > 0 && self.cavity.cells[front].passage == self.cavity.cells[front - 1].passage {
            self.stress[front] = self.stress[front - 1];
        }
        self.solve_cell(front, q, 0.0);
    }

    /// Temperature at which the flow enters each layer of a cell.
    fn bring_inflow(&mut self, i: usize) {
        let n = self.layers;
        if i == 0 {
            self.scratch.carried.fill(self.drive.melt);
            return;
        }
        section::carry(
            &self.psi[(i - 1) * (n + 1)..i * (n + 1)],
            &self.leaving[(i - 1) * n..i * n],
            &self.psi[i * (n + 1)..(i + 1) * (n + 1)],
            &mut self.scratch.carried,
        );
    }

    /// Fountain flow: layers faster than the front bring their own temperature up to it; what they
    /// bring too much turns over to the wall at its mean, T_f = ∫(u−U)T dA/∫(u−U)dA over u > U.
    fn deposit(&mut self, i: usize, added: f64) {
        let layers = self.cavity.layers(i);
        let psi = &self.psi[i * (self.layers + 1)..(i + 1) * (self.layers + 1)];
        let (mut excess, mut carried) = (0.0, 0.0);
        for j in 0..self.layers {
            let more = psi[j + 1] - psi[j] - layers.area[j];
            if more > 0.0 {
                excess += more;
                carried += more * self.scratch.carried[j];
            }
        }
        if excess > 0.0 {
            self.front_temperature = carried / excess;
        }
        for j in 0..self.layers {
            let flow = psi[j + 1] - psi[j];
            let area = layers.area[j];
            let own = (flow / area).min(1.0);
            let laid = own * self.scratch.carried[j] + (1.0 - own) * self.front_temperature;
            self.scratch.inflow[j] = (added * area, laid);
            self.scratch.outflow[j] = 0.0;
        }
    }

    /// One thermal step of a cell: a full one with flow through it, or the front's with `added`
    /// laid down in it.
    fn conduct(&mut self, i: usize, q: f64, dt: f64, added: Option<f64>) {
        let n = self.layers;
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        let through = q / cell.copies * dt / cell.volume;
        if added.is_none() {
            let psi = &self.psi[i * (n + 1)..(i + 1) * (n + 1)];
            for j in 0..n {
                // Out goes T + ahead (T − T_in): both sides of the balance grow by the same factor.
                let flow = (1.0 + LOOK_AHEAD) * through * (psi[j + 1] - psi[j]);
                self.scratch.inflow[j] = (flow, self.scratch.carried[j]);
                self.scratch.outflow[j] = flow;
            }
        }
        let before = self.share(i);
        let after = before + added.unwrap_or(0.0);
        let heat = self.material.volumetric_heat();
        let drop = if self.drive.heating { self.drop[i] * self.within_machine } else { 0.0 };
        let power = 0.5 * (before + after) * drop * through / heat;
        for (h, share) in self.scratch.heat.iter_mut().zip(&self.heat[i * n..(i + 1) * n]) {
            *h = power * share;
        }
        let h = cell.half_gap;
        let step = Step {
            layers,
            before,
            after,
            fourier: self.material.diffusivity() * dt / (h * h),
            biot: self.drive.contact * h / self.material.conductivity,
            wall: self.drive.wall,
        };
        let temperature = &mut self.temperature[i * n..(i + 1) * n];
        let s = &mut self.scratch;
        let lost = conduction::step(&step, temperature, &s.inflow, &s.outflow, &s.heat, &mut s.eliminated);
        // What the front lays down leaves as it is: nothing has flowed through it yet.
        let ahead = if added.is_none() { LOOK_AHEAD } else { 0.0 };
        let leaving = &mut self.leaving[i * n..(i + 1) * n];
        for ((out, &t), &arrived) in leaving.iter_mut().zip(temperature.iter()).zip(&s.carried) {
            *out = t + ahead * (t - arrived);
            if t > self.hottest {
                self.hottest = t;
            }
        }
        let scale = heat * cell.volume * cell.copies;
        self.balance.lost += lost * scale;
        self.balance.dissipated += power * scale;
    }

    /// Heat stored above the wall temperature \[J\].
    pub fn stored(&self) -> f64 {
        let heat = self.material.volumetric_heat();
        (0..self.wet())
            .map(|i| {
                let cell = &self.cavity.cells[i];
                let above = self.mean_temperature(i) - self.drive.wall;
                heat * self.share(i) * cell.volume * cell.copies * above
            })
            .sum()
    }

    /// Layer temperatures of a cell, middle to wall \[K\].
    pub fn layer_temperatures(&self, i: usize) -> &[f64] {
        &self.temperature[i * self.layers..(i + 1) * self.layers]
    }

    /// Mean temperature of a cell over its area \[K\].
    pub fn mean_temperature(&self, i: usize) -> f64 {
        let area = &self.cavity.layers(i).area;
        self.layer_temperatures(i).iter().zip(area).map(|(t, a)| t * a).sum()
    }

    /// Pressure at the entry of the gate \[Pa\].
    pub fn gate_pressure(&self) -> f64 {
        let first = self.cavity.cells.iter().position(|c| c.passage == self.cavity.gate).unwrap_or(0);
        if first < self.wet() {
            self.pressure[first] + 0.5 * self.share(first) * self.drop[first]
        } else {
            0.0
        }
    }

    /// Distance of the front from the nozzle \[m\].
    pub fn front_distance(&self) -> f64 {
        let reach = |i: usize, share: f64| {
            let cell = &self.cavity.cells[i];
            cell.distance + (share - 0.5) * cell.length
        };
        match self.full {
            0 if self.fraction == 0.0 => 0.0,
            full if self.fraction == 0.0 => reach(full - 1, 1.0),
            full => reach(full, self.fraction),
        }
    }

    /// Force that opens the mould within the machine's pressure, ∫p dA over the projected area \[N\].
    pub fn opening_force(&self) -> f64 {
        (0..self.wet())
            .map(|i| self.pressure[i] * self.share(i) * self.cavity.cells[i].projected_area)
            .sum::<f64>()
            * self.within_machine
    }
}
