//! The hold and the cooling in time.

use super::density::DensityTable;
use super::events::Events;
use super::mass::{MANY, Masses};
use super::outcome::{Balance, Hold};
use super::{HoldDrive, conduction::Conduction, convection::Convection};
use crate::cavity::Cavity;
use crate::feedstock::Material;
use crate::fill::March;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::lanes::dot;
use gatefrost_numerics::order::{greater, rounded};

/// Longest transient, in steps.
const MAX_STEPS: usize = 600;
/// Longest transient \[s\], eleven days: what has not happened by then counts as never.
const LONGEST: f64 = 1e6;
/// First step, as a part of the time in which the gate cools, and growth from step to step.
const FIRST_STEP: f64 = 1.0 / 100.0;
const GROWTH: f64 = 1.3;
/// Growth once the gates have frozen: all that is left is cooling.
const SEALED_GROWTH: f64 = 1.5;
/// Longest step then, as a part of the time elapsed: what is under pressure still moves inside of the part, and
/// how much must not hang on the steps.
const SEALED_STEP: f64 = 0.1;
/// Longest step until the gates have frozen, as a part of the time in which they cool, and of the time
/// elapsed where that is longer: a gate may freeze late, or never.
const LONGEST_STEP: [f64; 2] = [1.0 / 3.0, 0.05];
/// Greatest change of ln(gate fluidity) aimed at in a step: the sealed pressure is decided while the
/// gate closes.
const CLOSING_STEP: f64 = 0.2;

/// A stress that changes by less than this in its logarithm leaves the fluidity as it is.
const SAME_STRESS: f64 = 0.02;
/// A section this far below the no-flow temperature in its middle does not flow \[K\].
const FROZEN_THROUGH: f64 = 8.0;
/// Its conductance: next to none \[m³/(Pa s)\].
const LEAST_CONDUCTANCE: f64 = 1e-40;

/// What a watcher of the hold sees of a moment.
#[derive(Debug, Clone, Copy)]
pub struct Moment<'a> {
    /// Time from the end of filling \[s\].
    pub time: f64,
    /// Nozzle pressure \[Pa\].
    pub nozzle: f64,
    /// Pressure of each cell \[Pa\].
    pub pressure: &'a [f64],
    /// Layer temperatures, cell by cell \[K\].
    pub temperature: &'a [f64],
}

/// Holds and cools from the state at the end of filling until the gates have frozen and the part and
/// its runners can be ejected, as far as the wall allows.
pub fn hold(material: &Material, cavity: &Cavity, end: &March<'_>, drive: &HoldDrive) -> Hold {
    hold_watched(material, cavity, end, drive, &mut |_| ())
}

/// The same, showing each moment to a watcher.
pub fn hold_watched(
    material: &Material,
    cavity: &Cavity,
    end: &March<'_>,
    drive: &HoldDrive,
    watch: &mut dyn FnMut(Moment<'_>),
) -> Hold {
    let mut t = Transient::new(material, cavity, end, drive);
    let mut events = Events::new(&t);
    let can_freeze = drive.wall < material.no_flow;
    let pace = t.pace();
    let mut dt = pace * FIRST_STEP;
    watch(t.moment());
    for _ in 0..MAX_STEPS {
        if events.over(&t) || t.time > LONGEST {
            break;
        }
        // Land on the changes of the nozzle pressure; what flows then does so in no time.
        let to_change = drive.to_change(t.time);
        // How long a step is hangs on how little the last one changed the gates. Where flow keeps a gate open, each
        // difference would come back enlarged in the next step, until the last digits decide.
        let step = rounded(dt, 8).min(to_change);
        t.step(step, &events.shut, events.all_shut());
        let closing = events.note(&mut t);
        watch(t.moment());
        if events.all_shut() {
            dt = (step.max(0.5 * dt) * SEALED_GROWTH).min(SEALED_STEP * t.time);
            continue;
        }
        dt = step.max(0.5 * dt) * GROWTH;
        if can_freeze && !events.all_frozen() {
            let longest = (LONGEST_STEP[0] * pace).max(LONGEST_STEP[1] * t.time);
            dt = dt.min(step * CLOSING_STEP / closing.max(1e-9)).min(longest).max(0.02 * step);
        }
        if step >= to_change {
            dt = dt.min(pace * FIRST_STEP);
        }
    }
    events.finish(t)
}

/// How much work a hold was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Steps in time.
    pub steps: u32,
    /// Sections solved for what they let through.
    pub sections: u32,
    /// Solutions for the pressures of all cells.
    pub solutions: u32,
    /// Sections that the flow has carried heat through.
    pub stirred: u32,
    /// Line solves of conduction, of several sections each.
    pub lines: u32,
}

