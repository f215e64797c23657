//! What happens during the hold, and when.

use super::FROZEN;
use super::accounts::Effort;
use super::history::History;
use super::outcome::{self, Gate, Hold};
use super::state::State;
use super::unfed::Unfed;
use crate::cavity::Cavity;
use crate::scenario::Role;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order::{greater, lesser};

/// A part has come to rest if it is less than this warmer than a wall that never lets it set \[K\].
const AT_REST: f64 = 0.1;

/// ln of the greatest openness that is reported, a million. A gate reaches it if it was nearly shut at the end of
/// filling and hot melt has opened it since.
const GREATEST_LOG_OPENNESS: f64 = 13.815_510_557_964_274;

/// ln of the openness below which what still creeps matters no more: a hundred thousandth. There a gate closes so fast
/// that following it would take many short steps.
const NEARLY_SHUT: f64 = -11.5;

/// Watches the hold for everything that has to happen before the part can be ejected.
pub(super) struct Events {
    gates: Vec<Watched>,
    /// Cells that a frozen gate has shut.
    pub shut: Vec<bool>,
    /// For each end of flow, the cells of its last tenth of volume with their weights in the mean.
    ends: Vec<Vec<(usize, f64)>>,
    part_cells: Vec<usize>,
    /// Cells of the parts, by the gate that feeds them.
    parts: Vec<Vec<usize>>,
    part_cooled: Option<f64>,
    runner_cooled: Option<f64>,
    ejected: Option<f64>,
    opened: Option<outcome::Opened>,
    opening_force: f64,
    history: History,
    unfed: Unfed,
    before: Snapshot,
}

/// A gate and what is known of it.
struct Watched {
    cells: std::ops::Range<usize>,
    /// The cell just behind it.
    behind: usize,
    /// ln of the wall stress at the end of filling, cell by cell.
    log_stress: Vec<f64>,
    resistance: f64,
    log_openness: f64,
    freeze: Option<f64>,
    centre_freeze: Option<f64>,
    /// Pressure and mean temperature of every end of flow when it froze.
    sealed: Option<Vec<(f64, f64)>>,
    shut: bool,
}

/// The quantities whose crossing of a level is an event.
#[derive(Default)]
struct Snapshot {
    time: f64,
    openness: Vec<f64>,
    centre: Vec<f64>,
    part: f64,
    runner: f64,
    residual: f64,
    lost: f64,
    ends: Vec<(f64, f64)>,
}

impl Events {
    pub fn new(t: &State<'_>) -> Self {
        let c = t.cavity;
        let is_part = |i: &usize| c.passages[c.cells[*i].passage].role == Role::Part;
        let watched = |&gate: &usize| {
            let cells = c.ranges[gate].clone();
            let last = cells.end - 1;
            Watched {
                behind: (0..c.cells.len()).find(|&i| c.cells[i].feeder == Some(last)).unwrap_or(last),
                log_stress: t.log_stress[cells.clone()].to_vec(),
                resistance: cells.clone().map(|i| t.resistance(i)).sum(),
                cells,
                log_openness: 0.0,
                freeze: None,
                centre_freeze: None,
                sealed: None,
                shut: false,
            }
        };
        let gates: Vec<Watched> = c.gates.iter().map(watched).collect();
        let part_cells: Vec<usize> = (0..c.cells.len()).filter(is_part).collect();
        let of_gate = |g: usize| {
            let fed = |&&i: &&usize| c.gate_of(c.cells[i].passage).unwrap_or(0) == g;
            part_cells.iter().filter(fed).copied().collect::<Vec<usize>>()
        };
        let mut events = Self {
            parts: (0..gates.len()).map(of_gate).filter(|cells| !cells.is_empty()).collect(),
            history: History {
                behind_gate: vec![Vec::new(); gates.len()],
                openness: vec![Vec::new(); gates.len()],
                end: vec![Vec::new(); c.ends.len()],
                welds: vec![Vec::new(); t.weld_cells.len()],
                ..History::default()
            },
            unfed: Unfed::new(t),
            gates,
            shut: vec![false; c.cells.len()],
            ends: c.ends.iter().map(|&end| end_weights(c, end)).collect(),
            part_cells,
            part_cooled: None,
            runner_cooled: None,
            ejected: None,
            opened: None,
            opening_force: 0.0,
            before: Snapshot::default(),
        };
        events.before = events.snapshot(t);
        events.shut_what_is_frozen(t);
        events.record(t);
        events
    }

    /// Marks gates that were frozen before the hold began.
    fn shut_what_is_frozen(&mut self, t: &State<'_>) {
        for (k, g) in self.gates.iter_mut().enumerate() {
            if self.before.centre[k] <= t.material.no_flow {
                (g.freeze, g.centre_freeze, g.shut) = (Some(0.0), Some(0.0), true);
                g.sealed = Some(self.before.ends.clone());
                self.shut[g.cells.clone()].fill(true);
            }
        }
    }

