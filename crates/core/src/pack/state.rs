//! The state of the cavity while it packs and cools, and what lets the melt through it.

use super::accounts::{Balance, Effort};
use super::density::DensityTable;
use super::mass::Masses;
use super::{FURTHER, GAMMA, HoldDrive};
use crate::cavity::Cavity;
use crate::feedstock::Material;
use crate::fill::March;
use crate::wall::{Kernel, Side, StepOfSteel, SurfaceHeat, TwoParts, Wall};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::lanes::dot;
use gatefrost_numerics::order::greater;

/// Conductance of such a section: not zero, so that the pressure equation can be solved \[m³/(Pa s)\].
const LEAST_CONDUCTANCE: f64 = 1e-40;

/// What a cell has behind its contact in the second stage of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Later {
    /// Temperature if the cell loses nothing in the first stage \[K\].
    temperature: f64,
    /// Its rise for each kelvin of heat content that it loses there.
    rise: f64,
}

impl Later {
    /// Temperature after a loss of heat content in the first stage \[K\].
    pub fn after(self, lost: f64) -> f64 {
        self.temperature + self.rise * lost
    }
}

/// The state of the cavity while it packs and cools. Lists have one entry a cell, or one a layer, cell by cell.
pub(super) struct State<'a> {
    pub material: &'a Material,
    pub cavity: &'a Cavity,
    pub drive: &'a HoldDrive,
    /// Number of layers over the half gap.
    pub layers: usize,
    /// Time from the end of filling \[s\].
    pub time: f64,
    /// Layer temperatures \[K\].
    pub temperature: Vec<f64>,
    /// Layer heat contents \[K\].
    pub content: Vec<f64>,
    /// Layer heat contents that the flow carries out of each cell \[K\]; those at the start of the step until the heat
    /// of the cell has been carried.
    pub leaving: Vec<f64>,
    /// Rate at which the flow of the last step warmed the layers of the gates \[K/s\].
    pub warming: Vec<f64>,
    /// Layer temperatures for which the masses were last solved \[K\].
    pub solved_temperature: Vec<f64>,
    /// Mean temperature of each cell \[K\].
    pub mean: Vec<f64>,
    /// What each cell meets at its walls in the first stage of the step. The sink is that of the whole step.
    pub walls: Vec<Wall>,
    /// What is behind the contact in the second stage.
    pub later: Vec<Later>,
    /// Heat that each cell loses to its walls in the first stage and during the whole step, in kelvin of its heat
    /// content \[K\].
    pub lost: Vec<[f64; 2]>,
    /// Heat that the steel at each cell has taken; empty if it does not warm.
    steel: Vec<SurfaceHeat>,
    kernels: Vec<Kernel>,
    /// The step of the steel at each passage: up to where the second stage of the step begins, and that stage.
    steel_steps: Vec<TwoParts>,
    /// Heat into the steel at each cell and area of its walls, for each kelvin of heat content that the cell loses
    /// \[J/m²K\].
    heat_per_wall: Vec<f64>,
    /// The cooling by the side walls in each cell.
    pub side: Vec<Side>,
    /// Masses and pressures of the cells.
    pub masses: Masses,
    /// ln of the wall stress that the flow last caused in each cell.
    pub log_stress: Vec<f64>,
    /// Layer mobilities at the temperatures when [`Self::soften`] was last called \[1/(Pa s)\].
    mobility: Vec<f64>,
    /// Layer fluidities at the stress of the last call of [`Self::conductance`] \[1/(Pa s)\].
    pub fluidity: Vec<f64>,
    /// Share of the flow that slips in each cell, at that stress.
    pub slip: Vec<f64>,
    /// Scratch space for the slopes of the flow curve in one section.
    slopes: Vec<f64>,
    /// Resistance of each cell at the end of the last step \[Pa s/m³\].
    resistance: Vec<f64>,
    /// Resistance of each cell at the start of the last step \[Pa s/m³\].
    start_resistance: Vec<f64>,
    /// ln of the stress for which `resistance` was computed.
    resisting_stress: Vec<f64>,
    /// Resistance of each cell that the last step was solved with, all copies \[Pa s/m³\]: the geometric mean over it.
    mean_resistance: Vec<f64>,
    /// Cells in which fronts met.
    pub weld_cells: Vec<usize>,
    /// Cells that the flow of the last step has warmed.
    pub stirred: Vec<usize>,
    pub balance: Balance,
    pub effort: Effort,
}