impl Effort {
    /// Whether the work has passed its bound, so that pressures were solved roughly from there on.
    pub fn is_rough(&self) -> bool {
        self.solutions > MANY
    }
}

/// The state of the cavity while it packs and cools.
pub(super) struct Transient<'a> {
    pub material: &'a Material,
    pub cavity: &'a Cavity,
    pub drive: &'a HoldDrive,
    pub layers: usize,
    pub time: f64,
    pub temperature: Vec<f64>,
    /// Layer heat contents \[K\].
    pub content: Vec<f64>,
    /// Those that the flow carries out of each cell; until the cell is stirred, those at the start of the
    /// step \[K\].
    pub leaving: Vec<f64>,
    /// Rate at which the flow of the last step warmed the layers of the gates \[K/s\].
    pub warming: Vec<f64>,
    /// Temperatures that the masses were last solved at \[K\].
    pub solved_temperature: Vec<f64>,
    /// Mean temperature of each cell \[K\].
    pub mean: Vec<f64>,
    pub masses: Masses,
    /// ln of the wall stress the packing flow last caused in each cell.
    pub log_stress: Vec<f64>,
    /// Mobility of every layer when it was last asked for \[1/(Pa s)\].
    mobility: Vec<f64>,
    /// Fluidity of every layer at that stress \[1/(Pa s)\].
    pub fluidity: Vec<f64>,
    /// Room for the slopes of the flow curve at a section's layers.
    slopes: Vec<f64>,
    /// Resistance of each cell at the end of the last step, and at its start \[Pa s/m³\].
    resistance: Vec<f64>,
    start_resistance: Vec<f64>,
    /// ln of the stress it was taken at.
    resisting_stress: Vec<f64>,
    /// Cells in which fronts met.
    pub weld_cells: Vec<usize>,
    /// Resistance of each cell in the last step, all copies \[Pa s/m³\]: the mean it was solved with.
    mean_resistance: Vec<f64>,
    /// Cells that the flow of the last step has warmed.
    pub stirred: Vec<usize>,
    conduction: Conduction,
    convection: Convection,
    pub balance: Balance,
    pub effort: Effort,
}

