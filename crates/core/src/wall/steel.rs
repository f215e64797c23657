//! Steel that warms where the melt touches it.
//!
//! A half-space answers a heat flux q with the surface excess ∫ q(t') K(t − t') dt', K(t) = 1/(b √(πt)) with the effusivity
//! b = √(k ρc) (Carslaw and Jaeger, Conduction of Heat in Solids, section 2.9, from memory). K is the sum of decaying
//! exponentials of all rates λ, K(t) = (1/πb) ∫ λ^(−½) exp(−λt) dλ. Steel that keeps its temperature at a depth d conducts
//! q = k ΔT/d in the end: the slowest rates are missing, those below 4a/(π²d²) with the diffusivity a, so that ∫K dt = d/k.
//! The rates are gathered into a few on equal steps of ln λ, the same for all depths, each with the share of ∫K dt that
//! falls to it.

use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::lanes::dot;
use std::f64::consts::PI;
use std::sync::LazyLock;

/// Terms of the kernel.
const TERMS: usize = 10;
/// Least and greatest rate of the terms \[1/s\]. What is faster acts as a resistance that is always there, of less than
/// 1e-6 m²K/W.
const RATES: [f64; 2] = [2e-3, 1e5];

/// Steel between the cavity and the drillings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steel {
    /// Conductivity k \[W/mK\].
    pub conductivity: f64,
    /// Heat capacity per volume ρc \[J/m³K\].
    pub volumetric_heat: f64,
    /// Distance from the surface of the cavity to the wall of the drillings \[m\].
    pub depth: f64,
}

/// How the steel at one passage answers a heat flux: excess temperature per heat and area that each term gives at once
/// \[K m²/J\], and the resistance of what is faster \[m²K/W\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kernel {
    weights: [f64; TERMS],
    rest: f64,
}

/// Excess temperature of the surface, term by term \[K\].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SurfaceHeat([f64; TERMS]);

/// One step in time: what remains of each term, and what it gathers per weight and heat flux \[s\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepOfSteel {
    /// Length of the step \[s\].
    pub time: f64,
    kept: [f64; TERMS],
    gained: [f64; TERMS],
}

/// A step in two parts, for all cells of one passage. A flux comes in each part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoParts {
    /// What remains of each term after the second part alone, and after both.
    kept: [[f64; TERMS]; 2],
    /// What each term has at the end per flux of the first part, and of the second \[m²K/W\].
    gained: [[f64; TERMS]; 2],
    /// Rise of the surface at the end per flux of the first part \[m²K/W\].
    pub left: f64,
    /// The same for the second \[m²K/W\].
    pub resistance: f64,
}

/// Ends of the bins in λ.
static ENDS: LazyLock<[f64; TERMS + 1]> = LazyLock::new(|| {
    std::array::from_fn(|k| RATES[0] * (RATES[1] / RATES[0]).power(k as f64 / TERMS as f64))
});

/// Rates of the terms: those whose weight and resistance go with each other over the whole bin.
static MIDDLES: LazyLock<[f64; TERMS]> =
    LazyLock::new(|| std::array::from_fn(|k| (ENDS[k] * ENDS[k + 1]).sqrt()));

impl Steel {
    /// The kernel of steel that keeps its temperature at a depth \[m\].
    pub fn kernel(&self, depth: f64) -> Kernel {
        let effusivity = (self.conductivity * self.volumetric_heat).sqrt();
        let slowest = 4.0 * self.conductivity / self.volumetric_heat / (PI * depth).powi(2);
        let beyond = |rate: f64| 2.0 / (PI * effusivity * rate.max(slowest).sqrt());
        let weights = std::array::from_fn(|k| {
            // The first term stands for all that is slower, too.
            let from = if k == 0 { 0.0 } else { ENDS[k] };
            (beyond(from) - beyond(ENDS[k + 1])) * MIDDLES[k]
        });
        Kernel { weights, rest: beyond(ENDS[TERMS]) }
    }
}

impl StepOfSteel {
    /// A step \[s\].
    pub fn new(time: f64) -> Self {
        let rates = &*MIDDLES;
        let kept = rates.map(|rate| (-rate * time).exponential());
        Self { time, kept, gained: std::array::from_fn(|k| (1.0 - kept[k]) / rates[k]) }
    }

    /// Rise of the surface at the end of the step per heat flux during it \[m²K/W\].
    pub fn resistance(&self, kernel: &Kernel) -> f64 {
        kernel.rest + dot(&kernel.weights, &self.gained)
    }
}

