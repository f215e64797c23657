//! Flow through the whole path: how branches share it, and the pressures that go with it.

use super::affine::Affine;
use super::march::March;
use super::section::{self, Profile, Stress};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order::greater;

/// Greatest change of ln(stress) from step to step that is expected to go on.
const GREATEST_TREND: f64 = 0.5;
/// Branches whose flow changes by less than this share of itself are solved.
const SPLIT_TOLERANCE: f64 = 3e-4;
/// A melt that pressure stiffens is solved again until the nozzle pressure changes by less than this share of itself.
const PRESSURE_TOLERANCE: f64 = 1e-4;
/// Rounds of linearisation at most; from the last step's split it takes one or two.
const MOST_ROUNDS: usize = 40;
/// Trials of the rate at a given pressure at most: halving the range of rates alone takes 24.
const MOST_TRIALS: usize = 40;
/// Step in the logarithm of the rate below which a trial is the last: more than the error that a section's
/// solution leaves, so that this error decides nothing.
const RATE_TOLERANCE: f64 = 1e-5;
/// Trials and rounds at most once the work of a fill has passed its bound.
const ROUGH_TRIALS: usize = 3;
const ROUGH_ROUNDS: usize = 2;
/// A branch may change its flow by this factor in one round.
const GREATEST_CHANGE: f64 = 5.0;
/// Least flow into a front, as a share of the whole: a frozen branch is not shut, it crawls.
const LEAST_SHARE: f64 = 1e-9;
/// A front that has just entered a branch is taken to have filled this share of its cell. The share of the flow that the
/// branch will take depends on the cells before the front.
const LEAST_FILLED: f64 = 0.25;

