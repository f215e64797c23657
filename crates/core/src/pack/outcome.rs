//! The result of the hold.

use super::accounts::{Balance, Effort};
use super::history::History;
use super::state::State;
use crate::cavity::Cavity;
use crate::scenario::Role;

/// The result of the hold, in SI; times count from the end of filling.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The hold in time.
    pub history: History,
    /// The gates.
    pub gates: Vec<Gate>,
    /// The ends of flow.
    pub ends: Vec<End>,
    /// Volumetric shrinkage of each cell, from its volume to that of its final mass when cold.
    pub shrinkage: Vec<f64>,
    /// The tenth of a part, along its path, that shrinks most.
    pub sink: Sink,
    /// Loss of volume of each cell while it was soft and no longer fed, as a share; of parts only.
    pub soft_loss: Vec<f64>,
    /// The tenth of a part, along its path, that loses most of that.
    pub unfed: Sink,
    /// Mass of the parts \[kg\].
    pub part_mass: f64,
    /// Greatest opening force of the hold \[N\].
    pub opening_force: f64,
    /// When every section of the part was cool enough to eject \[s\].
    pub part_cooled: Option<f64>,
    /// When sprue and runners were \[s\].
    pub runner_cooled: Option<f64>,
    /// When both were cool enough and the hold was over \[s\].
    pub ejected_after: Option<f64>,
    /// The parts when the mould opens; if it never does, when they come to rest.
    pub opened: Opened,
    /// Balances of mass and heat.
    pub balance: Balance,
    /// Work of the computation.
    pub effort: Effort,
}

/// The parts as the mould opens.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// When \[s\].
    pub time: f64,
    /// Mean pressure left in the parts behind the gate that has most \[Pa\].
    pub residual: f64,
    /// Mean temperature of the hottest section of parts, sprue and runners \[K\].
    pub hottest: f64,
    /// Heat lost to the wall until then, from the end of filling \[J\].
    pub lost: f64,
    /// Share of each cell that its melt leaves empty, as a void inside or a sink outside.
    pub void_share: Vec<f64>,
    /// Volumetric shrinkage of each cell from its volume to that of its mass at the temperature of that moment, without
    /// pressure.
    pub shrinkage: Vec<f64>,
}

impl Opened {
    /// Voids and shrinkage in a state.
    pub(super) fn at(t: &State<'_>, time: f64) -> Self {
        let (c, m, n) = (t.cavity, &t.masses, t.layers);
        let cells = 0..c.cells.len();
        let free = |i: usize| m.holds(c, i, &t.temperature[i * n..(i + 1) * n], 0.0);
        Self {
            time,
            residual: 0.0,
            hottest: t.drive.wall,
            lost: t.balance.lost,
            void_share: cells.clone().map(|i| m.void_share(i)).collect(),
            shrinkage: cells.map(|i| 1.0 - m.mass[i] / free(i)).collect(),
        }
    }
}

/// Where a part shrinks most: the mean over a tenth of its volume along its path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sink {
    /// Index of the passage.
    pub passage: usize,
    /// Volumetric shrinkage: from what it holds at last to the cold part, or while soft and no longer fed.
    pub shrinkage: f64,
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
    /// The gate that sealed it, as an index of [`Hold::gates`]: the last to freeze of those through which melt could
    /// come, weld lines included.
    pub gate: usize,
    /// When that gate froze; the end of the computation if it never does \[s\].
    pub sealed_after: f64,
    /// Mean pressure at the end of flow at that time \[Pa\].
    pub sealed_pressure: f64,
    /// Mean temperature at the end of flow at that time \[K\].
    pub sealed_temperature: f64,
    /// Volumetric shrinkage of the end of flow, as in [`Hold::shrinkage`].
    pub shrinkage: f64,
}

impl Hold {
    /// When the last gate froze \[s\]; `None` where one never does.
    pub fn gate_freeze(&self) -> Option<f64> {
        self.gates.iter().try_fold(0.0, |last: f64, g| Some(last.max(g.freeze?)))
    }

    /// Share of the parts' mass at a time \[s\] that they have lost in the end: what flows back.
    pub fn flows_back_after(&self, time: f64) -> f64 {
        let h = &self.history;
        let then = h.time.iter().rposition(|t| *t <= time * (1.0 + 1e-9)).unwrap_or(0);
        h.part_mass.get(then).map_or(0.0, |mass| (1.0 - self.part_mass / mass).max(0.0))
    }

    /// Mass of the green parts made in some passages over that of cold mixture in their volume, all copies: the mean
    /// over their volume of 1 less the shrinkage.
    pub fn filled_when_cold(&self, cavity: &Cavity, passages: &[usize]) -> f64 {
        let cells = || passages.iter().flat_map(|&p| cavity.ranges[p].clone());
        let volume: f64 = cells().map(|i| cavity.cells[i].whole_volume()).sum();
        let lost: f64 = cells().map(|i| self.shrinkage[i] * cavity.cells[i].whole_volume()).sum();
        1.0 - lost / volume
    }
}

/// Final masses of the cells.
pub(super) struct Cells {
    /// Mass \[m³ of cold mixture\].
    pub mass: Vec<f64>,
    pub shrinkage: Vec<f64>,
}

impl Cells {
    /// Final masses. If a gate never froze, melt flows back through it when the hold ends: the cells behind it come to the
    /// wall's temperature without pressure, as they do behind a gate that freezes late.
    pub fn of(t: &State<'_>, gates: &[Gate]) -> Self {
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
            mass,
        }
    }
}

