//! Heat of one step of a fill: what flows into a cell, what the front lays down, what the wall takes.

use super::conduction::Section;
use super::march::March;
use super::section;
use crate::wall::{Side, StepOfSteel, Wall};
use gatefrost_numerics::order::{greater, lesser};

/// How far what leaves a cell is ahead of its mean, as a share of the change from what arrived:
/// 0 is the upwind scheme, 1 the box scheme. One half takes half of the axial numerical diffusion
/// away, and an alternation that a steep inlet may cause dies to a third from cell to cell.
const LOOK_AHEAD: f64 = 0.5;

/// Greatest temperature that is reported \[K\]: 1000 °C, far above the onset of any binder's decomposition. Hotter
/// melt is shown as this hot.
const GREATEST_TEMPERATURE: f64 = 1273.15;

impl March<'_> {
    /// Heat content with which the flow enters each layer of a cell.
    pub(super) fn bring_inflow(&mut self, i: usize) {
        let n = self.layers;
        let Some(from) = self.feeder[i] else {
            self.scratch.carried.fill(self.material.heat.of(self.drive.melt));
            self.scratch.side = Side::default();
            return;
        };
        let within = self.cavity.cells[from].passage == self.cavity.cells[i].passage;
        self.scratch.side = if within { self.side[from] } else { Side::default() };
        if self.rate[i] <= 0.0 {
            // Nothing flows. The melt that stands there is taken as the melt that arrives.
            self.scratch.carried.copy_from_slice(&self.content[i * n..(i + 1) * n]);
            return;
        }
        section::carry(
            &self.psi[from * (n + 1)..(from + 1) * (n + 1)],
            &self.leaving[from * n..(from + 1) * n],
            &self.psi[i * (n + 1)..(i + 1) * (n + 1)],
            &mut self.scratch.carried,
        );
    }

    /// Fountain flow: layers faster than the front bring their own heat up to it; what they bring too
    /// much turns over to the wall at its mean, T_f = ∫(u−U)T dA/∫(u−U)dA over u > U.
    pub(super) fn deposit(&mut self, front: usize, added: f64) {
        let i = self.fronts[front].cell;
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
        let front = &mut self.fronts[front];
        if excess > 0.0 {
            front.content = carried / excess;
            front.temperature = self.material.heat.temperature(front.content);
        }
        self.laid[i] = front.content;
        self.coldest_front = self.coldest_front.min(front.temperature);
        for j in 0..self.layers {
            let flow = psi[j + 1] - psi[j];
            let area = layers.area[j];
            let own = lesser(1.0, flow / area);
            let laid = own * self.scratch.carried[j] + (1.0 - own) * front.content;
            self.scratch.inflow[j] = (added * area, laid);
            self.scratch.outflow[j] = 0.0;
        }
    }

    /// What a cell meets at its walls in a step: what is in it is mixed from volumes of its own melt and of what comes.
    fn meet_wall(&mut self, i: usize, dt: f64, time: f64, [own, added]: [f64; 2]) -> Wall {
        let cell = &self.cavity.cells[i];
        let mut wall =
            Wall { contact: self.drive.contact.conductance, temperature: self.drive.wall, sink: 0.0 };
        if let Some(kernel) = self.kernels.get(cell.passage) {
            if self.steel_step.time != dt {
                self.steel_step = StepOfSteel::new(dt);
            }
            let step = &self.steel_step;
            wall.warm(self.steel[i].without(step), step.resistance(kernel));
        }
        if cell.side > 0.0 {
            self.side[i].mix(own, added, self.scratch.side);
            let full = if self.share[i] < 1.0 { own + added } else { 1.0 };
            let fourier = self.material.diffusivity() * time * cell.side / full;
            let biot = wall.contact / (self.material.conductivity * cell.side.sqrt());
            wall.sink = full * self.side[i].cool(fourier, biot);
        }
        wall
    }

    /// How far what leaves a cell is ahead of its mean: less, and in the end nothing, where the cell loses more heat to
    /// its walls than flows through it. What left it would be colder than the walls.
    fn look_ahead(&self, i: usize, time: f64, wall: &Wall, through: f64) -> f64 {
        let cell = &self.cavity.cells[i];
        // Rate of the slowest mode of a slab with a contact, as resistances in series.
        let inside = self.material.diffusivity() / (cell.half_gap * cell.half_gap);
        let contact = wall.contact / (self.material.volumetric_heat() * cell.half_gap);
        let cooled = time / (0.4 / inside + 1.0 / contact) + wall.sink;
        LOOK_AHEAD * (2.0 - cooled / greater(through, 1e-12)).clamp(0.0, 1.0)
    }

    /// One thermal step of a cell: a full one with flow through it, or a front's with `added` laid down
    /// in it.
    pub(super) fn conduct(&mut self, i: usize, dt: f64, added: Option<f64>) {
        let n = self.layers;
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        let through = self.rate[i] / cell.copies * dt / cell.volume;
        let before = self.share[i];
        let after = before + added.unwrap_or(0.0);
        // As long as it was full.
        let time = 0.5 * (before + after) * dt;
        let mixed = added.map_or([1.0, through], |added| [before, added]);
        let wall = self.meet_wall(i, dt, time, mixed);
        let ahead = if added.is_none() { self.look_ahead(i, time, &wall, through) } else { 0.0 };
        let cell = &self.cavity.cells[i];
        if added.is_none() {
            let psi = &self.psi[i * (n + 1)..(i + 1) * (n + 1)][..n + 1];
            let s = &mut self.scratch;
            let (inflow, outflow, carried) = (&mut s.inflow[..n], &mut s.outflow[..n], &s.carried[..n]);
            for j in 0..n {
                // Out goes Θ + ahead (Θ − Θ_in): both sides of the balance grow by the same factor.
                let flow = (1.0 + ahead) * through * (psi[j + 1] - psi[j]);
                inflow[j] = (flow, carried[j]);
                outflow[j] = flow;
            }
        }
        let heat = self.material.volumetric_heat();
        // The flow is known at the start of the step. Melt that is too stiff to go on would heat itself in this
        // step by a pressure that is not there.
        let drop = lesser(self.drive.max_pressure, 0.5 * (before + after) * self.drop[i]);
        let power = if self.drive.heating { drop * through / heat } else { 0.0 };
        let range = i * n..(i + 1) * n;
        let (temperature, content) = (&mut self.temperature[range.clone()], &mut self.content[range.clone()]);
        let s = &mut self.scratch;
        // Slices of one known length, so that the loop needs no further checks.
        let (area, heated, held) = (&layers.area[..n], &self.heat[range.clone()][..n], &content[..n]);
        let (inflow, outflow) = (&s.inflow[..n], &s.outflow[..n]);
        let (weight, right) = (&mut s.weight[..n], &mut s.right[..n]);
        for j in 0..n {
            let (volume, arriving) = inflow[j];
            weight[j] = after * area[j] + outflow[j];
            right[j] = before * area[j] * held[j] + volume * arriving + power * heated[j];
        }
        let section = Section::new(self.material, layers, cell.half_gap, time, wall);
        let lost = section.solve(&s.weight, &s.right, temperature, content, &mut s.eliminated);
        if let Some(kernel) = self.kernels.get(cell.passage) {
            // Heat per wetted area and time.
            let flux = lost * heat * cell.volume_per_wall(layers.kind) / time;
            self.steel[i].take(&self.steel_step, kernel, flux);
        }
        // What the front lays down leaves as it is: nothing has flowed through it yet.
        let leaving = &mut self.leaving[range];
        for ((out, &now), &arrived) in leaving.iter_mut().zip(content.iter()).zip(&s.carried) {
            *out = now + ahead * (now - arrived);
        }
        self.hottest = lesser(temperature.iter().copied().fold(self.hottest, greater), GREATEST_TEMPERATURE);
        let scale = heat * cell.volume * cell.copies;
        self.balance.lost += lost * scale;
        self.balance.dissipated += power * scale;
    }
}
