//! The state of a fill and one step of it.

use super::accounts::{Balance, Effort};
use super::affine::Affine;
use super::drive::Drive;
use super::section;
use crate::cavity::Cavity;
use crate::feedstock::Material;
use crate::wall::{Kernel, Side, StepOfSteel, SurfaceHeat};

/// A front of the melt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Front {
    /// Cell that it is in.
    pub cell: usize,
    /// Heat content of the melt that it deposits, as a temperature \[K\].
    pub(super) content: f64,
    /// Temperature of the melt that it deposits \[K\].
    pub temperature: f64,
    /// Time from the start of the step to its entry into the cell \[s\].
    pub(super) late: f64,
}

/// Two fronts that meet in one cell when it is full.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weld {
    /// The last cell of the front that arrived second, and the cell of the other front, in which they meet.
    pub cells: [usize; 2],
    /// Share of the second cell that its own front fills.
    pub share: f64,
    /// Time at which they met. Before that, the time at which the second front arrived \[s\].
    pub time: f64,
    /// Temperature of the two fronts \[K\].
    pub temperature: [f64; 2],
}

/// The melt in the path at one instant.
#[derive(Debug, Clone)]
pub struct March<'a> {
    pub(super) material: &'a Material,
    pub(super) cavity: &'a Cavity,
    pub(super) drive: Drive,
    pub(super) layers: usize,
    /// Cells the melt has reached. Each comes after the cell that feeds it.
    pub reached: Vec<usize>,
    /// The cell that feeds each cell; `None` for the cell at the nozzle and for cells not yet reached.
    pub feeder: Vec<Option<usize>>,
    /// Share of each cell that is full.
    pub share: Vec<f64>,
    /// The fronts, at most one in a cell.
    pub fronts: Vec<Front>,
    /// Cells that the flow ends in: the cells of the fronts, and the last cells before a weld. In a full path, the
    /// cells that were filled last.
    pub(super) outlets: Vec<usize>,
    /// Fronts that met.
    pub welds: Vec<Weld>,
    /// Times at which each cell was reached and was full \[s\].
    pub times: Vec<[f64; 2]>,
    /// Time since injection began \[s\].
    pub time: f64,
    /// Hottest melt so far, at most 1000 °C \[K\].
    pub hottest: f64,
    /// Coldest front so far \[K\].
    pub coldest_front: f64,
    /// Balances so far.
    pub balance: Balance,
    /// Work so far.
    pub effort: Effort,
    /// Layer temperatures, cell by cell \[K\].
    pub temperature: Vec<f64>,
    /// Layer heat contents, cell by cell \[K\].
    pub content: Vec<f64>,
    /// Flow into each cell, all copies \[m³/s\].
    pub rate: Vec<f64>,
    /// Greatest flow into each cell so far, all copies \[m³/s\]. Trial solutions are left out of this and of the other
    /// greatest values.
    pub greatest_flow: Vec<f64>,
    /// Wall stress of each cell.
    pub stress: Vec<section::Stress>,
    /// ln of the stress one step earlier, to extrapolate a first guess.
    pub(super) stress_before: Vec<f64>,
    /// Time at which the flow was last solved \[s\].
    pub(super) solved_at: f64,
    /// Pressure drop over each cell if it were full \[Pa\].
    pub drop: Vec<f64>,
    /// Pressure in the middle of each cell \[Pa\].
    pub pressure: Vec<f64>,
    /// Pressure where each cell's flow leaves it \[Pa\].
    pub(super) exit: Vec<f64>,
    /// Greatest shear rate over the gap of each cell, from the last solution \[1/s\].
    pub(super) shear_rate: Vec<f64>,
    /// Greatest shear rate of each cell so far \[1/s\].
    pub greatest_rate: Vec<f64>,
    /// Greatest wall stress of each cell so far \[Pa\].
    pub greatest_stress: Vec<f64>,
    /// Layer heat contents of the melt that leaves each cell \[K\].
    pub(super) leaving: Vec<f64>,
    /// Heat content that the front last deposited in each cell \[K\].
    pub(super) laid: Vec<f64>,
    /// Heat that the steel at each cell has taken.
    pub steel: Vec<SurfaceHeat>,
    /// How the steel at each passage answers a heat flux; empty if it does not warm.
    pub(super) kernels: Vec<Kernel>,
    /// The last step of the steel: most steps of a fill are alike.
    pub(super) steel_step: StepOfSteel,
    /// The cooling by the side walls in each cell.
    pub side: Vec<Side>,
    /// Share of the flow of each cell that slips along its wall.
    pub slip: Vec<f64>,
    pub(super) psi: Vec<f64>,
    pub(super) heat: Vec<f64>,
    pub(super) affine: Vec<Affine>,
    pub(super) scratch: Scratch,
}