impl<'a> Transient<'a> {
    pub fn new(material: &'a Material, cavity: &'a Cavity, end: &March<'_>, drive: &'a HoldDrive) -> Self {
        let cells = cavity.cells.len();
        let layers = cavity.flat.count();
        let pressure = end.pressure.clone();
        let highest = drive.steps.iter().map(|step| step.1).chain(pressure.iter().copied());
        let highest = highest.fold(0.0, f64::max);
        let hottest = end.temperature.iter().copied().fold(drive.melt, f64::max);
        let table = DensityTable::new(&material.pvt, [drive.wall, hottest], highest);
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
            mean: (0..cells).map(|i| end.mean_temperature(i)).collect(),
            masses: Masses::new(table, cavity, &end.temperature, pressure),
            log_stress: end.stress.iter().map(|s| s.log).collect(),
            mobility: vec![0.0; cells * layers],
            fluidity: vec![0.0; cells * layers],
            slopes: vec![0.0; layers],
            resistance: vec![0.0; cells],
            start_resistance: vec![0.0; cells],
            resisting_stress: vec![0.0; cells],
            weld_cells: end.welds.iter().map(|w| w.cells[1]).collect(),
            mean_resistance: vec![0.0; cells],
            stirred: Vec::with_capacity(cells),
            conduction: Conduction::new(cavity),
            convection: Convection::new(cavity),
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

    /// Time in which the quickest gate cools \[s\], by conduction inside and contact at the wall.
    fn pace(&self) -> f64 {
        let of = |&gate: &usize| {
            let gate = &self.cavity.passages[gate];
            let h = 0.5 * (gate.half_gap[0] + gate.half_gap[1]);
            let inside = h * h / (2.5 * self.material.diffusivity());
            inside + h * self.material.volumetric_heat() / self.drive.contact
        };
        self.cavity.gates.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    fn moment(&self) -> Moment<'_> {
        Moment {
            time: self.time,
            nozzle: self.drive.pressure(self.time),
            pressure: &self.masses.pressure,
            temperature: &self.temperature,
        }
    }

    /// One step: conduction, then the masses, then the heat that the flow carries along.
    fn step(&mut self, dt: f64, shut: &[bool], sealed: bool) {
        self.effort.steps += 1;
        let nozzle = self.drive.pressure(self.time);
        // Behind shut gates, with the nozzle let off, next to nothing flows any more.
        let stirs = self.drive.convection && !(sealed && nozzle == 0.0);
        if !stirs {
            self.warming.fill(0.0);
        }
        self.leaving.clone_from(&self.content);
        self.conduct(dt);
        self.start_resistance.clone_from(&self.resistance);
        for i in 0..shut.len() {
            if !shut[i] {
                self.soften(i);
            }
        }
        self.resist(shut, 0.0);
        self.masses.begin(self.cavity, &self.temperature);
        self.masses.solve(self.cavity, &self.temperature, &self.mean_resistance, nozzle, dt);
        // The fluidity depends on the stress, and the stress on what flows: with the stress of the last
        // step alone a gate that closes would close too soon. Once more brings second order.
        self.note_stress(dt);
        if !sealed && self.resist(shut, SAME_STRESS) {
            self.masses.solve(self.cavity, &self.temperature, &self.mean_resistance, nozzle, dt);
            self.note_stress(dt);
        }
        self.masses.commit();
        self.solved_temperature.clone_from(&self.temperature);
        if stirs {
            self.convect(dt);
        }
        self.time += dt;
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

    /// Resistances of the step, of the cells whose stress has changed by more than `changed` in its
    /// logarithm; returns whether there were any. They grow by orders of magnitude as a section freezes:
    /// their geometric mean over the step is of second order. Cells of a shut gate are shut.
    fn resist(&mut self, shut: &[bool], changed: f64) -> bool {
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

    /// The stress that the flow caused sets the fluidity of the next step; below a hundredth of the
    /// reference stress the melt is taken as Newtonian.
    fn note_stress(&mut self, dt: f64) {
        let floor = self.material.log_reference_stress - 4.6;
        let least = floor.exponential();
        for (i, cell) in self.cavity.cells.iter().enumerate() {
            let layers = self.cavity.layers(i);
            let flow = self.masses.flow(i, dt).abs();
            let gradient = flow * self.mean_resistance[i] / (cell.taper_factor * cell.length);
            let stress = gradient * cell.half_gap / f64::from(1 + layers.kind.power());
            self.log_stress[i] = if stress > least { stress.logarithm() } else { floor };
        }
    }

    /// Mobilities of a cell as warm as it is: [`Self::conductance`] at any stress goes by them.
    fn soften(&mut self, i: usize) {
        let n = self.layers;
        let p = greater(self.masses.pressure[i], 0.0);
        let warm = i * n..i * n + self.warm(i);
        self.material.mobilities(&self.temperature[warm.clone()], p, &mut self.mobility[warm]);
    }

    /// How many layers of a cell, from the middle on, are not frozen through, or lie inside of one that is not.
    fn warm(&self, i: usize) -> usize {
        let frozen = self.material.no_flow - FROZEN_THROUGH;
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
        if self.temperature[i * n] < self.material.no_flow - FROZEN_THROUGH {
            self.fluidity[i * n..(i + 1) * n].fill(self.material.frozen_mobility());
            return LEAST_CONDUCTANCE;
        }
        let x = log_stress - self.material.log_reference_stress;
        let (frozen, still) = (self.material.no_flow - FROZEN_THROUGH, self.material.frozen_mobility());
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
        let sum = dot(fluidity, weights);
        let stress_per_drop =
            cell.half_gap / (f64::from(1 + layers.kind.power()) * cell.taper_factor * cell.length);
        // Zero and infinity have no place in the pressure equation.
        (cell.copies * cell.flow_constant * sum * stress_per_drop).clamp(LEAST_CONDUCTANCE, 1e20)
    }

    /// Carries heat along with what flowed in the step.
    fn convect(&mut self, dt: f64) {
        let mut convection = std::mem::take(&mut self.convection);
        self.stirred.clear();
        convection.carry(self, dt);
        self.convection = convection;
        self.effort.stirred += self.stirred.len() as u32;
        for k in 0..self.stirred.len() {
            let i = self.stirred[k];
            // Elsewhere melt that creeps changes next to nothing of what holds it back.
            if self.in_gate(i) {
                self.soften(i);
                self.resistance[i] = 1.0 / self.conductance(i, self.log_stress[i]);
            }
        }
    }

    /// Conducts in every cell.
    fn conduct(&mut self, dt: f64) {
        let mut conduction = std::mem::take(&mut self.conduction);
        conduction.step(self, dt);
        self.conduction = conduction;
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