impl<'a> State<'a> {
    pub fn new(material: &'a Material, cavity: &'a Cavity, end: &March<'_>, drive: &'a HoldDrive) -> Self {
        let cells = cavity.cells.len();
        let layers = cavity.flat.count();
        let pressure = end.pressure.clone();
        let highest = drive.steps.iter().map(|step| step.1).chain(pressure.iter().copied());
        let highest = highest.fold(0.0, f64::max);
        let hottest = end.temperature.iter().copied().fold(drive.melt, f64::max);
        let table = DensityTable::new(&material.pvt, [drive.wall, hottest], highest);
        // The hold may have other walls than the fill had: then the steel begins anew.
        let kernels = drive.contact.kernels(cavity);
        let warmed = if kernels.is_empty() { 0 } else { cells };
        let heat_per_wall =
            |i: usize| material.volumetric_heat() * cavity.cells[i].volume_per_wall(cavity.layers(i).kind);
        let mut t = Self {
            material,
            cavity,
            drive,
            layers,
            time: 0.0,
            temperature: end.temperature.clone(),
            solved_temperature: end.temperature.clone(),
            content: end.temperature.iter().map(|&t| material.heat.of(t)).collect(),
            leaving: vec![0.0; cells * layers],
            warming: vec![0.0; cells * layers],
            walls: vec![Wall { contact: 0.0, temperature: drive.wall, sink: 0.0 }; cells],
            lost: vec![[0.0; 2]; cells],
            steel: if end.steel.len() == warmed {
                end.steel.clone()
            } else {
                vec![Default::default(); warmed]
            },
            steel_steps: Vec::with_capacity(kernels.len()),
            kernels,
            heat_per_wall: (0..warmed).map(heat_per_wall).collect(),
            later: vec![Later { temperature: drive.wall, rise: 0.0 }; cells],
            side: end.side.clone(),
            mean: (0..cells).map(|i| end.mean_temperature(i)).collect(),
            masses: Masses::new(table, cavity, &end.temperature, pressure),
            log_stress: end.stress.iter().map(|s| s.log).collect(),
            mobility: vec![0.0; cells * layers],
            fluidity: vec![0.0; cells * layers],
            slip: vec![0.0; cells],
            slopes: vec![0.0; layers],
            resistance: vec![0.0; cells],
            start_resistance: vec![0.0; cells],
            resisting_stress: vec![0.0; cells],
            mean_resistance: vec![0.0; cells],
            weld_cells: end.welds.iter().map(|w| w.cells[1]).collect(),
            stirred: Vec::with_capacity(cells),
            balance: Balance::default(),
            effort: Effort::default(),
        };
        t.balance.stored[0] = t.stored();
        for i in 0..cells {
            t.soften(i);
            t.resistance[i] = 1.0 / t.conductance(i, t.log_stress[i]);
        }
        t.mean_resistance.clone_from(&t.resistance);
        t
    }

    /// Heat that warms a cell, all copies, by a kelvin \[J/K\].
    pub fn heat_per_kelvin(&self, i: usize) -> f64 {
        let cell = &self.cavity.cells[i];
        self.material.volumetric_heat() * cell.volume * cell.copies
    }

    /// Whether a cell is one of a gate's.
    pub fn in_gate(&self, i: usize) -> bool {
        self.cavity.gates.contains(&self.cavity.cells[i].passage)
    }