/// Buffers of one section, kept to avoid allocation in the loop.
#[derive(Debug, Clone)]
pub(super) struct Scratch {
    pub mobility: Vec<f64>,
    pub slopes: Vec<f64>,
    pub carried: Vec<f64>,
    pub inflow: Vec<(f64, f64)>,
    pub outflow: Vec<f64>,
    pub weight: Vec<f64>,
    pub right: Vec<f64>,
    pub eliminated: Vec<f64>,
    /// The cooling by the side walls in the melt that flows into the cell.
    pub side: Side,
}

impl<'a> March<'a> {
    /// An empty path, the front at the nozzle.
    pub fn new(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Self {
        let cells = cavity.cells.len();
        let layers = cavity.flat.count();
        let content = material.heat.of(drive.melt);
        let mut march = Self {
            material,
            cavity,
            drive,
            layers,
            reached: Vec::with_capacity(cells),
            feeder: vec![None; cells],
            share: vec![0.0; cells],
            fronts: Vec::new(),
            outlets: vec![0],
            welds: Vec::new(),
            times: vec![[f64::INFINITY; 2]; cells],
            time: 0.0,
            hottest: drive.melt,
            coldest_front: drive.melt,
            balance: Balance::default(),
            effort: Effort::default(),
            temperature: vec![drive.melt; cells * layers],
            content: vec![content; cells * layers],
            rate: vec![0.0; cells],
            greatest_flow: vec![0.0; cells],
            solved_at: f64::NEG_INFINITY,
            stress_before: vec![material.log_reference_stress; cells],
            stress: vec![section::Stress::new(material.log_reference_stress); cells],
            drop: vec![0.0; cells],
            pressure: vec![0.0; cells],
            exit: vec![0.0; cells],
            shear_rate: vec![0.0; cells],
            greatest_rate: vec![0.0; cells],
            greatest_stress: vec![0.0; cells],
            leaving: vec![content; cells * layers],
            laid: vec![content; cells],
            steel: vec![SurfaceHeat::default(); if drive.contact.steel.is_some() { cells } else { 0 }],
            kernels: drive.contact.kernels(cavity),
            steel_step: StepOfSteel::new(0.0),
            side: vec![Side::default(); cells],
            slip: vec![0.0; cells],
            psi: vec![0.0; cells * (layers + 1)],
            heat: vec![0.0; cells * layers],
            affine: vec![Affine::default(); cells],
            scratch: Scratch {
                mobility: vec![0.0; layers],
                slopes: vec![0.0; 3 * layers],
                carried: vec![0.0; layers],
                inflow: vec![(0.0, 0.0); layers],
                outflow: vec![0.0; layers],
                weight: vec![0.0; layers],
                right: vec![0.0; layers],
                eliminated: vec![0.0; 4 * layers],
                side: Side::default(),
            },
        };
        march.enter(0, None, content, 0.0);
        march.rate[0] = drive.rate_at(0.0);
        march
    }

    /// The path that is filled.
    pub fn cavity(&self) -> &'a Cavity {
        self.cavity
    }

    /// Whether every cell is full.
    pub fn is_full(&self) -> bool {
        self.fronts.is_empty()
    }

    /// Whether the work has passed its bound. From then on the flow is solved roughly, so that every fill ends.
    pub fn is_rough(&self) -> bool {
        self.effort.iterations > Effort::bound(self.cavity.cells.len())
    }

