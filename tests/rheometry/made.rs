//! Readings made from a known law.

use gatefrost_core::rheometry::{CapillaryReading, FlowPoint};
use gatefrost_tests::random::Random;
use std::f64::consts::PI;

/// A standard normal number (Box and Muller).
pub fn normal(random: &mut Random) -> f64 {
    let (a, b) = (random.between(1e-12, 1.0), random.between(0.0, 1.0));
    (-2.0 * a.ln()).sqrt() * (2.0 * PI * b).cos()
}

/// Flow points of a viscosity function of rate and temperature \[°C\], with relative scatter.
pub fn points(
    viscosity: impl Fn(f64, f64) -> f64,
    temperatures: &[f64],
    rates: &[f64],
    scatter: f64,
    seed: u64,
) -> Vec<FlowPoint> {
    let mut random = Random::new(seed);
    let mut out = Vec::new();
    for &temperature in temperatures {
        for &shear_rate in rates {
            let viscosity = viscosity(shear_rate, temperature) * (scatter * normal(&mut random)).exp();
            out.push(FlowPoint {
                temperature,
                shear_rate,
                viscosity,
                stress: viscosity * shear_rate,
                line: out.len() + 2,
            });
        }
    }
    out
}

/// Capillary readings of a power-law fluid τ = Kγ̇ⁿ that slips with v_s = aτᵇ and loses `ends`
/// diameters' worth of pressure at the ends, at given wall stresses.
pub struct PowerFluid {
    pub k: f64,
    pub n: f64,
    pub slip: (f64, f64),
    /// End length in diameters.
    pub ends: f64,
}

impl PowerFluid {
    pub fn wall_rate(&self, stress: f64) -> f64 {
        (stress / self.k).powf(1.0 / self.n)
    }

    pub fn slip_velocity(&self, stress: f64) -> f64 {
        self.slip.0 * stress.powf(self.slip.1)
    }

    /// The reading at one wall stress: Q = πR³ γ̇_w n/(3n + 1) + πR² v_s.
    pub fn reading(&self, temperature: f64, d: f64, l: f64, stress: f64, line: usize) -> CapillaryReading {
        let r = 0.5 * d;
        let sheared = PI * r.powi(3) * self.wall_rate(stress) * self.n / (3.0 * self.n + 1.0);
        let flow = sheared + PI * r * r * self.slip_velocity(stress);
        let pressure = 4.0 * stress * (l / d + self.ends);
        CapillaryReading { temperature, diameter: d, length: l, flow, pressure, line }
    }
}

/// Values spaced evenly in their logarithm.
pub fn spaced(from: f64, to: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| from * (to / from).powf(i as f64 / (count - 1) as f64)).collect()
}
