//! The power law in a fit, ln η = ln K + (n − 1) ln γ̇ + E q with q = (1/R)(1/T − 1/T_r).

use super::{Bounds, FitLaw, Power};
use crate::rheometry::fit::basis::{Basis, Coordinates, Datum};
use gatefrost_core::scenario::{FlowLaw, PowerLawConstants};

pub(super) struct PowerLaw;

impl FitLaw for PowerLaw {
    fn names(&self) -> &'static [(&'static str, bool)] {
        &[("n", false), ("consistency", true), ("activation_energy", false)]
    }

    fn bounds(&self, name: &str, [low, high]: [f64; 2], _basis: &Basis) -> Bounds {
        if name == "n" { Bounds::Between(low, high) } else { Bounds::Within(low, high) }
    }

    fn starts(&self, from: &Power, _basis: &Basis) -> Vec<Coordinates> {
        vec![[from.n, from.log_k, from.energy, 0.0, 0.0]]
    }

    fn log_viscosity(&self, basis: &Basis, c: &Coordinates, _carried: f64, at: &Datum) -> (f64, Coordinates) {
        let q = basis.shift(at.t);
        (c[1] + (c[0] - 1.0) * at.log_rate + c[2] * q, [at.log_rate, 1.0, q, 0.0, 0.0])
    }

    fn flow_law(
        &self,
        basis: &Basis,
        _c: &Coordinates,
        at: &dyn Fn(usize) -> f64,
        _bound: &[usize],
    ) -> FlowLaw {
        FlowLaw::PowerLaw(PowerLawConstants {
            n: at(0),
            consistency: at(1),
            activation_energy: at(2),
            reference_temperature: basis.reference_in_celsius(),
        })
    }
}