    pub fn all_frozen(&self) -> bool {
        self.gates.iter().all(|g| g.freeze.is_some())
    }

    pub fn all_shut(&self) -> bool {
        self.gates.iter().all(|g| g.shut)
    }

    /// Whether everything has happened that can happen.
    pub fn over(&self, t: &State<'_>) -> bool {
        let can_freeze = t.drive.wall < t.material.no_flow;
        let frozen = self.gates.iter().all(|g| g.freeze.is_some() && g.centre_freeze.is_some());
        let held = t.time >= t.drive.time() * (1.0 - 1e-9);
        let open = match t.drive.opens {
            Some(opens) => t.time >= opens,
            None => self.ejected.is_some(),
        };
        (frozen || !can_freeze) && open && held
    }

    /// Notes what happened in the step just done; returns the greatest change of a gate's ln(fluidity).
    pub fn note(&mut self, t: &mut State<'_>) -> f64 {
        let mut closing = 0.0_f64;
        let frozen = self.all_frozen();
        for g in self.gates.iter_mut().filter(|g| !g.shut) {
            let first = g.cells.start;
            let resistance: f64 =
                g.cells.clone().map(|i| 1.0 / t.conductance(i, g.log_stress[i - first])).sum();
            let now = (g.resistance / resistance).logarithm();
            if g.freeze.is_none() || frozen && now > NEARLY_SHUT {
                closing = closing.max((now - g.log_openness).abs());
            }
            g.log_openness = now;
        }
        self.unfed.note(t);
        let now = self.snapshot(t);
        self.cross(t, &now);
        let pressure = t.masses.pressure.iter().zip(&t.cavity.cells);
        let force: f64 = pressure.map(|(p, c)| greater(*p, 0.0) * c.projected_area).sum();
        self.opening_force = self.opening_force.max(force);
        self.before = now;
        self.record(t);
        closing
    }

    fn cross(&mut self, t: &State<'_>, now: &Snapshot) {
        let before = &self.before;
        let (no_flow, wall) = (t.material.no_flow, t.drive.wall);
        // A part that never cools to its ejection temperature is taken as it comes to rest: otherwise the margins would
        // jump where the wall passes that temperature.
        let ejection = greater(t.material.ejection, wall + AT_REST);
        let at = |f: f64| before.time + (now.time - before.time) * f;
        // Temperatures approach the wall's exponentially: crossings are interpolated in the logarithm.
        let cooled = |a: f64, b: f64, level: f64| {
            let above = |t: f64| (t - wall).max(1e-9).logarithm();
            (b <= level && level > wall).then(|| {
                if a <= level { before.time } else { at((above(a) - above(level)) / (above(a) - above(b))) }
            })
        };
        for (k, g) in self.gates.iter_mut().enumerate() {
            g.centre_freeze = g.centre_freeze.or_else(|| cooled(before.centre[k], now.centre[k], no_flow));
            let (a, b, level) = (before.openness[k], now.openness[k], FROZEN.logarithm());
            // Melt that is pushed in later may open the gate again.
            if g.freeze.is_some() && !g.shut && b > level && t.drive.pressure(before.time) > 0.0 {
                (g.freeze, g.sealed) = (None, None);
            }
            if g.freeze.is_none() && b <= level {
                let f = if a > b { ((a - level) / (a - b)).clamp(0.0, 1.0) } else { 1.0 };
                g.freeze = Some(at(f));
                let between = |a: f64, b: f64| a + f * (b - a);
                let ends = before.ends.iter().zip(&now.ends);
                g.sealed = Some(ends.map(|(a, b)| (between(a.0, b.0), between(a.1, b.1))).collect());
            }
            if !g.shut && b <= t.drive.shut.logarithm() {
                g.shut = true;
                self.shut[g.cells.clone()].fill(true);
            }
        }
        self.part_cooled = self.part_cooled.or_else(|| cooled(before.part, now.part, ejection));
        self.runner_cooled = self.runner_cooled.or_else(|| cooled(before.runner, now.runner, ejection));
        if let (None, Some(part), Some(runner)) = (self.ejected, self.part_cooled, self.runner_cooled) {
            let ready = part.max(runner).max(t.drive.time());
            self.ejected = Some(ready).filter(|ready| *ready <= now.time * (1.0 + 1e-9));
        }
        if let (None, Some(opens)) = (&self.opened, t.drive.opens.or(self.ejected))
            && opens <= now.time * (1.0 + 1e-9)
        {
            let f = ((opens - before.time) / (now.time - before.time)).clamp(0.0, 1.0);
            let between = |a: f64, b: f64| a + f * (b - a);
            self.opened = Some(outcome::Opened {
                residual: between(before.residual, now.residual),
                hottest: between(before.part.max(before.runner), now.part.max(now.runner)),
                lost: between(before.lost, now.lost),
                ..outcome::Opened::at(t, opens)
            });
        }
    }