impl TwoParts {
    /// Two steps, one after the other, of steel with a kernel.
    pub fn new(kernel: &Kernel, [first, second]: &[StepOfSteel; 2]) -> Self {
        let each = |of: &dyn Fn(usize) -> f64| std::array::from_fn(of);
        let early = each(&|k| kernel.weights[k] * first.gained[k] * second.kept[k]);
        Self {
            kept: [second.kept, each(&|k| first.kept[k] * second.kept[k])],
            gained: [early, each(&|k| kernel.weights[k] * second.gained[k])],
            left: early.iter().sum(),
            resistance: second.resistance(kernel),
        }
    }
}

impl SurfaceHeat {
    /// Excess temperature at the end of a step in which no heat comes \[K\].
    pub fn without(&self, step: &StepOfSteel) -> f64 {
        dot(&self.0, &step.kept)
    }

    /// The same after the second of two parts alone, and after both.
    pub fn without_either(&self, step: &TwoParts) -> [f64; 2] {
        [dot(&self.0, &step.kept[0]), dot(&self.0, &step.kept[1])]
    }

    /// Takes a mean heat flux during a step \[W/m²\].
    pub fn take(&mut self, step: &StepOfSteel, kernel: &Kernel, flux: f64) {
        for k in 0..TERMS {
            self.0[k] = self.0[k] * step.kept[k] + flux * kernel.weights[k] * step.gained[k];
        }
    }

    /// Takes a mean heat flux during each part of a step \[W/m²\].
    pub fn take_each(&mut self, step: &TwoParts, [first, second]: [f64; 2]) {
        for k in 0..TERMS {
            self.0[k] = self.0[k] * step.kept[1][k] + first * step.gained[0][k] + second * step.gained[1][k];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const K: f64 = 29.0;
    const HEAT: f64 = 3.6e6;

    fn excess(depth: f64, end: f64, steps: u32, flux: impl Fn(f64) -> f64) -> f64 {
        let kernel = Steel { conductivity: K, volumetric_heat: HEAT, depth }.kernel(depth);
        let step = StepOfSteel::new(end / f64::from(steps));
        let mut heat = SurfaceHeat::default();
        let mut last = 0.0;
        for i in 0..steps {
            let q = flux((f64::from(i) + 0.5) * step.time);
            last = heat.without(&step) + step.resistance(&kernel) * q;
            heat.take(&step, &kernel, q);
        }
        last
    }

    /// A constant flux warms a half-space by 2 q √(t/π)/b (Carslaw and Jaeger, section 2.9, from memory).
    #[test]
    fn a_constant_flux_warms_the_surface_as_a_half_space() {
        let b = (K * HEAT).sqrt();
        for end in [1e-3, 1e-2, 0.1, 1.0] {
            let exact = 2.0 * 1e6 * (end / PI).sqrt() / b;
            let found = excess(0.03, end, 400, |_| 1e6);
            assert!((found / exact - 1.0).abs() < 0.04, "{end}: {found} against {exact}");
        }
    }

    /// In the end the slab conducts q d/k.
    #[test]
    fn a_constant_flux_ends_at_the_resistance_of_the_slab() {
        for depth in [0.005, 0.01, 0.04] {
            let found = excess(depth, 50.0 * depth * depth * HEAT / K, 2000, |_| 1e5);
            let exact = 1e5 * depth / K;
            assert!((found / exact - 1.0).abs() < 0.02, "{depth}: {found} against {exact}");
        }
    }

    /// A flux that falls as 1/√t keeps the surface of a half-space at one temperature, q √(πt)/b: that of the contact
    /// of two half-spaces.
    #[test]
    fn a_flux_of_two_half_spaces_keeps_the_surface_at_one_temperature() {
        let b = (K * HEAT).sqrt();
        let end = 0.5;
        // Mean of c/√t over a step is 2c(√t₂ − √t₁)/Δt.
        let steps = 2000;
        let dt = end / f64::from(steps);
        let mean = |t: f64| {
            2.0 * b / PI.sqrt() * 10.0 * ((t + 0.5 * dt).sqrt() - (t - 0.5 * dt).max(0.0).sqrt()) / dt
        };
        let found = excess(0.03, end, steps, mean);
        assert!((found / 10.0 - 1.0).abs() < 0.03, "{found}");
    }
}
