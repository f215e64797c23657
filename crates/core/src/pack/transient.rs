//! The hold and the cooling in time.

use super::network::Chain;
use crate::cavity::{Cavity, Layers};
use crate::feedstock::Material;
use crate::fill::March;
use crate::fill::conduction::Factors;
use crate::scenario::Role;

/// What the hold is driven by, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldDrive {
    /// Hold pressure at the nozzle \[Pa\].
    pub pressure: f64,
    /// Hold time from the end of filling \[s\]; after it the nozzle pressure is let off.
    pub time: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
    /// Contact conductance \[W/m²K\].
    pub contact: f64,
}

/// The hold in time; one entry a step, SI, from the end of filling.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct History {
    /// Time \[s\].
    pub time: Vec<f64>,
    /// Nozzle pressure \[Pa\].
    pub nozzle: Vec<f64>,
    /// Pressure just behind the gate \[Pa\].
    pub behind_gate: Vec<f64>,
    /// Pressure at the end of flow, over the last tenth of the volume \[Pa\].
    pub end: Vec<f64>,
    /// Fluidity of the gate relative to the end of filling.
    pub openness: Vec<f64>,
    /// Hottest mean temperature in the thickest passage of the part \[K\].
    pub thickest: Vec<f64>,
}

/// What came of the hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The way there.
    pub history: History,
    /// When the gate's fluidity fell to a thousandth of that at the end of filling \[s\].
    pub gate_freeze: Option<f64>,
    /// When the middle of the gate reached the no-flow temperature \[s\].
    pub gate_centre_freeze: Option<f64>,
    /// When the cavity was sealed \[s\].
    pub sealed_after: f64,
    /// Pressure at the end of flow then, a mean over the last tenth of the volume \[Pa\].
    pub sealed_pressure: f64,
    /// Mean temperature of the same tenth then \[K\].
    pub sealed_temperature: f64,
    /// Greatest opening force of the hold \[N\].
    pub opening_force: f64,
    /// When the thickest passage of the part was cool enough to eject \[s\].
    pub part_cooled: Option<f64>,
    /// When sprue and runners were \[s\].
    pub runner_cooled: Option<f64>,
}

/// The gate counts as frozen at this share of its fluidity at the end of filling.
const FROZEN: f64 = 1e-3;
/// Resistance of a frozen gate \[Pa s/m³\].
const SHUT: f64 = 1e60;
/// Longest transient, in steps.
const MAX_STEPS: usize = 600;
/// First step, as a part of the time in which the gate cools, and growth from step to step.
const FIRST_STEP: f64 = 1.0 / 150.0;
const GROWTH: f64 = 1.2;
/// Longest step until the gate has frozen, as a part of the time in which it cools.
const LONGEST_STEP: f64 = 1.0 / 8.0;
/// Greatest change of ln(gate fluidity) aimed at in a step: the sealed pressure is decided while the
/// gate closes.
const CLOSING_STEP: f64 = 0.4;
/// γ of the two-stage, L-stable, second-order Runge–Kutta step (SDIRK2, γ = 1 − 1/√2).
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Holds and cools from the state at the end of filling until the gate has frozen and the part and
/// its runners can be ejected, as far as the wall allows.
pub fn hold(material: &Material, cavity: &Cavity, end: &March<'_>, drive: HoldDrive) -> Hold {
    let mut t = Transient::new(material, cavity, end, drive);
    let (can_freeze, can_cool) = (drive.wall < material.no_flow, drive.wall < material.ejection);
    let pace = t.pace();
    let mut dt = pace * FIRST_STEP;
    t.record();
    for _ in 0..MAX_STEPS {
        let frozen = (t.gate_freeze.is_some() && t.gate_centre_freeze.is_some()) || !can_freeze;
        let cooled = (t.part_cooled.is_some() && t.runner_cooled.is_some()) || !can_cool;
        if frozen && cooled && (can_freeze || t.time >= drive.time) {
            break;
        }
        // Land on the end of the hold, where the nozzle pressure jumps.
        let to_release = drive.time - t.time;
        let step = if to_release > 1e-9 * drive.time { dt.min(to_release) } else { dt };
        let openness = t.log_openness;
        t.step(step);
        t.record();
        dt = step * GROWTH;
        if t.gate_freeze.is_none() && can_freeze {
            let closing = (openness - t.log_openness).abs().max(1e-9);
            dt = dt.min(step * CLOSING_STEP / closing).min(pace * LONGEST_STEP).max(0.02 * step);
        }
    }
    t.finish()
}

