//! Decomposition of the binder.
//!
//! Loss X = 1 − exp(−∫ k dt) with the rate k(T) = k_o exp[−(E/R)(1/T − 1/T_o)]. Its constant follows from the onset T_o,
//! the temperature at which a sample that is heated at 10 K/min has lost 1 %:
//! k_o ∫ exp[−(E/R)(1/T − 1/T_o)] dT/β = −ln 0.99, from room temperature to T_o.

use super::ROOM;
use gatefrost_numerics::elementary::Elementary;

/// Heating rate of the onset \[K/s\].
const HEATING: f64 = 10.0 / 60.0;
/// −ln 0.99, which the onset stands for.
const AT_ONSET: f64 = 0.010_050_335_853_501_44;
/// Steps of Simpson's rule over the heating: at 500 kJ/mol it misses 0.1 % of the integral.
const STEPS: usize = 200;

/// How fast a binder decomposes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decomposition {
    /// Onset T_o \[K\].
    onset: f64,
    /// E/R \[K\].
    energy: f64,
    /// Rate at the onset, k_o \[1/s\].
    rate: f64,
}

impl Decomposition {
    /// From the onset \[K\] and the activation energy over the gas constant \[K\].
    pub fn new(onset: f64, energy: f64) -> Self {
        let mut binder = Self { onset, energy, rate: 0.0 };
        let step = (onset - ROOM) / STEPS as f64;
        let weight = |k: usize| match k {
            0 | STEPS => 1.0,
            k if k % 2 == 1 => 4.0,
            _ => 2.0,
        };
        let sum: f64 = (0..=STEPS).map(|k| weight(k) * binder.times(ROOM + step * k as f64)).sum();
        // Time at the onset that does as much as heating up to it.
        let time = sum * step / 3.0 / HEATING;
        binder.rate = AT_ONSET / time;
        binder
    }

    /// How much faster the binder decomposes at a temperature \[K\] than at the onset, exp[−(E/R)(1/T − 1/T_o)].
    fn times(&self, t: f64) -> f64 {
        (self.energy * (1.0 / self.onset - 1.0 / t)).exponential()
    }

    /// Share of the binder's mass that is lost after times \[s\] at temperatures \[K\].
    pub fn lost(&self, stays: &[(f64, f64)]) -> f64 {
        let at_onset: f64 = stays.iter().map(|&(time, t)| time * self.times(t)).sum();
        1.0 - (-self.rate * at_onset).exponential()
    }
}
