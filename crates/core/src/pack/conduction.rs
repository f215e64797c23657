//! Conduction in the whole cavity, several cells side by side.
//!
//! A line solve is a chain of divisions that wait for each other. Cells are independent of each other in conduction, so
//! [`LANES`] of them share each instruction.

use super::state::State;
use super::{FURTHER, GAMMA};
use crate::cavity::{Cavity, Kind, Layers};
use crate::feedstock::HeatContent;
use crate::fill::conduction::{AGREEMENT, AcrossGap, MOST_ROUNDS};
use gatefrost_numerics::lanes::{Four, Number};

/// Cells solved side by side.
const LANES: usize = 4;

/// Cells of one kind of section in groups of four; the last group of a kind repeats its last cell.
#[derive(Debug, Clone)]
pub(super) struct Conduction {
    batches: Vec<(Kind, [usize; LANES])>,
    rows: Rows,
}

/// Numbers of each layer, four cells side by side.
#[derive(Debug, Clone)]
struct Rows {
    start: Vec<Four>,
    temperature: Vec<Four>,
    content: Vec<Four>,
    right: Vec<Four>,
    capacity: Vec<Four>,
    eliminated: Vec<Four>,
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
        let rows = || vec![Four::all(0.0); cavity.flat.count()];
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

    /// Moves all cells on by a time \[s\], to second order: two implicit stages of γΔt, the second from the extrapolated
    /// state Θ + ((1−γ)/γ)(Θ₁ − Θ). Meanwhile the gates are warmed at the rate of the last step's flow.
    pub fn step(&mut self, t: &mut State<'_>, dt: f64) {
        for b in 0..self.batches.len() {
            let (kind, cells) = self.batches[b];
            let layers = match kind {
                Kind::Flat => &t.cavity.flat,
                Kind::Round => &t.cavity.round,
            };
            let half_gap = cells.map(|i| t.cavity.cells[i].half_gap);
            let share = half_gap.map(|h| t.material.diffusivity() * GAMMA * dt / (h * h));
            let walls = cells.map(|i| t.walls[i]);
            let to_wall: [f64; LANES] = std::array::from_fn(|l| {
                let biot = walls[l].contact * half_gap[l] / t.material.conductivity;
                share[l] * layers.wall_conductance(biot)
            });
            let wall = walls.map(|wall| wall.temperature).into();
            let mut line = AcrossGap { layers, share: share.into(), to_wall: to_wall.into(), wall };
            let sink = walls.map(|wall| GAMMA * wall.sink).into();
            let heat = &t.material.heat;
            self.rows.gather(&cells, t, GAMMA * dt);
            t.effort.lines += self.rows.stage(&line, sink, heat);
            let early = self.rows.extrapolate(layers);
            line.wall = std::array::from_fn(|l| t.later[cells[l]].after(early[l])).into();
            t.effort.lines += self.rows.stage(&line, sink, heat);
            self.rows.scatter(&cells, layers, t);
            cells.iter().zip(early).for_each(|(&i, early)| t.lost[i][0] = early);
        }
    }
}

impl Rows {
    fn gather(&mut self, cells: &[usize; LANES], t: &State<'_>, stage: f64) {
        let n = t.layers;
        // Slices of one known length, so that the loop needs no further checks.
        let temperature = cells.map(|i| &t.temperature[i * n..(i + 1) * n][..n]);
        let content = cells.map(|i| &t.content[i * n..(i + 1) * n][..n]);
        let warming = cells.map(|i| &t.warming[i * n..(i + 1) * n][..n]);
        let (temperatures, contents) = (&mut self.temperature[..n], &mut self.content[..n]);
        let right = &mut self.right[..n];
        for j in 0..n {
            temperatures[j] =
                [temperature[0][j], temperature[1][j], temperature[2][j], temperature[3][j]].into();
            contents[j] = [content[0][j], content[1][j], content[2][j], content[3][j]].into();
            let rate: Four = [warming[0][j], warming[1][j], warming[2][j], warming[3][j]].into();
            right[j] = contents[j] + Four::all(stage) * rate;
        }
        self.start.copy_from_slice(&self.content);
    }

    /// Takes the right sides of the second stage; returns the heat that each of the four has lost in the first.
    fn extrapolate(&mut self, layers: &Layers) -> [f64; LANES] {
        let count = layers.count();
        let (right, start, area) = (&mut self.right[..count], &self.start[..count], &layers.area[..count]);
        let content = &self.content[..count];
        let mut lost = Four::all(0.0);
        for j in 0..count {
            lost = lost + (right[j] - content[j]) * Four::all(area[j]);
            right[j] = right[j] + Four::all(FURTHER) * (content[j] - start[j]);
        }
        lost.into()
    }