struct Transient<'a> {
    material: &'a Material,
    cavity: &'a Cavity,
    drive: HoldDrive,
    layers: usize,
    time: f64,
    temperature: Vec<f64>,
    mean: Vec<f64>,
    pressure: Vec<f64>,
    inflow: Vec<f64>,
    /// ln of the wall stress the packing flow last caused in each cell.
    log_stress: Vec<f64>,
    /// ln of the wall stress at the end of filling, of the gate's cells.
    gate_log_stress: Vec<f64>,
    gate_cells: std::ops::Range<usize>,
    gate_resistance: f64,
    log_openness: f64,
    thickest_cells: std::ops::Range<usize>,
    compliance: Vec<f64>,
    /// Share of each cell in the mean over the end of flow.
    end_weight: Vec<f64>,
    /// Resistance of each cell at the end of the last step.
    resistance: Vec<f64>,
    gate_freeze: Option<f64>,
    gate_centre_freeze: Option<f64>,
    part_cooled: Option<f64>,
    runner_cooled: Option<f64>,
    sealed: Option<(f64, f64, f64)>,
    opening_force: f64,
    history: History,
    scratch: Scratch,
}

struct Scratch {
    start: Vec<f64>,
    factors: Factors,
    mobility: Vec<f64>,
    contraction: Vec<f64>,
    resistance: Vec<f64>,
    chain: Vec<f64>,
}

impl<'a> Transient<'a> {
    fn new(material: &'a Material, cavity: &'a Cavity, end: &March<'_>, drive: HoldDrive) -> Self {
        let cells = cavity.cells.len();
        let layers = cavity.flat.count();
        let of_passage = |index: usize| {
            let first = cavity.cells.iter().position(|c| c.passage == index).unwrap_or(0);
            first..first + cavity.cells.iter().filter(|c| c.passage == index).count()
        };
        let thickest = cavity.thickest(|role| role == Role::Part).unwrap_or(0);
        let log_stress: Vec<f64> = end.stress.iter().map(|s| s.log).collect();
        let gate_cells = of_passage(cavity.gate);
        let mut t = Self {
            material,
            cavity,
            drive,
            layers,
            time: 0.0,
            temperature: end.temperature.clone(),
            mean: (0..cells).map(|i| end.mean_temperature(i)).collect(),
            pressure: end.pressure.iter().map(|p| p * end.within_machine).collect(),
            inflow: vec![0.0; cells],
            gate_log_stress: log_stress[gate_cells.clone()].to_vec(),
            log_stress,
            gate_cells,
            gate_resistance: 0.0,
            log_openness: 0.0,
            thickest_cells: of_passage(thickest),
            compliance: cavity.cells.iter().map(|c| material.compressibility * c.volume * c.copies).collect(),
            end_weight: end_weights(cavity),
            resistance: Vec::new(),
            gate_freeze: None,
            gate_centre_freeze: None,
            part_cooled: None,
            runner_cooled: None,
            sealed: None,
            opening_force: 0.0,
            history: History::default(),
            scratch: Scratch {
                start: vec![0.0; layers],
                factors: Factors::default(),
                mobility: vec![0.0; layers],
                contraction: vec![0.0; cells],
                resistance: vec![0.0; cells],
                chain: vec![0.0; cells],
            },
        };
        t.gate_resistance = t.gate_resistance_now();
        t.resistance = (0..cells).map(|i| 1.0 / t.conductance(i, t.log_stress[i])).collect();
        t
    }

    /// Time in which the gate cools \[s\], by conduction inside and contact at the wall.
    fn pace(&self) -> f64 {
        let gate = &self.cavity.passages[self.cavity.gate];
        let h = 0.5 * (gate.half_gap[0] + gate.half_gap[1]);
        let inside = h * h / (2.5 * self.material.diffusivity());
        inside + h * self.material.volumetric_heat() / self.drive.contact
    }

    fn step(&mut self, dt: f64) {
        let before = Snapshot::of(self);
        for i in 0..self.cavity.cells.len() {
            self.cool_cell(i, dt);
        }
        self.move_pressures(dt, before.time);
        self.time += dt;
        if self.gate_freeze.is_none() {
            self.log_openness = (self.gate_resistance / self.gate_resistance_now()).ln();
        }
        self.note_events(&before);
        let force: f64 =
            self.pressure.iter().zip(&self.cavity.cells).map(|(p, c)| p.max(0.0) * c.projected_area).sum();
        self.opening_force = self.opening_force.max(force);
    }

