//! The pressure along the path during packing: one implicit step of a chain of compressible cells.

/// A chain of cells between the nozzle and the end of flow.
pub struct Chain<'a> {
    /// Compliance κV of each cell \[m³/Pa\].
    pub compliance: &'a [f64],
    /// Volume each cell gives up in the step by contraction \[m³\].
    pub contraction: &'a [f64],
    /// Flow resistance of each cell \[Pa s/m³\].
    pub resistance: &'a [f64],
    /// Nozzle pressure \[Pa\], or `None` when the nozzle is shut.
    pub nozzle: Option<f64>,
    /// Step \[s\].
    pub dt: f64,
}

impl Chain<'_> {
    /// Moves the pressures on by one backward Euler step and sets the flow into each cell \[m³/s\].
    pub fn step(&self, pressure: &mut [f64], inflow: &mut [f64], scratch: &mut [f64]) {
        let n = pressure.len();
        let face = |i: usize| {
            let upstream = if i == 0 { 0.0 } else { self.resistance[i - 1] };
            2.0 / (upstream + self.resistance[i])
        };
        let inlet = if self.nozzle.is_some() { face(0) } else { 0.0 };
        let supply = self.nozzle.unwrap_or(0.0);
        // Elimination without a difference: `kept` is 1 − (eliminated upper diagonal), found from what
        // is left of the pivot. Conductances span many decades, and compliances must not drown in them.
        let (mut lower, mut kept, mut eliminated) = (inlet * self.dt, 1.0, supply);
        for i in 0..n {
            let upper = if i + 1 < n { face(i + 1) * self.dt } else { 0.0 };
            let own = self.compliance[i] + lower * kept;
            let diagonal = own + upper;
            let right = self.compliance[i] * pressure[i] - self.contraction[i] + lower * eliminated;
            eliminated = right / diagonal;
            pressure[i] = eliminated;
            scratch[i] = upper / diagonal;
            kept = own / diagonal;
            lower = upper;
        }
        for i in (0..n - 1).rev() {
            pressure[i] += scratch[i] * pressure[i + 1];
        }
        inflow[0] = inlet * (supply - pressure[0]);
        for i in 1..n {
            inflow[i] = face(i) * (pressure[i - 1] - pressure[i]);
        }
    }
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
        let (compliance, resistance) = (vec![1.0 / n as f64; n], vec![1.0 / n as f64; n]);
        let none = vec![0.0; n];
        let mut pressure = vec![0.0; n];
        let (mut inflow, mut scratch) = (vec![0.0; n], vec![0.0; n]);
        let steps = 2000;
        let dt = 0.5 / f64::from(steps);
        let mut delivered = 0.0;
        for _ in 0..steps {
            let chain = Chain {
                compliance: &compliance,
                contraction: &none,
                resistance: &resistance,
                nozzle: Some(1.0),
                dt,
            };
            chain.step(&mut pressure, &mut inflow, &mut scratch);
            delivered += inflow[0] * dt;
        }
        let exact = 1.0 - 4.0 / PI * (-PI * PI / 8.0).exp();
        assert!((pressure[n - 1] - exact).abs() < 2e-3, "{} against {exact}", pressure[n - 1]);
        let stored: f64 = pressure.iter().zip(&compliance).map(|(p, c)| p * c).sum();
        assert!((delivered - stored).abs() < 1e-12, "{delivered} against {stored}");
    }

    #[test]
    fn a_shut_chain_keeps_its_volume_and_evens_out() {
        let compliance = [1e-3, 2e-3, 1e-3];
        let contraction = [1e-4, 0.0, 0.0];
        let resistance = [1.0, 1.0, 1.0];
        let mut pressure = [0.5, 0.5, 0.5];
        let chain = Chain {
            compliance: &compliance,
            contraction: &contraction,
            resistance: &resistance,
            nozzle: None,
            dt: 100.0,
        };
        chain.step(&mut pressure, &mut [0.0; 3], &mut [0.0; 3]);
        let expected = 0.5 - 1e-4 / 4e-3;
        assert!(pressure.iter().all(|p| (p - expected).abs() < 1e-4), "{pressure:?}");
    }
}
