//! Conduction in the whole cavity, several cells side by side.
//!
//! A line solve waits for one division after the other. Cells do not wait for each other while nothing
//! flows between them, so [`LANES`] of them share each instruction.

use super::transient::Transient;
use crate::cavity::{Cavity, Kind, Layers};
use crate::feedstock::HeatContent;
use crate::fill::conduction::{AGREEMENT, MOST_ROUNDS};
use crate::order::greater;

/// Cells solved side by side.
const LANES: usize = 4;

/// One number for each of the cells.
type Lanes = [f64; LANES];

/// γ of the two-stage, L-stable, second-order Runge–Kutta step (SDIRK2, γ = 1 − 1/√2).
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Cells of one kind of section, by fours; the last of a kind fills up its four by itself.
#[derive(Debug, Clone, Default)]
pub(super) struct Conduction {
    batches: Vec<(Kind, [usize; LANES])>,
    rows: Rows,
}

/// Numbers of each layer.
#[derive(Debug, Clone, Default)]
struct Rows {
    start: Vec<Lanes>,
    temperature: Vec<Lanes>,
    content: Vec<Lanes>,
    right: Vec<Lanes>,
    capacity: Vec<Lanes>,
    eliminated: Vec<Lanes>,
}

/// What the step does to a batch.
struct Step<'a> {
    layers: &'a Layers,
    heat: &'a HeatContent,
    /// αΔt/H² of a stage.
    share: Lanes,
    /// The same times the conductance to the wall.
    to_wall: Lanes,
    wall: f64,
}

impl Conduction {
    pub fn new(cavity: &Cavity) -> Self {
        let mut batches = Vec::new();
        for kind in [Kind::Flat, Kind::Round] {
            let of_kind: Vec<usize> =
                (0..cavity.cells.len()).filter(|&i| cavity.layers(i).kind == kind).collect();
            for four in of_kind.chunks(LANES) {
                batches.push((kind, std::array::from_fn(|l| four[l.min(four.len() - 1)])));
            }
        }
        let rows = || vec![[0.0; LANES]; cavity.flat.count()];
        let rows = Rows {
            start: rows(),
            temperature: rows(),
            content: rows(),
            right: rows(),
            capacity: rows(),
            eliminated: rows(),
        };
        Self { batches, rows }
    }

    /// Moves all cells on by a time, second order in it: two implicit stages of γΔt, the second from the
    /// extrapolated state Θ + ((1−γ)/γ)(Θ₁ − Θ).
    pub fn step(&mut self, t: &mut Transient<'_>, dt: f64) {
        for b in 0..self.batches.len() {
            let (kind, cells) = self.batches[b];
            let layers = match kind {
                Kind::Flat => &t.cavity.flat,
                Kind::Round => &t.cavity.round,
            };
            let half_gap = cells.map(|i| t.cavity.cells[i].half_gap);
            let share = half_gap.map(|h| t.material.diffusivity() * GAMMA * dt / (h * h));
            let step = Step {
                layers,
                heat: &t.material.heat,
                share,
                to_wall: std::array::from_fn(|l| {
                    let biot = t.drive.contact * half_gap[l] / t.material.conductivity;
                    share[l] * layers.wall_conductance(biot)
                }),
                wall: t.drive.wall,
            };
            self.rows.gather(&cells, t);
            t.effort.lines += self.rows.stage(&step);
            self.rows.extrapolate(&step);
            t.effort.lines += self.rows.stage(&step);
            self.rows.scatter(&cells, layers, t);
        }
    }
}

impl Rows {
    fn gather(&mut self, cells: &[usize; LANES], t: &Transient<'_>) {
        let n = t.layers;
        // Slices of one known length, so that the loop needs no further checks.
        let temperature = cells.map(|i| &t.temperature[i * n..(i + 1) * n][..n]);
        let content = cells.map(|i| &t.content[i * n..(i + 1) * n][..n]);
        let (temperatures, contents) = (&mut self.temperature[..n], &mut self.content[..n]);
        let (start, right) = (&mut self.start[..n], &mut self.right[..n]);
        for j in 0..n {
            temperatures[j] = temperature.map(|layers| layers[j]);
            contents[j] = content.map(|layers| layers[j]);
            start[j] = contents[j];
            right[j] = contents[j];
        }
    }

    fn extrapolate(&mut self, step: &Step<'_>) {
        for j in 0..step.layers.count() {
            for l in 0..LANES {
                let start = self.start[j][l];
                self.right[j][l] = start + (1.0 - GAMMA) / GAMMA * (self.content[j][l] - start);
            }
        }
    }