    /// Conduction in one cell over the step, second order in time: two implicit stages of γΔt, the
    /// second from the extrapolated state T + ((1−γ)/γ)(T₁ − T).
    fn cool_cell(&mut self, i: usize, dt: f64) {
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        let h = cell.half_gap;
        let s = &mut self.scratch;
        let t = &mut self.temperature[i * self.layers..(i + 1) * self.layers];
        s.start.copy_from_slice(t);
        let fourier = self.material.diffusivity() * GAMMA * dt / (h * h);
        s.factors.set(layers, fourier, self.drive.contact * h / self.material.conductivity);
        s.factors.solve(layers, self.drive.wall, t);
        for (now, start) in t.iter_mut().zip(&s.start) {
            *now = start + (1.0 - GAMMA) / GAMMA * (*now - start);
        }
        s.factors.solve(layers, self.drive.wall, t);
        let mean: f64 = t.iter().zip(&layers.area).map(|(t, a)| t * a).sum();
        // Contraction is a loss of volume: positive where the melt has cooled.
        s.contraction[i] = self.material.expansion * cell.volume * cell.copies * (self.mean[i] - mean);
        self.mean[i] = mean;
    }

    fn move_pressures(&mut self, dt: f64, start: f64) {
        // A frozen gate is shut: behind it the cavity only evens out.
        let cells = if self.gate_freeze.is_some() { 0 } else { self.cavity.cells.len() };
        if self.gate_freeze.is_some() {
            self.scratch.resistance[self.gate_cells.clone()].fill(SHUT);
        }
        // Resistances grow by orders of magnitude as a section freezes: their geometric mean over the
        // step is of second order.
        for i in 0..cells {
            let now = 1.0 / self.conductance(i, self.log_stress[i]);
            let before = std::mem::replace(&mut self.resistance[i], now);
            self.scratch.resistance[i] = (before * now).sqrt();
        }
        let holding = start < self.drive.time * (1.0 - 1e-9);
        let chain = Chain {
            compliance: &self.compliance,
            contraction: &self.scratch.contraction,
            resistance: &self.scratch.resistance,
            nozzle: Some(if holding { self.drive.pressure } else { 0.0 }),
            dt,
        };
        chain.step(&mut self.pressure, &mut self.inflow, &mut self.scratch.chain);
        // The stress that flow caused sets the fluidity of the next step; below a hundredth of the
        // reference stress the melt is taken as Newtonian.
        let floor = self.material.viscosity.reference_stress().ln() - 4.6;
        for i in 0..cells {
            let cell = &self.cavity.cells[i];
            let layers = self.cavity.layers(i);
            let gradient =
                self.inflow[i].abs() * self.scratch.resistance[i] / (cell.taper_factor * cell.length);
            let stress = gradient * cell.half_gap / f64::from(1 + layers.kind.power());
            self.log_stress[i] = stress.max(1e-300).ln().max(floor);
        }
    }

    /// Flow per pressure drop over a cell, all copies, at a wall stress \[m³/(Pa s)\].
    fn conductance(&mut self, i: usize, log_stress: f64) -> f64 {
        let cell = &self.cavity.cells[i];
        let layers: &Layers = self.cavity.layers(i);
        let reference = self.material.viscosity.reference_stress().ln();
        let t = &self.temperature[i * self.layers..(i + 1) * self.layers];
        let p = self.pressure[i].max(0.0);
        for (a, &t) in self.scratch.mobility.iter_mut().zip(t) {
            *a = self.material.mobility(t, p);
        }
        let sum: f64 = layers
            .flow_weight
            .iter()
            .zip(&self.scratch.mobility)
            .zip(&layers.log_stress_points)
            .map(|((w, a), y)| w * a * self.material.curve.at(log_stress - reference + y).0)
            .sum();
        let stress_per_drop =
            cell.half_gap / (f64::from(1 + layers.kind.power()) * cell.taper_factor * cell.length);
        // Zero and infinity have no place in the pressure equation.
        (cell.copies * cell.flow_constant * sum * stress_per_drop).clamp(1e-80, 1e20)
    }

    /// Resistance of the gate at the stress it had at the end of filling.
    fn gate_resistance_now(&mut self) -> f64 {
        self.gate_cells
            .clone()
            .map(|i| 1.0 / self.conductance(i, self.gate_log_stress[i - self.gate_cells.start]))
            .sum()
    }

