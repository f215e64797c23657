//! Heat that the packing flow carries along.

use super::state::State;
use super::{FURTHER, GAMMA};
use crate::cavity::Cavity;
use crate::fill::conduction::Section;
use crate::fill::section::{self, Profile};
use crate::wall::{Side, Wall};
use gatefrost_numerics::lanes::dot;
use gatefrost_numerics::order::lesser;

/// A flow of less than this share of either cell's volume in a step carries no heat.
const STIRRED: f64 = 3e-4;

/// Where the flow into a cell comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Source {
    Nozzle,
    Cell(usize),
}

/// Carries heat from cell to cell, implicitly upwind, in the order of the flow.
#[derive(Debug, Clone)]
pub(super) struct Convection {
    psi: Vec<f64>,
    heat: Vec<f64>,
    /// Scratch space for eight numbers a layer.
    rows: Vec<f64>,
    /// Volume that flows into each cell and out of it.
    flows: Vec<[f64; 2]>,
    /// Mean heat content of what flows out of each cell that was stirred \[K\].
    flowing: Vec<f64>,
    sources: Vec<Vec<(Source, f64)>>,
    order: Vec<usize>,
    waiting: Vec<usize>,
}

impl Convection {
    pub fn new(cavity: &Cavity) -> Self {
        let (cells, n) = (cavity.cells.len(), cavity.flat.count());
        Self {
            psi: vec![0.0; cells * (n + 1)],
            heat: vec![0.0; cells * n],
            rows: vec![0.0; 8 * n],
            flows: vec![[0.0; 2]; cells],
            flowing: vec![0.0; cells],
            sources: vec![Vec::new(); cells],
            order: Vec::with_capacity(cells),
            waiting: vec![0; cells],
        }
    }

    /// Mixes what flowed into each cell in the last step with what was there, layer by layer along the profile of the
    /// flow, and adds the heat of dissipation.
    pub fn carry(&mut self, t: &mut State<'_>, dt: f64) {
        self.collect(t);
        self.sort(t);
        let melt = t.material.heat.of(t.drive.melt);
        for k in 0..self.order.len() {
            self.stir(self.order[k], melt, t, dt);
        }
        self.settle_balance(melt, t);
    }

    /// Collects which cells feed which, and with how much.
    fn collect(&mut self, t: &State<'_>) {
        let m = &t.masses;
        self.flows.fill([0.0; 2]);
        self.sources.iter_mut().for_each(Vec::clear);
        let mut add = |from: Source, to: Option<usize>, moved: f64| {
            // One decision for both cells, so that what one gives up the other receives.
            let cells = [if let Source::Cell(i) = from { Some(i) } else { None }, to];
            let smaller = cells.into_iter().flatten().map(|i| m.volume[i]).fold(f64::INFINITY, lesser);
            if moved < STIRRED * smaller {
                return;
            }
            if let Source::Cell(i) = from {
                self.flows[i][1] += moved;
            }
            if let Some(i) = to {
                self.flows[i][0] += moved;
                self.sources[i].push((from, moved));
            }
        };
        for (i, &moved) in m.inflow.iter().enumerate() {
            let feeder = t.cavity.cells[i].feeder;
            if moved > 0.0 {
                add(feeder.map_or(Source::Nozzle, Source::Cell), Some(i), moved);
            } else if moved < 0.0 {
                add(Source::Cell(i), feeder, -moved);
            }
        }
        for (&[a, b], &moved) in t.cavity.welds.iter().zip(&m.across) {
            let (from, to) = if moved >= 0.0 { (a, b) } else { (b, a) };
            add(Source::Cell(from), Some(to), moved.abs());
        }
    }

    /// Sorts the cells in the order of the flow: each after all that feed it. Flow goes from higher to lower pressure, so
    /// there is no loop.
    fn sort(&mut self, t: &State<'_>) {
        self.order.clear();
        let cells = self.sources.len();
        let forward = t.masses.inflow.iter().all(|&q| q >= 0.0) && t.cavity.welds.is_empty();
        if forward {
            self.order.extend(0..cells);
            return;
        }
        for (waiting, sources) in self.waiting.iter_mut().zip(&self.sources) {
            *waiting = sources.iter().filter(|(from, _)| *from != Source::Nozzle).count();
        }
        self.order.extend((0..cells).filter(|&i| self.waiting[i] == 0));
        let mut k = 0;
        while let Some(&done) = self.order.get(k) {
            for &next in &t.cavity.neighbours[done] {
                if self.sources[next].iter().any(|(from, _)| *from == Source::Cell(done)) {
                    self.waiting[next] -= 1;
                    if self.waiting[next] == 0 {
                        self.order.push(next);
                    }
                }
            }
            k += 1;
        }
    }