    /// Solves Θ_j − (conduction into layer j at T) = right_j with Θ = Θ(T), as `fill::conduction` does;
    /// returns how many line solves that took.
    fn stage(&mut self, step: &Step<'_>) -> u32 {
        let count = step.layers.count();
        for round in 1..=MOST_ROUNDS {
            let (temperature, content) = (&self.temperature[..count], &mut self.content[..count]);
            let capacity = &mut self.capacity[..count];
            for j in 0..count {
                for l in 0..LANES {
                    let t = temperature[j][l];
                    let own = step.heat.capacity(t);
                    capacity[j][l] = own;
                    // Θ = offset + capacity·T around the present T.
                    content[j][l] = step.heat.of(t) - own * t;
                }
            }
            self.eliminate(step);
            let mut worst = [0.0_f64; LANES];
            let (temperature, content) = (&mut self.temperature[..count], &mut self.content[..count]);
            let capacity = &self.capacity[..count];
            for j in 0..count {
                for l in 0..LANES {
                    let solved = temperature[j][l];
                    let held = content[j][l] + capacity[j][l] * solved;
                    let settled = step.heat.temperature(held);
                    content[j][l] = held;
                    temperature[j][l] = settled;
                    worst[l] = greater(worst[l], (settled - solved).abs());
                }
            }
            if worst.iter().all(|w| *w < AGREEMENT) {
                return round;
            }
        }
        MOST_ROUNDS
    }

    /// Thomas's algorithm on area_j (capacity_j T_j + offset_j − right_j) = conduction into layer j; the
    /// offsets stand in `content`.
    fn eliminate(&mut self, step: &Step<'_>) {
        let count = step.layers.count();
        let (area, conductance) = (&step.layers.area[..count], &step.layers.conductance[..count - 1]);
        let (temperature, eliminated) = (&mut self.temperature[..count], &mut self.eliminated[..count]);
        let (capacity, content, goal) =
            (&self.capacity[..count], &self.content[..count], &self.right[..count]);
        let (mut lower, mut kept, mut previous) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for j in 0..count {
            let last = j + 1 == count;
            let inner = if last { 0.0 } else { conductance[j] };
            for l in 0..LANES {
                let upper = step.share[l] * inner;
                let to_wall = if last { step.to_wall[l] } else { 0.0 };
                let own = area[j] * capacity[j][l] + lower[l] * kept[l] + to_wall;
                let right = area[j] * (goal[j][l] - content[j][l]) + to_wall * step.wall;
                let inverse = 1.0 / (own + upper);
                kept[l] = own * inverse;
                previous[l] = (right + lower[l] * previous[l]) * inverse;
                eliminated[j][l] = upper * inverse;
                temperature[j][l] = previous[l];
                lower[l] = upper;
            }
        }
        for j in (0..count - 1).rev() {
            for l in 0..LANES {
                previous[l] = temperature[j][l] + eliminated[j][l] * previous[l];
                temperature[j][l] = previous[l];
            }
        }
    }

    fn scatter(&self, cells: &[usize; LANES], layers: &Layers, t: &mut Transient<'_>) {
        let n = t.layers;
        for (l, &i) in cells.iter().enumerate() {
            if cells[..l].contains(&i) {
                break;
            }
            let (mut mean, mut gained) = (0.0, 0.0);
            let (temperature, content) =
                (&mut t.temperature[i * n..(i + 1) * n][..n], &mut t.content[i * n..(i + 1) * n][..n]);
            let (solved, held) = (&self.temperature[..n], &self.content[..n]);
            let (start, area) = (&self.start[..n], &layers.area[..n]);
            for j in 0..n {
                temperature[j] = solved[j][l];
                content[j] = held[j][l];
                mean += solved[j][l] * area[j];
                gained += (held[j][l] - start[j][l]) * area[j];
            }
            t.mean[i] = mean;
            t.balance.lost -= gained * t.heat_per_kelvin(i);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::fill::{self, conduction::Section};
    use crate::scenario::demo;

    /// Four cells at once and one at a time are the same equations.
    #[test]
    fn lanes_and_single_sections_agree() {
        for d in demo::DEMOS {
            let case = Case::resolve(&d.scenario());
            let end = fill::unlimited(&case.material, &case.cavity, case.drive).end;
            let mut t = Transient::new(&case.material, &case.cavity, &end, &case.hold);
            let n = t.layers;
            let (mut single, mut content) = (t.temperature.clone(), t.content.clone());
            let dt = 0.03;
            Conduction::new(&case.cavity).step(&mut t, dt);
            let mut scratch = vec![0.0; 4 * n];
            for (i, cell) in case.cavity.cells.iter().enumerate() {
                let layers = case.cavity.layers(i);
                let h = cell.half_gap;
                let section = Section {
                    layers,
                    heat: &case.material.heat,
                    share: case.material.diffusivity() * GAMMA * dt / (h * h),
                    biot: case.hold.contact * h / case.material.conductivity,
                    wall: case.hold.wall,
                };
                let (temperature, content) =
                    (&mut single[i * n..(i + 1) * n], &mut content[i * n..(i + 1) * n]);
                let start = content.to_vec();
                for stage in 0..2 {
                    let from = |j: usize, now: &[f64]| match stage {
                        0 => start[j],
                        _ => start[j] + (1.0 - GAMMA) / GAMMA * (now[j] - start[j]),
                    };
                    let right: Vec<f64> = (0..n).map(|j| layers.area[j] * from(j, content)).collect();
                    section.solve(&layers.area, &right, temperature, content, &mut scratch);
                }
                for j in 0..n {
                    let difference = (temperature[j] - t.temperature[i * n + j]).abs();
                    assert!(difference < AGREEMENT, "{} cell {i} layer {j}: {difference}", d.name);
                }
            }
        }
    }
}
