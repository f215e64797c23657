//! Pressures along the path during packing: one implicit step of a tree of compressible cells.

/// One step of the masses in a tree of cells, each fed by the one before it, linear in the pressures. Masses are volumes of
/// cold mixture \[m³\].
pub struct Network<'a> {
    /// The cell that feeds each cell; the nozzle feeds the first.
    pub feeder: &'a [Option<usize>],
    /// Gain of mass with pressure of each cell \[m³/Pa\].
    pub compliance: &'a [f64],
    /// Mass of each cell beyond what fills it without pressure, linearised: c p = excess + inflow \[m³\].
    pub excess: &'a [f64],
    /// Mass that flows into each cell from its feeder per pressure difference in the step \[m³/Pa\].
    pub conductance: &'a [f64],
    /// Cells joined by a weld line, and the mass per pressure difference between them \[m³/Pa\].
    pub welds: &'a [([usize; 2], f64)],
    /// Nozzle pressure \[Pa\].
    pub nozzle: f64,
}

impl Network<'_> {
    /// Solves for the pressures at the end of the step, the mass that flows into each cell from its feeder, and the mass
    /// across each weld from its first cell to its second.
    pub fn solve(&self, pressure: &mut [f64], inflow: &mut [f64], across: &mut [f64], s: &mut Scratch) {
        self.factor(s);
        self.substitute(self.excess, self.nozzle, pressure, s);
        // Each weld closes a loop in the tree: a correction of rank one (Sherman and Morrison).
        s.loops.clear();
        for (k, &([a, b], g)) in self.welds.iter().enumerate() {
            let mut z = vec![0.0; pressure.len()];
            let mut unit = std::mem::take(&mut s.unit);
            unit.clear();
            unit.resize(pressure.len(), 0.0);
            (unit[a], unit[b]) = (1.0, -1.0);
            self.substitute(&unit, 0.0, &mut z, s);
            s.unit = unit;
            for (([c, d], _), (earlier, weight)) in self.welds[..k].iter().zip(&s.loops) {
                let jump = weight * (z[*c] - z[*d]);
                z.iter_mut().zip(earlier).for_each(|(z, e)| *z -= jump * e);
            }
            let weight = g / (1.0 + g * (z[a] - z[b]));
            let jump = weight * (pressure[a] - pressure[b]);
            pressure.iter_mut().zip(&z).for_each(|(p, z)| *p -= jump * z);
            s.loops.push((z, weight));
        }
        for (flow, &([a, b], g)) in across.iter_mut().zip(self.welds) {
            *flow = g * (pressure[a] - pressure[b]);
        }
        // The inflow of a cell is the gain of the cell and of all cells behind it. For a large conductance this sum is
        // more accurate than conductance times a small difference of pressures.
        for i in 0..pressure.len() {
            s.gain[i] = self.compliance[i] * pressure[i] - self.excess[i];
        }
        for (flow, ([a, b], _)) in across.iter().zip(self.welds) {
            s.gain[*a] += flow;
            s.gain[*b] -= flow;
        }
        for i in (0..pressure.len()).rev() {
            let before = self.feeder[i].map_or(self.nozzle, |from| pressure[from]);
            let g = self.conductance[i];
            inflow[i] = if g > s.own[i] { s.gain[i] } else { g * (before - pressure[i]) };
            if let Some(from) = self.feeder[i] {
                s.gain[from] += inflow[i];
            }
        }
    }

    /// Eliminates from the ends of the tree to the nozzle, without subtractions: conductances span many decades, and
    /// compliances must not be lost to rounding.
    fn factor(&self, s: &mut Scratch) {
        s.gain.resize(self.feeder.len(), 0.0);
        s.follows.resize(self.feeder.len(), [0.0; 2]);
        s.own.clear();
        s.own.extend_from_slice(self.compliance);
        for i in (0..self.feeder.len()).rev() {
            let (own, g) = (s.own[i], self.conductance[i]);
            let inverse = 1.0 / (own + g);
            s.follows[i] = [inverse, g * inverse];
            if let Some(from) = self.feeder[i] {
                s.own[from] += own * g * inverse;
            }
        }
    }

    fn substitute(&self, right: &[f64], nozzle: f64, x: &mut [f64], s: &mut Scratch) {
        x.copy_from_slice(right);
        let follows = &s.follows[..x.len()];
        for i in (0..x.len()).rev() {
            if let Some(from) = self.feeder[i] {
                x[from] += follows[i][1] * x[i];
            }
        }
        for i in 0..x.len() {
            let before = self.feeder[i].map_or(nozzle, |from| x[from]);
            x[i] = follows[i][0] * x[i] + follows[i][1] * before;
        }
    }
}

