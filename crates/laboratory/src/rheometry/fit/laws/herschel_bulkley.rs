//! The Herschel–Bulkley law in a fit, η = [τ_y(1 − e^(−m g)) + K gⁿ]/γ̇ with g = a_T γ̇.

use super::{FitLaw, Power};
use crate::rheometry::fit::basis::{Basis, Bounds, Coordinates, Datum};
use gatefrost_core::scenario::{FlowLaw, HerschelBulkleyConstants};
use gatefrost_numerics::elementary::Elementary;

pub(super) struct HerschelBulkley;

/// Place of the yield stress.
const YIELD_STRESS: usize = 1;

impl FitLaw for HerschelBulkley {
    fn names(&self) -> &'static [(&'static str, bool)] {
        &[("n", false), ("yield_stress", true), ("consistency", true), ("activation_energy", false)]
    }

    fn bounds(&self, name: &str, [low, high]: [f64; 2], basis: &Basis) -> Bounds {
        match name {
            "n" => Bounds::Between(low, high),
            // A thousandth of the least stress measured cannot be told from no yield stress.
            "yield_stress" => Bounds::Within((1e-3 * basis.least_stress).logarithm(), high),
            _ => Bounds::Within(low, high),
        }
    }

    fn remark(&self) -> Option<&'static str> {
        Some(
            "The regularisation m is chosen so that the yield stress is fully reached at the lowest rate measured. It is not a property.",
        )
    }

    fn lacks(&self, _thins: bool) -> (&'static str, &'static str) {
        ("no yield stress", "lower")
    }

    fn starts(&self, from: &Power, basis: &Basis) -> Vec<Coordinates> {
        let middle = 0.5 * (from.log_rates[0] + from.log_rates[1]);
        let start = |share: f64| {
            let yielding = share * basis.least_stress;
            let stress = (from.log_k + from.n * middle).exponential();
            let steeper = (from.n * (1.0 + share)).min(0.95);
            let flowing = (stress - yielding).max(0.1 * stress).logarithm() - steeper * middle;
            [steeper, yielding.logarithm(), flowing, from.energy, 0.0]
        };
        [0.03, 0.4, 0.9].map(start).to_vec()
    }

    /// τ_y \[Pa\].
    fn carried(&self, c: &Coordinates) -> f64 {
        c[YIELD_STRESS].exponential()
    }

    fn log_viscosity(&self, basis: &Basis, c: &Coordinates, carried: f64, at: &Datum) -> (f64, Coordinates) {
        let n = c[0];
        let q = basis.shift(at.t);
        let log_g = at.log_rate + c[3] * q;
        let mg = basis.regularisation * log_g.exponential();
        let short = (-mg).exponential_m1();
        let yielding = -carried * short;
        let flowing = (c[2] + n * log_g).exponential();
        let stress = yielding + flowing;
        // Above mg = 100 the factor e^(−mg) is zero to rounding, and mg may overflow.
        let turning = if mg < 100.0 { carried * mg * (1.0 + short) } else { 0.0 };
        let by_log_g = (turning + n * flowing) / stress;
        (
            stress.logarithm() - at.log_rate,
            [flowing * log_g / stress, yielding / stress, flowing / stress, q * by_log_g, 0.0],
        )
    }

    fn flow_law(
        &self,
        basis: &Basis,
        _c: &Coordinates,
        at: &dyn Fn(usize) -> f64,
        bound: &[usize],
    ) -> FlowLaw {
        let no_yield = bound.contains(&YIELD_STRESS);
        FlowLaw::HerschelBulkley(HerschelBulkleyConstants {
            n: at(0),
            yield_stress: if no_yield { 0.0 } else { at(YIELD_STRESS) / 1e3 },
            consistency: at(2),
            regularisation: basis.regularisation,
            activation_energy: at(3),
            reference_temperature: basis.reference_in_celsius(),
        })
    }
}
