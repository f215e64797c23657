//! Gate against the powder: the least depth of any gate, against a multiple of the particle size d₉₀. Coarse grains
//! bridge a gate of a few of their diameters.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MILLIMETRE,
    measure: Needs::Setting(|case| {
        let c = &case.cavity;
        let depth = |&gate: &usize| {
            let [entry, exit] = c.passages[gate].half_gap;
            2.0 * entry.min(exit)
        };
        let least = c.gates.iter().map(depth).fold(f64::INFINITY, f64::min);
        let needed = case.thresholds.gate_grains * case.material.d90;
        if case.loading[0] == 0.0 || needed == 0.0 || least.is_infinite() {
            return Measure::ABSENT;
        }
        Measure::new(least, needed, Scale::RatioAbove)
    }),
    found: "The shallowest gate has a depth of",
    beyond: "coarse grains bridge it",
    remedy: "A deeper gate, or a finer powder.",
};