/// Buffers kept between steps.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    own: Vec<f64>,
    /// Pressure of each cell per mass pushed into it, and per pressure of the cell before it.
    follows: Vec<[f64; 2]>,
    gain: Vec<f64>,
    loops: Vec<(Vec<f64>, f64)>,
    unit: Vec<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Uniform chain, pressure suddenly applied at the nozzle: p obeys the diffusion equation with
    /// D = 1/(r c), whose slowest mode at the closed end leaves (4/π) exp(−π²Dt/4L²).
    #[test]
    fn a_uniform_chain_fills_up_like_diffusion() {
        let n = 200;
        let feeder: Vec<Option<usize>> = (0..n).map(|i: usize| i.checked_sub(1)).collect();
        let compliance = vec![1.0 / n as f64; n];
        let steps = 2000;
        let dt = 0.5 / f64::from(steps);
        let mut conductance = vec![n as f64 * dt; n];
        conductance[0] *= 2.0;
        let (mut pressure, mut inflow) = (vec![0.0; n], vec![0.0; n]);
        let mut delivered = 0.0;
        for _ in 0..steps {
            let excess: Vec<f64> = pressure.iter().zip(&compliance).map(|(p, c)| p * c).collect();
            let network = Network {
                feeder: &feeder,
                compliance: &compliance,
                excess: &excess,
                conductance: &conductance,
                welds: &[],
                nozzle: 1.0,
            };
            network.solve(&mut pressure, &mut inflow, &mut [], &mut Scratch::default());
            delivered += inflow[0];
        }
        let exact = 1.0 - 4.0 / PI * (-PI * PI / 8.0).exp();
        assert!((pressure[n - 1] - exact).abs() < 2e-3, "{} against {exact}", pressure[n - 1]);
        let stored: f64 = pressure.iter().zip(&compliance).map(|(p, c)| p * c).sum();
        assert!((delivered - stored).abs() < 1e-12, "{delivered} against {stored}");
    }

    /// A tree with a loop against the balance of every cell, written out.
    #[test]
    fn every_cell_of_a_tree_with_welds_balances() {
        let feeder = [None, Some(0), Some(1), Some(1), Some(3), Some(0)];
        let compliance = [1.0, 2.0, 0.5, 1.5, 1.0, 0.7];
        let excess = [0.3, -0.1, 0.2, 0.0, 0.4, 0.1];
        let conductance = [5.0, 1e3, 1e-40, 2.0, 0.3, 7.0];
        let welds = [([2, 4], 3.0), ([4, 5], 0.8)];
        let (mut p, mut inflow, mut across) = ([0.0; 6], [0.0; 6], [0.0; 2]);
        let network = Network {
            feeder: &feeder,
            compliance: &compliance,
            excess: &excess,
            conductance: &conductance,
            welds: &welds,
            nozzle: 2.0,
        };
        network.solve(&mut p, &mut inflow, &mut across, &mut Scratch::default());
        for i in 0..6 {
            let mut gained = excess[i] + inflow[i];
            for (c, from) in feeder.iter().enumerate() {
                if *from == Some(i) {
                    gained -= inflow[c];
                }
            }
            for (([a, b], _), flow) in welds.iter().zip(across) {
                gained += if *b == i { flow } else { 0.0 } - if *a == i { flow } else { 0.0 };
            }
            assert!((compliance[i] * p[i] - gained).abs() < 1e-12, "cell {i}: {p:?}");
        }
    }
}
