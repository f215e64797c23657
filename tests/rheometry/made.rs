//! Readings made from a known law.

use gatefrost_laboratory::rheometry::{CapillaryReading, FlowPoint};
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

/// Capillary readings of any fluid γ̇(τ, T) without slip or end loss.
pub struct AnyFluid<F: Fn(f64, f64) -> f64> {
    /// Shear rate \[1/s\] at a stress \[Pa\] and temperature \[°C\].
    pub rate: F,
}

impl<F: Fn(f64, f64) -> f64> AnyFluid<F> {
    /// 4Q/πR³ = (4/τ³)∫τ²γ̇ dτ, by Simpson's rule in ln τ.
    pub fn apparent_rate(&self, stress: f64, temperature: f64) -> f64 {
        let inner = |log: f64| (3.0 * log).exp() * (self.rate)(log.exp(), temperature);
        4.0 / stress.powi(3) * gatefrost_tests::numeric::simpson(inner, stress.ln() - 9.0, stress.ln(), 200)
    }

    /// The reading at an apparent shear rate.
    pub fn reading(&self, temperature: f64, d: f64, l: f64, rate: f64, line: usize) -> CapillaryReading {
        let (mut low, mut high) = (1.0_f64, 1e8_f64);
        for _ in 0..45 {
            let middle = (low * high).sqrt();
            if self.apparent_rate(middle, temperature) < rate { low = middle } else { high = middle }
        }
        let flow = rate * PI * (0.5 * d).powi(3) / 4.0;
        CapillaryReading { temperature, diameter: d, length: l, flow, pressure: 4.0 * low * l / d, line }
    }
}

/// Shear rate of a Cross fluid η = η₀/(1 + (η₀γ̇/τ*)^(1−n)) at a stress, by bisection.
pub fn cross_rate(eta0: f64, tau_star: f64, n: f64, stress: f64) -> f64 {
    let (mut low, mut high) = (1e-9_f64, 1e12_f64);
    for _ in 0..50 {
        let middle = (low * high).sqrt();
        let viscosity = eta0 / (1.0 + (eta0 * middle / tau_star).powf(1.0 - n));
        if viscosity * middle < stress { low = middle } else { high = middle }
    }
    (low * high).sqrt()
}

/// Values spaced evenly in their logarithm.
pub fn spaced(from: f64, to: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| from * (to / from).powf(i as f64 / (count - 1) as f64)).collect()
}