    /// Mixes one cell.
    ///
    /// In one step a gate is flushed and cooled many times over, and the two nearly balance. Neither alone would tell when
    /// it freezes, so they are solved together from the start of the step, in the two stages of conduction; the result of
    /// conduction alone is replaced.
    fn stir(&mut self, i: usize, melt: f64, t: &mut State<'_>, dt: f64) {
        let n = t.layers;
        let volume = t.masses.volume[i];
        let [inflow, outflow] = self.flows[i];
        let (gate, flows) = (t.in_gate(i), inflow + outflow > 0.0);
        // Without flow in this step and the last, conduction alone was right.
        let rests = || t.warming[i * n..(i + 1) * n].iter().all(|rate| *rate == 0.0);
        if !flows && (!gate || rests()) {
            return;
        }
        let layers = t.cavity.layers(i);
        let own = i * (n + 1)..(i + 1) * (n + 1);
        let mut out = Profile { psi: &mut self.psi[own.clone()], heat: &mut self.heat[i * n..(i + 1) * n] };
        section::profile(layers, &t.fluidity[i * n..(i + 1) * n], &mut out);
        if t.slip[i] > 0.0 {
            out.add_slip(layers, t.slip[i]);
        }
        let (carried, rows) = self.rows.split_at_mut(n);
        let (arriving, rows) = rows.split_at_mut(n);
        let (weight, rows) = rows.split_at_mut(n);
        let (right, scratch) = rows.split_at_mut(n);
        arriving.fill(0.0);
        for &(from, moved) in &self.sources[i] {
            let within = |k: usize| t.cavity.cells[k].passage == t.cavity.cells[i].passage;
            let side = match from {
                Source::Cell(k) if within(k) => t.side[k],
                _ => Side::default(),
            };
            t.side[i].mix(volume, moved, side);
            match from {
                Source::Nozzle => carried.fill(melt),
                Source::Cell(k) => section::carry(
                    &self.psi[k * (n + 1)..(k + 1) * (n + 1)],
                    &t.leaving[k * n..(k + 1) * n],
                    &self.psi[own.clone()],
                    carried,
                ),
            }
            for (arriving, carried) in arriving.iter_mut().zip(&*carried) {
                *arriving += moved * carried;
            }
        }
        // Work of the pressure drop over the cell, dissipated where the shear is.
        let flow = t.masses.flow(i, dt);
        let power = if t.drive.heating && flows { flow * flow * t.resistance(i) * dt } else { 0.0 };
        t.balance.dissipated += power;
        let kelvin = power / t.heat_per_kelvin(i);
        let range = i * n..(i + 1) * n;
        let (content, temperature) =
            (&mut t.content[range.clone()][..n], &mut t.temperature[range.clone()][..n]);
        let (leaving, warming) = (&mut t.leaving[range.clone()][..n], &mut t.warming[range.clone()][..n]);
        let (psi, heat) = (&self.psi[own][..n + 1], &self.heat[range][..n]);
        let area = &layers.area[..n];
        let stage = if gate { GAMMA } else { 1.0 };
        let mut lost = 0.0;
        for j in 0..n {
            let share = (psi[j + 1] - psi[j]) / volume;
            let before = if gate { leaving[j] } else { content[j] };
            arriving[j] = share * arriving[j] + kelvin * heat[j];
            weight[j] = area[j] + stage * share * inflow;
            right[j] = area[j] * before + stage * arriving[j];
            lost += area[j] * (content[j] - before);
        }
        if gate {
            let half_gap = t.cavity.cells[i].half_gap;
            let wall = Wall { sink: GAMMA * t.walls[i].sink, ..t.walls[i] };
            let mut section = Section::new(t.material, layers, half_gap, GAMMA * dt, wall);
            let early = section.solve(weight, right, temperature, content, scratch);
            lost += FURTHER * early;
            section.wall = t.later[i].after(early);
            t.lost[i][0] = early;
            for j in 0..n {
                right[j] += FURTHER * area[j] * (content[j] - leaving[j]);
                leaving[j] = (1.0 - GAMMA) * content[j];
            }
            lost += section.solve(weight, right, temperature, content, scratch);
            for j in 0..n {
                leaving[j] += GAMMA * content[j];
                let left = (weight[j] - area[j]) / GAMMA * leaving[j];
                warming[j] = (arriving[j] - left) / (area[j] * dt);
            }
        } else {
            for j in 0..n {
                content[j] = right[j] / weight[j];
            }
            t.material.heat.temperatures(content, temperature);
            leaving.copy_from_slice(content);
        }
        t.mean[i] = dot(temperature, area);
        for j in 0..n {
            carried[j] = psi[j + 1] - psi[j];
        }
        self.flowing[i] = dot(carried, leaving);
        t.lost[i][1] += lost;
        t.balance.lost += lost * t.heat_per_kelvin(i);
        t.stirred.push(i);
    }

    /// Balances the heat that came in with the melt, and the heat of what was packed into each cell beyond its volume at
    /// constant density.
    fn settle_balance(&self, melt: f64, t: &mut State<'_>) {
        let wall = t.material.heat.of(t.drive.wall);
        let flowing = |i: usize| self.flowing[i] - wall;
        let heat = t.material.volumetric_heat();
        let from_nozzle = t.masses.inflow[0];
        if from_nozzle.abs() >= STIRRED * t.masses.volume[0] {
            let content = if from_nozzle > 0.0 { melt - wall } else { flowing(0) };
            t.balance.inflow += heat * from_nozzle * content;
        }
        for (i, [inflow, outflow]) in self.flows.iter().enumerate() {
            if *inflow > 0.0 || *outflow > 0.0 {
                t.balance.packed += heat * (inflow - outflow) * flowing(i);
            }
        }
    }
}
