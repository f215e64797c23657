//! What a section loses of its volume while it is soft and no longer fed.
//!
//! A section under pressure is full. From the moment it has none, nothing feeds it: what is still soft in it contracts
//! until it sets at the no-flow temperature, and leaves a void inside or a sink outside. The loss is
//! Σ a_j (1 − r(T_j)/r(T_nf)) over the layers j warmer than the no-flow temperature at that moment, with their
//! shares of the area a_j and relative densities r without pressure. What has set contracts as a solid: that makes the
//! part smaller and is no sink. A section that comes under pressure again has lost nothing; where it is only fed in part,
//! the loss is at most the void that is left when its middle sets.

use super::state::State;
use crate::scenario::Role;

/// A cell of a part.
struct Cell {
    index: usize,
    /// Whether it was under pressure after the last step.
    fed: bool,
    /// Whether its middle has set.
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
        for cell in &mut self.cells {
            let i = cell.index;
            let layers = i * t.layers..(i + 1) * t.layers;
            let set = t.temperature[layers.start] <= t.material.no_flow;
            if t.masses.pressure[i] > 0.0 {
                (cell.fed, self.loss[i], self.mass[i]) = (true, 0.0, t.masses.mass[i]);
                self.temperature[layers.clone()].copy_from_slice(&t.temperature[layers]);
            } else {
                let void = t.masses.void_share(i);
                if std::mem::take(&mut cell.fed) {
                    let [excess, before] = state(t, i, &self.temperature[layers.clone()], self.mass[i]);
                    // Where in the step the pressure was gone: the mass of the cell stayed, its melt contracted.
                    let f = if excess + void > 0.0 { excess / (excess + void) } else { 0.0 };
                    let [_, now] = state(t, i, &t.temperature[layers], t.masses.mass[i]);
                    self.loss[i] = before + f * (now - before);
                }
                if set {
                    self.loss[i] = self.loss[i].min(void);
                }
            }
            cell.set = set;
        }
        self.cells.retain(|cell| !cell.set);
    }
}

/// How much more a cell holds than without pressure, and what is still to contract in it while soft, as shares, from its
/// layer temperatures \[K\] and its mass.
fn state(t: &State<'_>, i: usize, layers: &[f64], mass: f64) -> [f64; 2] {
    let [density, to_come] = t.masses.unpressed(t.cavity, i, layers, t.material.no_flow);
    let excess = mass / (t.masses.volume[i] * density) - 1.0;
    [excess.max(0.0), to_come]
}