    /// Solves Θ_j + sink (T_j − T_w) − (conduction into layer j at T) = right_j with Θ = Θ(T), as `fill::conduction` does; returns the number
    /// of line solves.
    fn stage(&mut self, line: &AcrossGap<'_, Four>, sink: Four, heat: &HeatContent) -> u32 {
        let count = line.layers.count();
        let (temperature, content) = (&mut self.temperature[..count], &mut self.content[..count]);
        let (capacity, eliminated) = (&mut self.capacity[..count], &mut self.eliminated[..count]);
        let (area, goal) = (&line.layers.area[..count], &self.right[..count]);
        for round in 1..=MOST_ROUNDS {
            // Θ = offset + capacity·T around the present T.
            heat.tangents(temperature, content, capacity);
            // area_j (capacity_j T_j + offset_j) = area_j right_j + conduction into layer j.
            let row = |j: usize| {
                let area = Four::all(area[j]);
                (area * (capacity[j] + sink), area * (goal[j] - content[j] + sink * line.wall))
            };
            line.solve(row, temperature, eliminated);
            let mut worst = Four::all(0.0);
            for j in 0..count {
                let solved = temperature[j];
                let held = content[j] + capacity[j] * solved;
                let settled = heat.temperature(held);
                content[j] = held;
                temperature[j] = settled;
                worst = worst.greater(settled - solved).greater(solved - settled);
            }
            if <[f64; LANES]>::from(worst).iter().all(|w| *w < AGREEMENT) {
                return round;
            }
        }
        MOST_ROUNDS
    }

    fn scatter(&self, cells: &[usize; LANES], layers: &Layers, t: &mut State<'_>) {
        let n = t.layers;
        let (solved, held) = (&self.temperature[..n], &self.content[..n]);
        let (start, area) = (&self.start[..n], &layers.area[..n]);
        let (mut mean, mut gained) = (Four::all(0.0), Four::all(0.0));
        for j in 0..n {
            let area = Four::all(area[j]);
            mean = mean + solved[j] * area;
            gained = gained + (held[j] - start[j]) * area;
            let (temperature, content) = (<[f64; LANES]>::from(solved[j]), <[f64; LANES]>::from(held[j]));
            for l in 0..LANES {
                t.temperature[cells[l] * n + j] = temperature[l];
                t.content[cells[l] * n + j] = content[l];
            }
        }
        let (mean, gained) = (<[f64; LANES]>::from(mean), <[f64; LANES]>::from(gained));
        for (l, &i) in cells.iter().enumerate() {
            if cells[..l].contains(&i) {
                break;
            }
            t.mean[i] = mean[l];
            t.lost[i][1] = -gained[l];
            t.balance.lost -= gained[l] * t.heat_per_kelvin(i);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::fill::{self, conduction::Section};
    use crate::scenario::demo;
    use crate::wall::Wall;

    /// Four cells at once and one at a time are the same equations.
    #[test]
    fn lanes_and_single_sections_agree() {
        for d in demo::DEMOS {
            let case = Case::resolve(&d.scenario());
            let end = fill::unlimited(&case.material, &case.cavity, case.drive).end;
            let mut t = State::new(&case.material, &case.cavity, &end, &case.hold);
            let n = t.layers;
            let (mut single, mut content) = (t.temperature.clone(), t.content.clone());
            let dt = 0.03;
            t.meet_walls(dt);
            Conduction::new(&case.cavity).step(&mut t, dt);
            let mut scratch = vec![0.0; 4 * n];
            for (i, cell) in case.cavity.cells.iter().enumerate() {
                let layers = case.cavity.layers(i);
                let wall = Wall { sink: GAMMA * t.walls[i].sink, ..t.walls[i] };
                let mut section = Section::new(&case.material, layers, cell.half_gap, GAMMA * dt, wall);
                let (temperature, content) =
                    (&mut single[i * n..(i + 1) * n], &mut content[i * n..(i + 1) * n]);
                let start = content.to_vec();
                for stage in 0..2 {
                    let from = |j: usize, now: &[f64]| match stage {
                        0 => start[j],
                        _ => start[j] + (1.0 - GAMMA) / GAMMA * (now[j] - start[j]),
                    };
                    let right: Vec<f64> = (0..n).map(|j| layers.area[j] * from(j, content)).collect();
                    let lost = section.solve(&layers.area, &right, temperature, content, &mut scratch);
                    section.wall = t.later[i].after(lost);
                }
                for j in 0..n {
                    let difference = (temperature[j] - t.temperature[i * n + j]).abs();
                    assert!(difference < AGREEMENT, "{} cell {i} layer {j}: {difference}", d.name);
                }
            }
        }
    }
}