    fn note_events(&mut self, before: &Snapshot) {
        let now = Snapshot::of(self);
        let crossing = |a: f64, b: f64, level: f64| {
            (a > level && b <= level).then(|| before.time + (now.time - before.time) * (a - level) / (a - b))
        };
        let (no_flow, ejection) = (self.material.no_flow, self.material.ejection);
        self.gate_centre_freeze =
            self.gate_centre_freeze.or_else(|| crossing(before.gate_centre, now.gate_centre, no_flow));
        self.part_cooled = self.part_cooled.or_else(|| crossing(before.part, now.part, ejection));
        self.runner_cooled = self.runner_cooled.or_else(|| crossing(before.runner, now.runner, ejection));
        if self.gate_freeze.is_none() {
            self.gate_freeze = crossing(before.log_openness, now.log_openness, FROZEN.ln());
            if let Some(at) = self.gate_freeze {
                let f = (at - before.time) / (now.time - before.time);
                let between = |a: f64, b: f64| a + f * (b - a);
                self.sealed = Some((at, between(before.end.0, now.end.0), between(before.end.1, now.end.1)));
            }
        }
    }

    /// Mean of a quantity over the end of flow.
    fn at_end(&self, list: &[f64]) -> f64 {
        list.iter().zip(&self.end_weight).map(|(v, w)| v * w).sum()
    }

    /// Hottest mean temperature of sprue and runners; of the part where there are none.
    fn runner_mean(&self) -> f64 {
        let cells = self.cavity.cells.iter().zip(&self.mean);
        let hottest = cells
            .filter(|(c, _)| matches!(self.cavity.passages[c.passage].role, Role::Sprue | Role::Runner))
            .map(|(_, &t)| t)
            .fold(f64::NEG_INFINITY, f64::max);
        if hottest.is_finite() { hottest } else { self.part_mean() }
    }

    fn part_mean(&self) -> f64 {
        self.mean[self.thickest_cells.clone()].iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }

    fn record(&mut self) {
        let holding = self.time < self.drive.time * (1.0 - 1e-9);
        let (part, end) = (self.part_mean(), self.at_end(&self.pressure));
        let h = &mut self.history;
        h.time.push(self.time);
        h.nozzle.push(if holding { self.drive.pressure } else { 0.0 });
        h.behind_gate.push(self.pressure[self.gate_cells.end.min(self.pressure.len() - 1)].max(0.0));
        h.end.push(end.max(0.0));
        h.openness.push(self.log_openness.exp());
        h.thickest.push(part);
    }

    fn finish(self) -> Hold {
        // A gate that never freezes lets the melt flow back when the hold ends: nothing is sealed in,
        // and the part cools to the wall without pressure.
        let open = (self.time, 0.0, self.drive.wall);
        let (sealed_after, sealed_pressure, sealed_temperature) =
            if self.gate_freeze.is_some() { self.sealed.unwrap_or(open) } else { open };
        Hold {
            history: self.history,
            gate_freeze: self.gate_freeze,
            gate_centre_freeze: self.gate_centre_freeze,
            sealed_after,
            sealed_pressure,
            sealed_temperature,
            opening_force: self.opening_force,
            part_cooled: self.part_cooled,
            runner_cooled: self.runner_cooled,
        }
    }
}

/// Weights of the cells in the last tenth of the volume. The very last cell alone would follow the
/// grid: the fountain flow's temperatures converge slowly there.
fn end_weights(cavity: &Cavity) -> Vec<f64> {
    let tenth = 0.1 * cavity.volume;
    let mut left = tenth;
    let mut weights = vec![0.0; cavity.cells.len()];
    for (weight, cell) in weights.iter_mut().zip(&cavity.cells).rev() {
        let volume = (cell.volume * cell.copies).min(left);
        *weight = volume / tenth;
        left -= volume;
    }
    weights
}

/// The scalars whose crossings are events.
struct Snapshot {
    time: f64,
    gate_centre: f64,
    part: f64,
    runner: f64,
    log_openness: f64,
    end: (f64, f64),
}

impl Snapshot {
    fn of(t: &Transient<'_>) -> Self {
        // The cells of a gate stand one behind the other: the first to freeze through closes it.
        let gate_centre =
            t.gate_cells.clone().map(|i| t.temperature[i * t.layers]).fold(f64::INFINITY, f64::min);
        Self {
            time: t.time,
            gate_centre,
            part: t.part_mean(),
            runner: t.runner_mean(),
            log_openness: t.log_openness,
            end: (t.at_end(&t.pressure), t.at_end(&t.mean)),
        }
    }
}