    /// Volume filled so far, all copies \[m³\].
    pub fn volume(&self) -> f64 {
        let of = |&i: &usize| self.share[i] * self.cavity.cells[i].volume * self.cavity.cells[i].copies;
        self.reached.iter().map(of).sum()
    }

    /// Length of the next step \[s\]. The flow is taken as constant until the first front has filled its cell or, with
    /// many fronts, for the time in which they fill their cells on average. So the work grows with the number of
    /// branches and not with its square. The step ends before any front reaches a junction, a weld or an end of flow.
    pub fn time_to_next(&self) -> f64 {
        let flowing = || self.fronts.iter().map(|f| (f.cell, self.rate_into(f.cell))).filter(|f| f.1 > 0.0);
        let next = flowing().map(|(i, rate)| self.room(i) / rate).fold(f64::INFINITY, f64::min);
        let volume: f64 = flowing().map(|(i, _)| self.room(i)).sum();
        let mut time = next.max(volume / self.rate[0]);
        for (i, rate) in flowing() {
            let (mut before, mut cell, mut run) = (self.feeder[i], i, self.room(i) / rate);
            while run < time
                && let Some(next) = self.onward(before, cell)
            {
                run += self.room(next) / rate;
                (before, cell) = (Some(cell), next);
            }
            time = time.min(run);
        }
        time
    }

    /// Greatest rise of the nozzle pressure until a front has filled its cell, at the present flow \[Pa\].
    pub(super) fn rise_to_next(&self) -> f64 {
        self.fronts.iter().map(|f| (1.0 - self.share[f.cell]) * self.drop[f.cell]).fold(0.0, f64::max)
    }

    /// Empty volume of a cell, all copies \[m³\].
    fn room(&self, i: usize) -> f64 {
        self.cavity.cells[i].whole_volume() * (1.0 - self.share[i])
    }

    /// Flow into a front's cell from all sides \[m³/s\].
    fn rate_into(&self, i: usize) -> f64 {
        self.rate[i] + self.joining(i).map(|k| self.rate[self.welds[k].cells[0]]).sum::<f64>()
    }

    /// Lets the melt flow at the present rates for `dt`, at most [`Self::time_to_next`].
    pub fn advance(&mut self, dt: f64) {
        let delivered = self.rate[0] * dt;
        let above = self.material.heat.of(self.drive.melt) - self.material.heat.of(self.drive.wall);
        self.balance.delivered += delivered;
        self.balance.inflow += self.material.volumetric_heat() * above * delivered;
        self.effort.steps += 1;
        let start = self.time;
        let end = start + dt;
        let mut k = 0;
        // Cells that a front enters during this step are appended, each after the cell that feeds it.
        while let Some(&i) = self.reached.get(k) {
            k += 1;
            if self.share[i] <= 0.0 && self.rate[i] <= 0.0 {
                // A front that waits before an empty cell.
                continue;
            }
            self.bring_inflow(i);
            // Few fronts exist at a time, so the search is short.
            let front = if self.share[i] < 1.0 { self.fronts.iter().position(|f| f.cell == i) } else { None };
            let Some(front) = front else {
                self.conduct(i, dt, None);
                continue;
            };
            // A difference of absolute times would be lost to rounding where passages differ by many decades.
            let late = self.fronts[front].late;
            let here = dt - late;
            // A front that has just entered this cell deposits nothing yet.
            if here <= 1e-12 * dt {
                continue;
            }
            let room = 1.0 - self.share[i];
            let per_time = self.rate[i] / self.cavity.cells[i].whole_volume();
            let filled = room / per_time;
            // A remainder of the step of the size of rounding moves no front.
            let next = if filled < here * (1.0 - 1e-9) { self.onward(self.feeder[i], i) } else { None };
            let (until, added) =
                if next.is_some() { (filled, room) } else { (here, (per_time * here).min(room)) };
            self.deposit(front, added);
            self.conduct(i, until, Some(added));
            self.share[i] += added;
            if let Some(next) = next {
                self.go_on(front, next, start, late + until);
                self.bring_inflow(i);
                self.conduct(i, here - until, None);
            }
        }
        self.time = end;
        for front in 0..self.fronts.len() {
            self.join(self.fronts[front].cell, dt);
        }
        self.pass_on();
    }
}
