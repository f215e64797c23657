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
    /// Under pressure: how much more it holds than without, and what is still to contract in it, as shares.
    fed: Option<[f64; 2]>,
    /// Whether its middle has set.
    set: bool,
}

/// Watches the cells of the parts.
pub(super) struct Unfed {
    cells: Vec<Cell>,
    /// What each cell of the cavity has lost, as a share of its volume.
    pub loss: Vec<f64>,
}

impl Unfed {
    pub fn new(t: &State<'_>) -> Self {
        let c = t.cavity;
        let is_part = |&i: &usize| c.passages[c.cells[i].passage].role == Role::Part;
        let cells = (0..c.cells.len()).filter(is_part);
        let mut unfed = Self {
            cells: cells.map(|index| Cell { index, fed: Some([0.0; 2]), set: false }).collect(),
            loss: vec![0.0; c.cells.len()],
        };
        for cell in &mut unfed.cells {
            cell.fed = Some(state(t, cell.index));
        }
        unfed.note(t);
        unfed
    }

    /// Notes the step just done.
    pub fn note(&mut self, t: &State<'_>) {
        for cell in self.cells.iter_mut().filter(|cell| !cell.set) {
            let i = cell.index;
            cell.set = t.temperature[i * t.layers] <= t.material.no_flow;
            if t.masses.pressure[i] > 0.0 {
                cell.fed = Some(state(t, i));
                self.loss[i] = 0.0;
                continue;
            }
            let void = t.masses.void_share(i);
            if let Some([excess, before]) = cell.fed.take() {
                // Where in the step the pressure was gone: the mass of the cell stayed, its melt contracted.
                let f = if excess + void > 0.0 { excess / (excess + void) } else { 0.0 };
                let now = state(t, i)[1];
                self.loss[i] = before + f * (now - before);
            }
            if cell.set {
                self.loss[i] = self.loss[i].min(void);
            }
        }
    }
}

/// How much more a cell holds than without pressure, and what is still to contract in it while soft, as shares.
fn state(t: &State<'_>, i: usize) -> [f64; 2] {
    let layers = &t.temperature[i * t.layers..(i + 1) * t.layers];
    let [density, to_come] = t.masses.unpressed(t.cavity, i, layers, t.material.no_flow);
    let excess = t.masses.mass[i] / (t.masses.volume[i] * density) - 1.0;
    [excess.max(0.0), to_come]
}