    /// Computes the resistances of the step for cells whose ln(stress) has changed by `changed` or more; returns whether
    /// there were any. Resistances grow by orders of magnitude as a section freezes: their geometric mean over the step
    /// is of second order. Cells of a shut gate let nothing through.
    pub fn resist(&mut self, shut: &[bool], changed: f64) -> bool {
        let mut any = false;
        for i in 0..self.cavity.cells.len() {
            if shut[i] {
                self.mean_resistance[i] = f64::INFINITY;
            } else if (self.log_stress[i] - self.resisting_stress[i]).abs() >= changed {
                any = true;
                self.resisting_stress[i] = self.log_stress[i];
                self.resistance[i] = 1.0 / self.conductance(i, self.log_stress[i]);
                self.mean_resistance[i] = (self.start_resistance[i] * self.resistance[i]).sqrt();
            }
        }
        any
    }

    /// Notes the wall stress that the flow caused, half_gap · gradient/(1 + power), which sets the fluidity of the next
    /// solution. Below a hundredth of the reference stress the melt is taken as Newtonian.
    fn note_stress(&mut self, dt: f64) {
        let floor = self.material.log_reference_stress - 4.6;
        let least = floor.exponential();
        for (i, cell) in self.cavity.cells.iter().enumerate() {
            let layers = self.cavity.layers(i);
            let flow = self.masses.flow(i, dt).abs();
            let gradient = flow * self.mean_resistance[i] / (cell.drop_factor * cell.length);
            let stress = gradient * cell.half_gap / f64::from(1 + layers.kind.power());
            self.log_stress[i] = if stress > least { stress.logarithm() } else { floor };
        }
    }

    /// Computes the mobilities of a cell at its temperatures and pressure, for [`Self::conductance`] at any stress.
    fn soften(&mut self, i: usize) {
        let n = self.layers;
        let p = greater(self.masses.pressure[i], 0.0);
        let warm = i * n..i * n + self.warm(i);
        self.material.mobilities(&self.temperature[warm.clone()], p, &mut self.mobility[warm]);
    }

    /// Number of layers of a cell, counted from the middle, up to the outermost that is not frozen through.
    fn warm(&self, i: usize) -> usize {
        let frozen = self.material.frozen;
        let layers = &self.temperature[i * self.layers..(i + 1) * self.layers];
        layers.iter().rposition(|&t| t >= frozen).map_or(0, |last| last + 1)
    }

    /// Flow per pressure drop over a cell, all copies, at a wall stress \[m³/(Pa s)\].
    pub fn conductance(&mut self, i: usize, log_stress: f64) -> f64 {
        self.effort.sections += 1;
        let n = self.layers;
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        // The middle is the warmest: where it has long set, so has the rest.
        if self.temperature[i * n] < self.material.frozen {
            self.fluidity[i * n..(i + 1) * n].fill(self.material.frozen_mobility());
            return LEAST_CONDUCTANCE;
        }
        let x = log_stress - self.material.log_reference_stress;
        let (frozen, still) = (self.material.frozen, self.material.frozen_mobility());
        let warm = self.warm(i);
        // Slices of known lengths, so that the loops need no further checks.
        let (fluidity, weights) = (&mut self.fluidity[i * n..(i + 1) * n][..n], &layers.flow_weight[..n]);
        let (flowing, set) = fluidity.split_at_mut(warm);
        let (temperature, mobility) = (&self.temperature[i * n..][..warm], &self.mobility[i * n..][..warm]);
        self.material.curve.along(x, &layers.log_stress_points[..warm], flowing, &mut self.slopes);
        for j in 0..warm {
            flowing[j] = if temperature[j] < frozen { still } else { mobility[j] * flowing[j] };
        }
        set.fill(still);
        let mut sum = dot(fluidity, weights);
        self.slip[i] = 0.0;
        let warm = &self.mobility[i * n..][..warm];
        if let Some(slip) = self.material.slip_in(cell, layers, warm, self.drive.melt) {
            let own = slip.at(log_stress);
            self.slip[i] = own / (sum + own);
            sum += own;
        }
        let stress_per_drop =
            cell.half_gap / (f64::from(1 + layers.kind.power()) * cell.drop_factor * cell.length);
        // Zero and infinity have no place in the pressure equation.
        (cell.copies * cell.flow_constant * sum * stress_per_drop).clamp(LEAST_CONDUCTANCE, 1e20)
    }