impl March<'_> {
    /// Solves the flow in every cell the melt has reached at the rate `q`, shared among the branches so
    /// that there is one pressure at each junction, and sets the pressures; returns the pressure that the flow
    /// asks for \[Pa\] and d ln p/d ln q. It is the pressure at the nozzle, or what a single cell asks for
    /// (`asked_by`) where that is more.
    pub fn flow(&mut self, q: f64) -> (f64, f64) {
        self.guess_stresses((q / self.rate[0]).logarithm());
        self.spread(q);
        for _ in 0..if self.is_rough() { ROUGH_ROUNDS } else { MOST_ROUNDS } {
            let before = self.nozzle_pressure();
            self.solve_cells();
            let change = self.share_out(q);
            self.add_up();
            // Cells are solved at the pressure of the round before.
            let stiffened = if self.material.viscosity.feels_pressure() {
                (self.nozzle_pressure() - before).abs() / greater(before, 1.0)
            } else {
                0.0
            };
            if change < SPLIT_TOLERANCE && stiffened < PRESSURE_TOLERANCE {
                break;
            }
        }
        self.settle();
        let pressure = self.nozzle_pressure();
        let rise = self.affine[0].slope * q / pressure;
        let nozzle = (pressure, if pressure > 0.0 && rise > 0.0 { rise } else { 1.0 });
        self.reached.iter().map(|&i| self.asked_by(i)).fold(nozzle, |a, b| if b.0 > a.0 { b } else { a })
    }

    /// Pressure at the nozzle, as last solved \[Pa\].
    pub(super) fn nozzle_pressure(&self) -> f64 {
        self.exit[0] + self.share[0] * self.drop[0]
    }

    /// Least pressure \[Pa\] with which a cell can flow as last solved, however little of it is full, and
    /// d ln p/d ln q: the greater of the dynamic pressure ρv²/2, below which no melt comes to that velocity
    /// (Bernoulli), and the wall stress, which a pressure has to overcome over at least half the gap. It is far below
    /// the pressure drop of any ordinary flow; lubrication theory alone lets a front enter a narrow cell at any
    /// velocity, since there is no wall to hold it yet.
    fn asked_by(&self, i: usize) -> (f64, f64) {
        let cell = &self.cavity.cells[i];
        let velocity = self.rate[i] / (cell.copies * cell.least_area);
        let dynamic = 0.5 * self.material.density * velocity * velocity;
        let Stress { wall, slope, .. } = self.stress[i];
        if self.rate[i] > 0.0 && wall > dynamic { (wall, 1.0 / slope) } else { (dynamic, 2.0) }
    }

    /// Takes the flow that was last solved for as one that melt flows with: the greatest flows, shear rates and
    /// wall stresses count it.
    pub(super) fn keep_greatest(&mut self) {
        for k in 0..self.reached.len() {
            let i = self.reached[k];
            if self.rate[i] > 0.0 {
                self.keep_greatest_of(i);
            }
        }
    }

    /// The same for one cell; left out where it asks for more pressure than there is.
    pub(super) fn keep_greatest_of(&mut self, i: usize) {
        if self.asked_by(i).0 > self.drive.max_pressure * (1.0 + 1e-3) {
            return;
        }
        self.greatest_flow[i] = greater(self.greatest_flow[i], self.rate[i]);
        self.greatest_rate[i] = greater(self.greatest_rate[i], self.shear_rate[i]);
        self.greatest_stress[i] = greater(self.greatest_stress[i], self.stress[i].wall);
    }

    /// Rate at which the flow asks for the pressure `limit`, between `least` and `most`, from the guess `q`, and the
    /// state solved at that rate.
    ///
    /// The pressure rises with the rate, so each trial narrows the bounds. Newton's step in ln q is taken
    /// where it stays between them; a yield stress makes the pressure so flat that it often does not. Returns
    /// zero, with pressures scaled to the limit, where even `least` needs more.
    pub fn flow_at_pressure(&mut self, limit: f64, q: f64, [least, most]: [f64; 2]) -> f64 {
        let (mut low, mut high) = (least.logarithm(), most.logarithm());
        let mut low_is_tried = false;
        let mut log_q = q.logarithm().clamp(low, high);
        for _ in 0..if self.is_rough() { ROUGH_TRIALS } else { MOST_TRIALS } {
            let (pressure, rise) = self.flow(log_q.exponential());
            let excess = (pressure / limit).logarithm();
            if excess > 0.0 && log_q <= low {
                self.scale_pressures(limit / pressure);
                return 0.0;
            }
            if excess > 0.0 {
                high = log_q;
            } else {
                (low, low_is_tried) = (log_q, true);
            }
            let step = excess / rise;
            if step.abs() < RATE_TOLERANCE {
                break;
            }
            // The pressure of a trial carries the tolerance of its stresses: a bound holds to as much.
            let newton = log_q - step;
            log_q = if newton > low - RATE_TOLERANCE && newton < high + RATE_TOLERANCE {
                newton
            } else if newton <= low && !low_is_tried {
                low
            } else {
                0.5 * (low + high)
            };
        }
        self.rate[0]
    }

    /// Scales all pressures of the melt: where nothing flows, they fall along the path as they would at the
    /// least rate.
    fn scale_pressures(&mut self, by: f64) {
        for list in [&mut self.pressure, &mut self.exit, &mut self.drop] {
            list.iter_mut().for_each(|p| *p *= by);
        }
        self.stress.iter_mut().for_each(|stress| stress.rise(by.logarithm()));
    }

    /// Rates at the outlets in the proportions of the last step, for the total `q`.
    fn spread(&mut self, q: f64) {
        let total: f64 = self.outlets.iter().map(|&i| self.rate[i]).sum();
        for &i in &self.outlets {
            // Branches that have waited begin alike.
            self.rate[i] = if total > 0.0 { self.rate[i] * q / total } else { q / self.outlets.len() as f64 };
        }
        self.add_up();
    }

    /// Stresses go on as they went, unless that was a leap, and rise with the flow as they would from there:
    /// most then take one iteration. `rise` is that of ln q since they were solved for.
    fn guess_stresses(&mut self, rise: f64) {
        let on = self.solved_at < self.time;
        self.solved_at = self.time;
        for &i in &self.reached {
            let stress = &mut self.stress[i];
            let mut by = rise / stress.slope;
            if on {
                by += (stress.log - self.stress_before[i]).clamp(-GREATEST_TREND, GREATEST_TREND);
                self.stress_before[i] = stress.log;
            }
            stress.rise(by);
        }
    }

    /// Solves the flow at another rate as a trial and returns its pressure \[Pa\]. `keep` says from that pressure
    /// whether the flow stays as it was solved. Otherwise the next solution starts from the same guess as without the
    /// trial.
    pub(super) fn try_flow(&mut self, q: f64, keep: impl Fn(f64) -> bool) -> f64 {
        let before = (self.solved_at, self.stress.clone(), self.stress_before.clone(), self.rate.clone());
        let (pressure, _) = self.flow(q);
        if !keep(pressure) {
            (self.solved_at, self.stress, self.stress_before, self.rate) = before;
        }
        pressure
    }

    /// Flow into every cell from the flows into the outlets.
    fn add_up(&mut self) {
        let flows: Vec<f64> = self.outlets.iter().map(|&i| self.rate[i]).collect();
        self.rate.fill(0.0);
        for (&i, flow) in self.outlets.iter().zip(flows) {
            self.rate[i] = flow;
        }
        for &i in self.reached.iter().rev() {
            if let Some(from) = self.feeder[i] {
                self.rate[from] += self.rate[i];
            }
        }
    }

    /// Solves every cell that is flowed through, from the fronts back to the nozzle, each at the
    /// pressure behind it, and linearises the pressure at its entry.
    fn solve_cells(&mut self) {
        let branching = self.outlets.len() > 1;
        for a in &mut self.affine {
            *a = Affine::default();
        }
        self.exit.fill(0.0);
        for k in (0..self.reached.len()).rev() {
            let i = self.reached[k];
            if self.rate[i] <= 0.0 {
                continue;
            }
            let share = if branching { self.share[i].max(LEAST_FILLED) } else { self.share[i] };
            self.solve_cell(i, self.exit[i] + 0.5 * share * self.drop[i]);
            let drop = share * self.drop[i];
            let own = drop / (self.stress[i].slope * self.rate[i]);
            // `affine[i]` holds Σ offset/slope and Σ 1/slope of the branches behind: p = (q + Σo/s)/Σ1/s.
            let behind = self.affine[i];
            let (offset, slope) = if behind.slope > 0.0 {
                (behind.offset / behind.slope, 1.0 / behind.slope)
            } else {
                (0.0, 0.0)
            };
            let entry = Affine { offset: offset + drop - own * self.rate[i], slope: slope + own };
            self.affine[i] = entry;
            if let Some(from) = self.feeder[i] {
                self.exit[from] = greater(self.exit[from], self.exit[i] + drop);
                if entry.slope > 0.0 {
                    self.affine[from].offset += entry.offset / entry.slope;
                    self.affine[from].slope += 1.0 / entry.slope;
                }
            }
        }
    }

    /// Shares the flow out anew, so that the linearised pressures of the branches agree at each
    /// junction; returns the greatest relative change of a front's flow.
    fn share_out(&mut self, q: f64) -> f64 {
        if self.outlets.len() < 2 {
            return 0.0;
        }
        // Pressure at the entry of each cell, from the nozzle on.
        let mut entry = std::mem::take(&mut self.pressure);
        for &i in &self.reached {
            if self.rate[i] <= 0.0 {
                continue;
            }
            entry[i] = match self.feeder[i] {
                None => self.affine[i].offset + self.affine[i].slope * q,
                Some(from) => {
                    let share = self.share[from];
                    let own = share * self.drop[from] / (self.stress[from].slope * self.rate[from]);
                    let flow = (entry[from] - self.affine[from].offset) / self.affine[from].slope;
                    entry[from] - share * self.drop[from] - own * (flow - self.rate[from])
                }
            };
        }
        let (mut worst, mut total) = (0.0_f64, 0.0);
        for &i in &self.outlets {
            let old = self.rate[i];
            let wanted = (entry[i] - self.affine[i].offset) / self.affine[i].slope;
            let new = wanted.clamp(old / GREATEST_CHANGE, old * GREATEST_CHANGE).max(LEAST_SHARE * q);
            let change = if new > LEAST_SHARE * q { (new / old - 1.0).abs() } else { 0.0 };
            worst = worst.max(change);
            self.rate[i] = if new.is_finite() { new } else { old };
            total += self.rate[i];
        }
        for &i in &self.outlets {
            self.rate[i] *= q / total;
        }
        self.pressure = entry;
        worst
    }

    /// Pressures in the middle of every cell from those behind it. Where nothing flows any more the
    /// melt takes the pressure of what it stands on.
    fn settle(&mut self) {
        for k in 0..self.reached.len() {
            let i = self.reached[k];
            if self.rate[i] <= 0.0 {
                self.exit[i] = self.feeder[i].map_or(0.0, |from| self.exit[from]);
                self.pressure[i] = self.exit[i];
                self.drop[i] = 0.0;
            } else {
                self.pressure[i] = self.exit[i] + 0.5 * self.share[i] * self.drop[i];
            }
        }
    }

    /// Flow of one cell at a pressure: stress, profile, pressure drop.
    pub(super) fn solve_cell(&mut self, i: usize, pressure: f64) {
        let cell = &self.cavity.cells[i];
        let layers = self.cavity.layers(i);
        let log_reference = self.material.log_reference_stress;
        let range = i * self.layers..(i + 1) * self.layers;
        self.material.mobilities(&self.temperature[range.clone()], pressure, &mut self.scratch.mobility);
        let flow = self.rate[i] / cell.copies / cell.flow_constant;
        let fluidity = &mut self.scratch.mobility;
        let curve = &self.material.curve;
        let slopes = &mut self.scratch.slopes;
        let guess = self.stress[i];
        let slip = self.material.slip_in(cell, layers, fluidity, self.drive.melt);
        let stress = section::solve_stress(layers, curve, log_reference, fluidity, slopes, flow, slip, guess);
        let mut out = Profile {
            psi: &mut self.psi[i * (self.layers + 1)..(i + 1) * (self.layers + 1)],
            heat: &mut self.heat[range],
        };
        let wall_stress = stress.wall;
        self.shear_rate[i] = section::profile(layers, fluidity, &mut out) * wall_stress;
        if let Some(slip) = slip {
            self.slip[i] = (slip.at(stress.log) * wall_stress / flow).clamp(0.0, 1.0);
            out.add_slip(layers, self.slip[i]);
        }
        self.stress[i] = stress;
        self.effort.sections += 1;
        self.effort.iterations += stress.iterations;
        // Force balance: G = τ_w/H flat, 2τ_w/R round.
        let gradient = f64::from(1 + layers.kind.power()) * wall_stress / cell.half_gap;
        self.drop[i] = gradient * cell.drop_factor * cell.length;
    }
}
