//! What came of the hold.

use super::events::History;
use super::transient::Transient;

/// What came of the hold, SI; times from the end of filling.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The way there.
    pub history: History,
    /// The gates.
    pub gates: Vec<Gate>,
    /// The ends of flow.
    pub ends: Vec<End>,
    /// Volumetric shrinkage of each cell, from what it holds at last to the cold part.
    pub shrinkage: Vec<f64>,
    /// Share of each cell that its melt leaves empty at last: a void inside or a sink outside.
    pub void_share: Vec<f64>,
    /// Mass of the parts \[kg\].
    pub part_mass: f64,
    /// Greatest opening force of the hold \[N\].
    pub opening_force: f64,
    /// When every section of the part was cool enough to eject \[s\].
    pub part_cooled: Option<f64>,
    /// When sprue and runners were \[s\].
    pub runner_cooled: Option<f64>,
    /// When both were and the hold was over \[s\].
    pub ejected_after: Option<f64>,
    /// Mean pressure left in the parts then \[Pa\].
    pub residual_pressure: f64,
    /// Balances of mass and heat.
    pub balance: Balance,
}

/// A gate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Index of the passage.
    pub passage: usize,
    /// When its fluidity fell to a thousandth of that at the end of filling \[s\].
    pub freeze: Option<f64>,
    /// When its middle reached the no-flow temperature \[s\].
    pub centre_freeze: Option<f64>,
}

/// An end of flow: the last tenth of the volume on the way there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Index of the passage.
    pub passage: usize,
    /// Its gate, counted in [`Hold::gates`].
    pub gate: usize,
    /// When that gate sealed it; the end of the computation where it never does \[s\].
    pub sealed_after: f64,
    /// Mean pressure there then \[Pa\].
    pub sealed_pressure: f64,
    /// Mean temperature there then \[K\].
    pub sealed_temperature: f64,
    /// Volumetric shrinkage there, from what it holds at last to the cold part.
    pub shrinkage: f64,
}

/// Balances of the hold: mass in volumes of cold mixture \[m³\], heat above the wall \[J\].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Mass there at first, from pvT.
    pub mass_before: f64,
    /// Mass that came in from the nozzle.
    pub mass_delivered: f64,
    /// Mass there at last, from pvT: ∫ρ dV.
    pub mass_after: f64,
    /// Heat stored at first and at last.
    pub stored: [f64; 2],
    /// Heat brought by the melt.
    pub inflow: f64,
    /// Heat of dissipation.
    pub dissipated: f64,
    /// Heat lost to the wall.
    pub lost: f64,
    /// Heat of what was packed in on top of the volume.
    pub packed: f64,
}

impl Balance {
    /// (Mass before + delivered − after)/before.
    pub fn mass_closure(&self) -> f64 {
        (self.mass_before + self.mass_delivered - self.mass_after) / self.mass_before
    }

    /// What is missing from the heat balance, relative to all heat that was there or came in plus
    /// `floor` \[J\].
    pub fn enthalpy_closure(&self, floor: f64) -> f64 {
        let came = self.stored[0] + self.inflow.abs() + self.dissipated;
        let missing =
            self.stored[0] + self.inflow + self.dissipated - self.lost - self.packed - self.stored[1];
        missing / (came + floor)
    }
}

impl Hold {
    /// When the last gate froze \[s\]; `None` where one never does.
    pub fn gate_freeze(&self) -> Option<f64> {
        self.gates.iter().try_fold(0.0, |last: f64, g| Some(last.max(g.freeze?)))
    }

    /// The end of flow that shrinks most.
    pub fn worst_end(&self) -> End {
        let more = |a: &End, b: &End| a.shrinkage.total_cmp(&b.shrinkage);
        self.ends.iter().copied().max_by(more).unwrap_or(End {
            passage: 0,
            gate: 0,
            sealed_after: 0.0,
            sealed_pressure: 0.0,
            sealed_temperature: 0.0,
            shrinkage: 0.0,
        })
    }
}

/// What each cell holds at last.
pub(super) struct Cells {
    /// Mass \[m³ of cold mixture\].
    pub mass: Vec<f64>,
    pub shrinkage: Vec<f64>,
    pub void_share: Vec<f64>,
}

impl Cells {
    /// A gate that never froze lets the melt flow back when the hold ends: what it fed comes to the wall's
    /// temperature without pressure, as it does behind a gate that freezes late.
    pub fn of(t: &Transient<'_>, gates: &[Gate]) -> Self {
        let (c, m) = (t.cavity, &t.masses);
        let settled = vec![t.drive.wall; t.layers];
        let mass: Vec<f64> = (0..c.cells.len())
            .map(|i| {
                let gate = c.gate_of(c.cells[i].passage);
                if gate.is_none_or(|g| gates[g].freeze.is_some()) {
                    return m.mass[i];
                }
                m.holds(c, i, &settled, 0.0)
            })
            .collect();
        Self {
            shrinkage: mass.iter().zip(&m.volume).map(|(mass, volume)| 1.0 - mass / volume).collect(),
            void_share: (0..c.cells.len()).map(|i| m.void_share(i)).collect(),
            mass,
        }
    }
}

/// The ends of flow. `sealed` holds, for each gate that froze, pressure and temperature of every end at
/// that moment; `weights` the cells of each end.
pub(super) fn ends(
    t: &Transient<'_>,
    gates: &[Gate],
    sealed: &[Option<&Vec<(f64, f64)>>],
    weights: &[Vec<(usize, f64)>],
    cells: &Cells,
) -> Vec<End> {
    let c = t.cavity;
    let of = |(k, &cell): (usize, &usize)| {
        let passage = c.cells[cell].passage;
        let gate = c.gate_of(passage).unwrap_or(0);
        let mean = weights[k].iter().map(|&(i, w)| w * t.mean[i]).sum();
        let (pressure, temperature) = sealed[gate].map_or((0.0, mean), |ends| ends[k]);
        End {
            passage,
            gate,
            sealed_after: gates[gate].freeze.unwrap_or(t.time),
            sealed_pressure: pressure.max(0.0),
            sealed_temperature: temperature,
            shrinkage: weights[k].iter().map(|&(i, w)| w * cells.shrinkage[i]).sum(),
        }
    };
    c.ends.iter().enumerate().map(of).collect()
}

/// The balances at the end of the hold, with the mass that pvT finds in the cells.
pub(super) fn balance(t: &Transient<'_>) -> Balance {
    let (c, m) = (t.cavity, &t.masses);
    let found = |i: usize| {
        let layers = &t.solved_temperature[i * t.layers..(i + 1) * t.layers];
        m.holds(c, i, layers, m.pressure[i].max(0.0)) * (1.0 - m.void_share(i))
    };
    Balance {
        mass_before: m.first,
        mass_delivered: m.delivered,
        mass_after: (0..c.cells.len()).map(found).sum(),
        stored: [t.balance.stored[0], t.stored()],
        ..t.balance
    }
}
