//! The Carreau–Yasuda law in a fit, ln η = ln η₀ + E q + ((n − 1)/a) ln(1 + (a_T λγ̇)^a).

use super::{FitLaw, Power};
use crate::rheometry::fit::FitOptions;
use crate::rheometry::fit::basis::{Basis, Bounds, Coordinates, Datum, softplus};
use gatefrost_core::scenario::{CarreauYasudaConstants, FlowLaw};
use gatefrost_numerics::elementary::Elementary;

pub(super) struct CarreauYasuda;

/// Place of Yasuda's exponent a.
const TRANSITION: usize = 3;

impl FitLaw for CarreauYasuda {
    fn names(&self) -> &'static [(&'static str, bool)] {
        &[
            ("n", false),
            ("eta0", true),
            ("relaxation_time", true),
            ("transition", true),
            ("activation_energy", false),
        ]
    }

    fn bounds(&self, name: &str, [low, high]: [f64; 2], _basis: &Basis) -> Bounds {
        if matches!(name, "n" | "transition") {
            Bounds::Between(low, high)
        } else {
            Bounds::Within(low, high)
        }
    }

    fn held(&self, _levels: usize, options: &FitOptions) -> Option<(usize, Option<String>)> {
        options.transition.map(|_| (TRANSITION, None))
    }

    fn hold(&self, start: &mut Coordinates, options: &FitOptions) {
        start[TRANSITION] = options.transition.map_or(0.0, |a| a.clamp(0.1, 10.0).logarithm());
    }

    fn starts(&self, from: &Power, _basis: &Basis) -> Vec<Coordinates> {
        from.turning(|turn, slope, rest| [slope, rest, -turn, 0.0, from.energy / from.n.max(0.3)])
    }

    /// a.
    fn carried(&self, c: &Coordinates) -> f64 {
        c[TRANSITION].exponential()
    }

    fn log_viscosity(&self, basis: &Basis, c: &Coordinates, a: f64, at: &Datum) -> (f64, Coordinates) {
        let q = basis.shift(at.t);
        let y = a * (c[2] + at.log_rate + c[4] * q);
        let (log, s) = softplus(y);
        let m = c[0] - 1.0;
        let value = c[1] + c[4] * q + m / a * log;
        (value, [log / a, 1.0, m * s, m * (s * y - log) / a, q * (1.0 + m * s)])
    }

    fn flow_law(
        &self,
        basis: &Basis,
        _c: &Coordinates,
        at: &dyn Fn(usize) -> f64,
        _bound: &[usize],
    ) -> FlowLaw {
        FlowLaw::CarreauYasuda(CarreauYasudaConstants {
            n: at(0),
            eta0: at(1),
            relaxation_time: at(2),
            transition: at(TRANSITION),
            activation_energy: at(4),
            reference_temperature: basis.reference_in_celsius(),
        })
    }
}