/// The ends of flow. For each gate that froze, `sealed` has pressure and temperature of every end at that moment;
/// `weights` has the cells of each end with their weights in the mean.
pub(super) fn ends(
    t: &State<'_>,
    gates: &[Gate],
    sealed: &[Option<&Vec<(f64, f64)>>],
    weights: &[Vec<(usize, f64)>],
    cells: &Cells,
) -> Vec<End> {
    let c = t.cavity;
    let frozen = |g: usize| gates[g].freeze.unwrap_or(f64::INFINITY);
    let of = |(k, &cell): (usize, &usize)| {
        let passage = c.cells[cell].passage;
        let last = c.gates_of(passage).into_iter().max_by(|&a, &b| frozen(a).total_cmp(&frozen(b)));
        let gate = last.unwrap_or(0);
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

/// Shrinkages that differ by less than this are equal.
const SAME: f64 = 1e-9;

/// The tenth of a part that shrinks most. A single cell would depend on the grid: the temperatures of the fountain flow
/// converge slowly at the end of flow.
pub(super) fn sink(c: &Cavity, shrinkage: &[f64]) -> Sink {
    let is_part = |i: &usize| c.passages[c.cells[*i].passage].role == Role::Part;
    let volume = |i: usize| c.cells[i].volume;
    let part_of = |end: usize| c.path_back(end).take_while(is_part).map(volume).sum::<f64>();
    let least = c.ends.iter().map(|&end| part_of(end)).filter(|v| *v > 0.0).fold(f64::INFINITY, f64::min);
    let tenth = 0.1 * least;
    let mut worst = Sink { passage: 0, shrinkage: f64::NEG_INFINITY };
    for last in (0..c.cells.len()).filter(is_part) {
        let (mut left, mut mean) = (tenth, 0.0);
        for i in c.path_back(last).take_while(is_part) {
            let part = volume(i).min(left);
            mean += part * shrinkage[i];
            left -= part;
            if left <= 0.0 {
                break;
            }
        }
        // The first of equal ones: rounding must not decide.
        if left <= 1e-9 * tenth && mean > (worst.shrinkage + SAME) * tenth {
            worst = Sink { passage: c.cells[last].passage, shrinkage: mean / tenth };
        }
    }
    if worst.shrinkage.is_finite() { worst } else { Sink { passage: 0, shrinkage: 0.0 } }
}

/// The balances at the end of the hold, with the mass in the cells by pvT.
pub(super) fn balance(t: &State<'_>) -> Balance {
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

#[cfg(test)]
mod tests {
    use super::sink;
    use crate::case::Case;
    use crate::cavity::Cavity;
    use crate::scenario::Scenario;
    use std::sync::Arc;

    /// A runner, and behind it a short and a long plate, both tapering; the long one stands there twice.
    fn fork() -> Arc<Cavity> {
        let strip = |l: u32, w: [u32; 2], h: [f64; 2]| {
            format!(
                r#"{{"strip":{{"length":{l},"width":{},"width_end":{},"thickness":{},"thickness_end":{}}}}}"#,
                w[0], w[1], h[0], h[1]
            )
        };
        let (short, long) = (strip(20, [10, 12], [2.0, 1.0]), strip(50, [12, 8], [1.2, 2.0]));
        let text = format!(
            r#"{{"gatefrost":1,"name":"fork","cavity":{{"passages":[
                {{"name":"runner","role":"runner","form":{{"tube":{{"length":20,"diameter":5}}}}}},
                {{"name":"short","role":"part","form":{short}}},
                {{"name":"long","role":"part","after":"runner","copies":2,"form":{long}}}]}},
                "model":{{"axial_cells":600}}}}"#
        );
        Case::resolve(&Scenario::from_json(&text).expect("valid")).cavity
    }

    /// Volume of one copy of a passage, and of each of its cells what lies before its middle.
    fn volumes(c: &Cavity, passage: usize) -> (f64, Vec<(usize, f64)>) {
        let mut before = 0.0;
        let middles = c.ranges[passage].clone().map(|i| {
            before += c.cells[i].volume;
            (i, before - 0.5 * c.cells[i].volume)
        });
        let middles = middles.collect();
        (before, middles)
    }

    /// Shrinkage that rises evenly with the volume passed, from none to one: over the last share f of a path its mean is
    /// 1 − f/2. A tenth is a tenth of the path with the smallest part; what the runner loses is no part's.
    #[test]
    fn the_worst_tenth_is_a_tenth_of_the_smallest_part() {
        let c = fork();
        let (smallest, largest) = (volumes(&c, 1).0, volumes(&c, 2).0);
        assert!(smallest < 0.6 * largest, "{smallest} {largest}");
        for (passage, whole) in [(1, smallest), (2, largest)] {
            for falls in [false, true] {
                let mut shrinkage = vec![0.0; c.cells.len()];
                shrinkage[c.ranges[0].clone()].fill(5.0);
                for (i, before) in volumes(&c, passage).1 {
                    let share = before / whole;
                    shrinkage[i] = if falls { 1.0 - share } else { share };
                }
                let found = sink(&c, &shrinkage);
                let expected = 1.0 - 0.05 * smallest / whole;
                assert_eq!(found.passage, passage);
                // The stretch ends where a cell does.
                assert!((found.shrinkage - expected).abs() < 8e-3, "{} against {expected}", found.shrinkage);
            }
        }
    }
}
