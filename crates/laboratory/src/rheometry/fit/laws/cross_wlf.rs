//! The Cross law with WLF temperature dependence in a fit. Its third coordinate is ln η₀ at the mean temperature of the
//! readings instead of ln D₁, which lies far from them.

use super::{FitLaw, Power};
use crate::rheometry::fit::basis::{Basis, Bounds, Coordinates, Datum, R, softplus};
use crate::rheometry::fit::{DataRange, FitOptions};
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{CrossWlfConstants, FlowLaw};
use gatefrost_numerics::elementary::Elementary;

pub(super) struct CrossWlf;

/// Place of ln η₀ at the mean temperature.
const AT_MEAN: usize = 2;
/// Place of A₂.
const A2: usize = 4;

/// ln D₁ and its derivatives by the coordinates.
fn log_d1(basis: &Basis, c: &Coordinates) -> (f64, Coordinates) {
    let (a1, a2) = (c[3], c[A2].exponential());
    let x = basis.mean - basis.reference;
    let share = x / (a2 + x);
    (c[AT_MEAN] + a1 * share, [0.0, 0.0, 1.0, share, -a1 * share * a2 / (a2 + x)])
}

impl FitLaw for CrossWlf {
    fn names(&self) -> &'static [(&'static str, bool)] {
        &[("n", false), ("tau_star", true), ("d1", true), ("a1", false), ("a2", true)]
    }

    fn bounds(&self, name: &str, [low, high]: [f64; 2], _basis: &Basis) -> Bounds {
        match name {
            "d1" => Bounds::Within(-50.0, 120.0),
            "n" | "a2" => Bounds::Between(low, high),
            _ => Bounds::Within(low, high),
        }
    }

    fn temperature_place(&self) -> usize {
        3
    }

    fn assumed(&self) -> (&'static str, f64, &'static str) {
        ("A1", CrossWlfConstants::default().a1, "")
    }

    fn reference(&self, _mean: f64, options: &FitOptions) -> f64 {
        options.d2 + ZERO_CELSIUS
    }

    fn refuses(&self, range: &DataRange, options: &FitOptions) -> Option<String> {
        let near_pole = range.temperatures[0] - options.d2 < -CrossWlfConstants::default().a2 + 5.0;
        near_pole.then(|| {
            format!(
                "The reference temperature D2 = {} °C lies too far above the data.",
                number(options.d2, 4)
            )
        })
    }

    fn held(&self, levels: usize, options: &FitOptions) -> Option<(usize, Option<String>)> {
        if options.free_a2 && levels >= 3 {
            return None;
        }
        let remark = "A2 is held at 51.6 K: fitting it takes three temperatures.";
        Some((A2, options.free_a2.then(|| remark.to_owned())))
    }

    fn hold(&self, start: &mut Coordinates, _options: &FitOptions) {
        start[A2] = CrossWlfConstants::default().a2.logarithm();
    }

    fn starts(&self, from: &Power, basis: &Basis) -> Vec<Coordinates> {
        // A₁ with the slope of Arrhenius's law at the mean temperature.
        let a2 = CrossWlfConstants::default().a2;
        let x = basis.mean - basis.reference;
        let a1 = 1e3 * from.energy / R / basis.mean.powi(2) * (a2 + x).powi(2) / a2 / from.n.max(0.3);
        from.turning(|turn, slope, rest| [slope, rest + turn, rest, a1.clamp(0.5, 190.0), a2.logarithm()])
    }

    /// A₂ \[K\].
    fn carried(&self, c: &Coordinates) -> f64 {
        c[A2].exponential()
    }

    fn log_viscosity(&self, basis: &Basis, c: &Coordinates, a2: f64, at: &Datum) -> (f64, Coordinates) {
        let (n, a1) = (c[0], c[3]);
        let (x, x_mean) = (at.t - basis.reference, basis.mean - basis.reference);
        let (share, share_mean) = (x / (a2 + x), x_mean / (a2 + x_mean));
        let rest = c[AT_MEAN] - a1 * (share - share_mean);
        let l = rest + at.log_rate - c[1];
        let (log, s) = softplus((1.0 - n) * l);
        let by_rest = 1.0 - s * (1.0 - n);
        let by_a2 = a1 * a2 * (share / (a2 + x) - share_mean / (a2 + x_mean));
        let by_a1 = share_mean - share;
        (rest - log, [s * l, s * (1.0 - n), by_rest, by_rest * by_a1, by_rest * by_a2])
    }

    fn derived(&self, basis: &Basis, c: &Coordinates) -> Option<(usize, Coordinates)> {
        Some((AT_MEAN, log_d1(basis, c).1))
    }

    fn flow_law(
        &self,
        basis: &Basis,
        c: &Coordinates,
        at: &dyn Fn(usize) -> f64,
        _bound: &[usize],
    ) -> FlowLaw {
        FlowLaw::CrossWlf(CrossWlfConstants {
            n: at(0),
            tau_star: at(1) / 1e3,
            d1: log_d1(basis, c).0.exponential(),
            d2: basis.reference_in_celsius(),
            d3: 0.0,
            a1: at(3),
            a2: at(A2),
        })
    }
}