    fn snapshot(&self, t: &State<'_>) -> Snapshot {
        let c = t.cavity;
        let hottest = |accept: &dyn Fn(Role) -> bool| {
            let cells = c.cells.iter().zip(&t.mean).filter(|(cell, _)| accept(c.passages[cell.passage].role));
            cells.map(|(_, &t)| t).fold(f64::NEG_INFINITY, greater)
        };
        let part = hottest(&|role| role == Role::Part);
        let runner = hottest(&|role| matches!(role, Role::Sprue | Role::Runner));
        let pressure = |cells: &Vec<usize>| {
            let volume: f64 = cells.iter().map(|&i| t.masses.volume[i]).sum();
            let pushed = cells.iter().map(|&i| t.masses.volume[i] * greater(t.masses.pressure[i], 0.0));
            pushed.sum::<f64>() / volume
        };
        // The cells of a gate are in series: the first to freeze through closes it.
        let centre =
            |g: &Watched| g.cells.clone().map(|i| t.temperature[i * t.layers]).fold(f64::INFINITY, lesser);
        Snapshot {
            lost: t.balance.lost,
            time: t.time,
            openness: self.gates.iter().map(|g| g.log_openness).collect(),
            centre: self.gates.iter().map(centre).collect(),
            part,
            // Without sprue and runner only the part has to cool.
            runner: if runner.is_finite() { runner } else { part },
            residual: self.parts.iter().map(pressure).fold(0.0, f64::max),
            ends: self
                .ends
                .iter()
                .map(|end| {
                    end.iter().fold((0.0, 0.0), |(p, mean), &(i, w)| {
                        (p + w * t.masses.pressure[i], mean + w * t.mean[i])
                    })
                })
                .collect(),
        }
    }

    fn record(&mut self, t: &State<'_>) {
        let h = &mut self.history;
        h.time.push(t.time);
        h.nozzle.push(t.drive.pressure(t.time));
        for (list, g) in h.behind_gate.iter_mut().zip(&self.gates) {
            list.push(t.masses.pressure[g.behind].max(0.0));
        }
        for (list, g) in h.openness.iter_mut().zip(&self.gates) {
            list.push(lesser(g.log_openness, GREATEST_LOG_OPENNESS).exponential());
        }
        for (list, end) in h.end.iter_mut().zip(&self.before.ends) {
            list.push(end.0.max(0.0));
        }
        h.hottest_part.push(self.before.part);
        let mass: f64 = self.part_cells.iter().map(|&i| t.masses.mass[i]).sum();
        h.part_mass.push(mass * t.material.density);
        for (list, &i) in h.welds.iter_mut().zip(&t.weld_cells) {
            list.push((t.masses.pressure[i].max(0.0), t.mean[i]));
        }
    }

    pub fn finish(self, t: State<'_>) -> Hold {
        let gates: Vec<Gate> = t
            .cavity
            .gates
            .iter()
            .zip(&self.gates)
            .map(|(&passage, g)| Gate { passage, freeze: g.freeze, centre_freeze: g.centre_freeze })
            .collect();
        let sealed: Vec<Option<&Vec<(f64, f64)>>> = self.gates.iter().map(|g| g.sealed.as_ref()).collect();
        let cells = outcome::Cells::of(&t, &gates);
        let cools = t.drive.wall < t.material.ejection;
        let last = &self.before;
        let opened = self.opened.unwrap_or_else(|| outcome::Opened {
            residual: last.residual,
            hottest: last.part.max(last.runner),
            ..outcome::Opened::at(&t, t.time)
        });
        Hold {
            sink: outcome::sink(t.cavity, &cells.shrinkage),
            unfed: outcome::sink(t.cavity, &self.unfed.loss),
            soft_loss: self.unfed.loss,
            ends: outcome::ends(&t, &gates, &sealed, &self.ends, &cells),
            part_mass: self.part_cells.iter().map(|&i| cells.mass[i]).sum::<f64>() * t.material.density,
            shrinkage: cells.shrinkage,
            balance: outcome::balance(&t),
            effort: Effort { solutions: t.masses.solutions, ..t.effort },
            gates,
            opening_force: self.opening_force,
            part_cooled: self.part_cooled.filter(|_| cools),
            runner_cooled: self.runner_cooled.filter(|_| cools),
            ejected_after: self.ejected.filter(|_| cools),
            opened,
            history: self.history,
        }
    }
}

/// Weights of the cells in the last tenth of the volume on the way to an end of flow. Volumes are of one copy, so that
/// copies give the same as branches written out. The last cell alone would depend on the grid: the temperatures of the
/// fountain flow converge slowly there.
fn end_weights(cavity: &Cavity, end: usize) -> Vec<(usize, f64)> {
    let volume = |i: usize| cavity.cells[i].volume;
    let tenth: f64 = 0.1 * cavity.path_back(end).map(volume).sum::<f64>();
    let mut left = tenth;
    let mut weights = Vec::new();
    for i in cavity.path_back(end) {
        let part = volume(i).min(left);
        weights.push((i, part / tenth));
        left -= part;
        if left <= 0.0 {
            break;
        }
    }
    weights
}