    /// Sets what each cell meets at its walls during a step.
    pub fn meet_walls(&mut self, dt: f64) {
        self.lost.fill([0.0; 2]);
        let stage = GAMMA * dt;
        self.steel_steps.clear();
        if !self.kernels.is_empty() {
            let parts = [dt - stage, stage].map(StepOfSteel::new);
            self.steel_steps.extend(self.kernels.iter().map(|kernel| TwoParts::new(kernel, &parts)));
        }
        let (alpha, conductivity) = (self.material.diffusivity(), self.material.conductivity);
        for (i, cell) in self.cavity.cells.iter().enumerate() {
            let mut wall = Wall {
                contact: self.drive.contact.at(self.masses.pressure[i]),
                temperature: self.drive.wall,
                sink: 0.0,
            };
            if let Some(steel_step) = self.steel_steps.get(cell.passage) {
                let [first, whole] = self.steel[i].without_either(steel_step);
                wall.warm(first, steel_step.resistance);
                self.later[i] = Later {
                    temperature: self.drive.wall + whole,
                    rise: steel_step.left * self.heat_per_wall[i] / stage,
                };
            }
            if cell.side > 0.0 {
                let biot = wall.contact / (conductivity * cell.side.sqrt());
                wall.sink = self.side[i].cool(alpha * dt * cell.side, biot);
            }
            self.walls[i] = wall;
        }
    }

    /// Gives the steel the heat that the cells have lost in a step of `dt`.
    pub fn warm_steel(&mut self, dt: f64) {
        if self.steel_steps.is_empty() {
            return;
        }
        for (i, cell) in self.cavity.cells.iter().enumerate() {
            let per_kelvin = self.heat_per_wall[i] / (GAMMA * dt);
            let [early, whole] = self.lost[i];
            let fluxes = [early * per_kelvin, (whole - FURTHER * early) * per_kelvin];
            self.steel[i].take_each(&self.steel_steps[cell.passage], fluxes);
        }
    }

    /// Begins a step whose conduction is done: mobilities and resistances at the new temperatures, for cells that are
    /// not shut.
    pub fn begin_step(&mut self, shut: &[bool]) {
        self.start_resistance.clone_from(&self.resistance);
        for (i, _) in shut.iter().enumerate().filter(|(_, shut)| !**shut) {
            self.soften(i);
        }
        self.resist(shut, 0.0);
        self.masses.begin(self.cavity, &self.temperature);
    }

    /// Pressures and flows of the step with the resistances as they are, and the stress that those flows cause.
    pub fn flow(&mut self, nozzle: f64, dt: f64) {
        self.masses.solve(self.cavity, &self.temperature, &self.mean_resistance, nozzle, dt);
        self.note_stress(dt);
    }

    /// Takes the resistance of a cell anew: its temperatures have changed since the step was solved.
    pub fn renew(&mut self, i: usize) {
        self.soften(i);
        self.resistance[i] = 1.0 / self.conductance(i, self.log_stress[i]);
    }

    /// Resistance of a cell in the last step \[Pa s/m³\].
    pub fn resistance(&self, i: usize) -> f64 {
        self.mean_resistance[i]
    }

    /// Heat stored above the wall temperature \[J\].
    pub fn stored(&self) -> f64 {
        let wall = self.material.heat.of(self.drive.wall);
        let of = |i: usize| {
            let mean = self.cavity.layers(i).mean(&self.content[i * self.layers..(i + 1) * self.layers]);
            self.heat_per_kelvin(i) * (mean - wall)
        };
        (0..self.cavity.cells.len()).map(of).sum()
    }
}
