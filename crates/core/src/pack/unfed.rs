//! What a section loses of its volume while it is soft and no longer fed.
//!
//! A section under pressure is full. From the moment it has none, nothing feeds it: what is still soft in it contracts
//! until it is rigid, and leaves a void inside or a sink outside. The loss is Σ a_j (1 − r(T_j)/r(T_s)) over the layers j
//! warmer than T_s at that moment, with their shares of the area a_j and relative densities r without pressure. T_s is
//! where the main part of the binder has solidified ([`crate::feedstock::Material::rigid`]). The melt stops flowing before,
//! at the no-flow temperature, but much of the contraction on solidifying comes after. What is rigid contracts as a solid:
//! that makes the part smaller and is no sink. A section that comes under pressure again has lost nothing; where it is
//! only fed in part, the loss is at most the void that is left when its middle is rigid.
//!
//! When the mould opens, every section loses its pressure. What it holds more than without pressure makes up for the
//! contraction of what is still soft; the loss is what is missing.

use super::state::State;
use crate::scenario::Role;

/// A cell of a part.
struct Cell {
    index: usize,
    /// Whether it was under pressure after the last step.
    fed: bool,
    /// Whether its middle is rigid.
    set: bool,
}

/// Watches the cells of the parts.
pub(super) struct Unfed {
    cells: Vec<Cell>,
    /// What each cell of the cavity has lost, as a share of its volume.
    pub loss: Vec<f64>,
    /// Layer temperatures \[K\] and masses of the cells when they were last under pressure, or at the start.
    temperature: Vec<f64>,
    mass: Vec<f64>,
}

impl Unfed {
    pub fn new(t: &State<'_>) -> Self {
        let c = t.cavity;
        let is_part = |&i: &usize| c.passages[c.cells[i].passage].role == Role::Part;
        let cells = (0..c.cells.len()).filter(is_part);
        let mut unfed = Self {
            cells: cells.map(|index| Cell { index, fed: true, set: false }).collect(),
            loss: vec![0.0; c.cells.len()],
            temperature: t.temperature.clone(),
            mass: t.masses.mass.clone(),
        };
        unfed.note(t);
        unfed
    }

    /// Notes the step just done.
    pub fn note(&mut self, t: &State<'_>) {
        for k in 0..self.cells.len() {
            let i = self.cells[k].index;
            let layers = i * t.layers..(i + 1) * t.layers;
            let set = t.temperature[layers.start] <= t.material.rigid;
            if t.masses.pressure[i] > 0.0 {
                (self.cells[k].fed, self.loss[i], self.mass[i]) = (true, 0.0, t.masses.mass[i]);
                self.temperature[layers.clone()].copy_from_slice(&t.temperature[layers]);
            } else {
                if std::mem::take(&mut self.cells[k].fed) {
                    self.loss[i] = self.lost_in_step(t, i);
                }
                if set {
                    self.loss[i] = self.loss[i].min(t.masses.void_share(i));
                }
            }
            self.cells[k].set = set;
        }
        self.cells.retain(|cell| !cell.set);
    }

    /// Notes that the mould opened at a share of the step just done. Nothing changes any more.
    pub fn open(&mut self, t: &State<'_>, share: f64) {
        for cell in std::mem::take(&mut self.cells).into_iter().filter(|cell| cell.fed) {
            let i = cell.index;
            let missing = |[excess, to_come]: [f64; 2]| (to_come - excess).max(0.0);
            let before = missing(self.before(t, i));
            let now = if t.masses.pressure[i] > 0.0 { missing(now(t, i)) } else { self.lost_in_step(t, i) };
            self.loss[i] = before + share * (now - before);
        }
    }

    /// Loss of a cell whose pressure was gone in the step just done: the mass of the cell stayed, its melt contracted.
    fn lost_in_step(&self, t: &State<'_>, i: usize) -> f64 {
        let void = t.masses.void_share(i);
        let [excess, before] = self.before(t, i);
        let f = if excess + void > 0.0 { excess / (excess + void) } else { 0.0 };
        let [_, now] = now(t, i);
        before + f * (now - before)
    }

    /// The state of a cell after the step before.
    fn before(&self, t: &State<'_>, i: usize) -> [f64; 2] {
        state(t, i, &self.temperature[i * t.layers..(i + 1) * t.layers], self.mass[i])
    }
}

/// The state of a cell after the step just done.
fn now(t: &State<'_>, i: usize) -> [f64; 2] {
    state(t, i, &t.temperature[i * t.layers..(i + 1) * t.layers], t.masses.mass[i])
}

/// How much more a cell holds than without pressure, and what is still to contract in it while soft, as shares, from its
/// layer temperatures \[K\] and its mass.
fn state(t: &State<'_>, i: usize, layers: &[f64], mass: f64) -> [f64; 2] {
    let [density, to_come] = t.masses.unpressed(t.cavity, i, layers, t.material.rigid);
    let excess = mass / (t.masses.volume[i] * density) - 1.0;
    [excess.max(0.0), to_come]
}
