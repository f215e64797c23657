//! The four flow laws as the fit sees them: ln η and its derivatives in coordinates in which the sum of
//! squares is well shaped (logarithms of what is positive, low-rate viscosity at the mean temperature
//! rather than D₁), and the way back to the constants of a [`FlowLaw`].

use super::{FitOptions, Law};
use crate::rheometry::FlowPoint;
use gatefrost_core::catalogue::Parameter;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::scenario::{
    CarreauYasudaConstants, CrossWlfConstants, FlowLaw, HerschelBulkleyConstants, PowerLawConstants,
};

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// Values of the coordinates of a law; those beyond its count are not used.
pub(super) type Coordinates = gatefrost_numerics::matrix::Vector;

/// How a coordinate is kept where it belongs while the solver moves freely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Between two bounds, by a logistic function.
    Between(f64, f64),
    /// Free; held at the nearer bound and fitted again should it end outside.
    Within(f64, f64),
}

impl Kind {
    pub fn outward(self, u: f64) -> f64 {
        match self {
            Self::Between(low, high) => low + (high - low) / (1.0 + (-u).exp()),
            Self::Within(..) => u,
        }
    }

    pub fn inward(self, value: f64) -> f64 {
        match self {
            Self::Between(low, high) => {
                let share = ((value - low) / (high - low)).clamp(1e-3, 1.0 - 1e-3);
                (share / (1.0 - share)).ln()
            }
            Self::Within(..) => value,
        }
    }

    /// d outward/du.
    pub fn slope(self, u: f64) -> f64 {
        match self {
            Self::Between(low, high) => {
                let share = 1.0 / (1.0 + (-u).exp());
                (high - low) * share * (1.0 - share)
            }
            Self::Within(..) => 1.0,
        }
    }

    /// The bound that a value has run into, if any.
    pub fn bound(self, value: f64) -> Option<f64> {
        let (low, high, room) = match self {
            Self::Between(low, high) => (low, high, 1e-4 * (high - low)),
            Self::Within(low, high) => (low, high, 0.0),
        };
        if value < low + room {
            Some(low)
        } else if value > high - room {
            Some(high)
        } else {
            None
        }
    }
}

/// One measured point, prepared.
#[derive(Debug, Clone, Copy)]
pub(super) struct Datum {
    /// ln γ̇.
    pub log_rate: f64,
    /// Temperature \[K\].
    pub t: f64,
    /// ln η.
    pub log_viscosity: f64,
}

impl Datum {
    pub fn of(point: &FlowPoint) -> Self {
        Self {
            log_rate: point.shear_rate.ln(),
            t: point.temperature + ZERO_CELSIUS,
            log_viscosity: point.viscosity.ln(),
        }
    }
}

/// A law with what is not fitted.
#[derive(Debug, Clone)]
pub(super) struct Model {
    pub law: Law,
    /// Reference temperature: D₂ of the Cross law, T_r of the others \[K\].
    pub reference: f64,
    /// Mean temperature of the data \[K\].
    pub mean: f64,
    /// Papanastasiou's exponent \[s\].
    pub regularisation: f64,
    /// Least stress of the data \[Pa\].
    pub least_stress: f64,
}

impl Model {
    pub fn new(law: Law, data: &[Datum], options: &FitOptions) -> Self {
        let mean = data.iter().map(|d| d.t).sum::<f64>() / data.len() as f64;
        let reference = match law {
            Law::CrossWlf => options.d2 + ZERO_CELSIUS,
            _ => (mean - ZERO_CELSIUS).round() + ZERO_CELSIUS,
        };
        let least_rate = data.iter().map(|d| d.log_rate).fold(f64::INFINITY, f64::min).exp();
        let least_stress =
            data.iter().map(|d| d.log_rate + d.log_viscosity).fold(f64::INFINITY, f64::min).exp();
        // Sharp enough for the yield to be fully there at the least rate measured.
        Self { law, reference, mean, regularisation: (10.0 / least_rate).clamp(1e-3, 1e6), least_stress }
    }

    /// Bounds of each coordinate, in the order of [`Model::names`]: what a scenario accepts of the constant.
    pub fn kinds(&self) -> Vec<Kind> {
        let kind = |&(name, logarithmic): &(&str, bool)| {
            let [low, high] = self.accepted(name).map(|x| if logarithmic { x.ln() } else { x });
            match name {
                // Low-rate viscosity at the mean temperature, not yet D₁.
                "d1" => Kind::Within(-50.0, 120.0),
                // A thousandth of the least stress measured is as good as none.
                "yield_stress" => Kind::Within((1e-3 * self.least_stress).ln(), high),
                "n" | "a2" | "transition" => Kind::Between(low, high),
                _ => Kind::Within(low, high),
            }
        };
        self.names().iter().map(kind).collect()
    }

    /// The range of a constant that a scenario accepts, in SI.
    fn accepted(&self, name: &str) -> [f64; 2] {
        let scale = if matches!(name, "tau_star" | "yield_stress") { 1e3 } else { 1.0 };
        let found = self.parameters().iter().find(|p| p.field == name);
        found.map_or([f64::NAN; 2], |p| [scale * p.min, scale * p.max])
    }

    /// Fields of the constants, and whether the coordinate is a logarithm.
    pub fn names(&self) -> &'static [(&'static str, bool)] {
        match self.law {
            Law::CrossWlf => &[("n", false), ("tau_star", true), ("d1", true), ("a1", false), ("a2", true)],
            Law::PowerLaw => &[("n", false), ("consistency", true), ("activation_energy", false)],
            Law::CarreauYasuda => &[
                ("n", false),
                ("eta0", true),
                ("relaxation_time", true),
                ("transition", true),
                ("activation_energy", false),
            ],
            Law::HerschelBulkley => {
                &[("n", false), ("yield_stress", true), ("consistency", true), ("activation_energy", false)]
            }
        }
    }

    /// Place of the coordinate that carries the temperature dependence.
    pub fn temperature_place(&self) -> usize {
        match self.law {
            Law::CrossWlf => 3,
            _ => self.names().len() - 1,
        }
    }

    /// The law at these coordinates.
    pub fn at(&self, c: &Coordinates) -> At<'_> {
        let carried = match self.law {
            Law::CrossWlf => c[4].exp(),
            Law::PowerLaw => 0.0,
            Law::CarreauYasuda => c[3].exp(),
            Law::HerschelBulkley => c[1].exp(),
        };
        At { model: self, c: *c, carried }
    }

    /// Logarithms become values, in SI, in the order of [`Model::names`]; `d ln D₁/d coordinates` too.
    pub fn log_d1(&self, c: &Coordinates) -> (f64, Coordinates) {
        let (a1, a2) = (c[3], c[4].exp());
        let x = self.mean - self.reference;
        let share = x / (a2 + x);
        (c[2] + a1 * share, [0.0, 0.0, 1.0, share, -a1 * share * a2 / (a2 + x)])
    }

    /// The law's constants from coordinates. `no_yield` where the yield stress ran to nothing.
    pub fn flow_law(&self, c: &Coordinates, no_yield: bool) -> FlowLaw {
        let reference_temperature = self.reference - ZERO_CELSIUS;
        let at = |place: usize| {
            let (name, logarithmic) = self.names()[place];
            self.snapped(name, if logarithmic { c[place].exp() } else { c[place] })
        };
        match self.law {
            Law::CrossWlf => FlowLaw::CrossWlf(CrossWlfConstants {
                n: at(0),
                tau_star: at(1) / 1e3,
                d1: self.log_d1(c).0.exp(),
                d2: reference_temperature,
                d3: 0.0,
                a1: at(3),
                a2: at(4),
            }),
            Law::PowerLaw => FlowLaw::PowerLaw(PowerLawConstants {
                n: at(0),
                consistency: at(1),
                activation_energy: at(2),
                reference_temperature,
            }),
            Law::CarreauYasuda => FlowLaw::CarreauYasuda(CarreauYasudaConstants {
                n: at(0),
                eta0: at(1),
                relaxation_time: at(2),
                transition: at(3),
                activation_energy: at(4),
                reference_temperature,
            }),
            Law::HerschelBulkley => FlowLaw::HerschelBulkley(HerschelBulkleyConstants {
                n: at(0),
                yield_stress: if no_yield { 0.0 } else { at(1) / 1e3 },
                consistency: at(2),
                regularisation: self.regularisation,
                activation_energy: at(3),
                reference_temperature,
            }),
        }
    }

    /// A value that misses the end of its range by rounding alone, put there.
    fn snapped(&self, name: &str, value: f64) -> f64 {
        let ends = self.accepted(name);
        ends.into_iter().find(|end| (value - end).abs() <= 1e-9 * end.abs()).unwrap_or(value)
    }

    /// Catalogue entries of the law's constants.
    pub fn parameters(&self) -> &'static [Parameter] {
        match self.law {
            Law::CrossWlf => CrossWlfConstants::PARAMETERS,
            Law::PowerLaw => PowerLawConstants::PARAMETERS,
            Law::CarreauYasuda => CarreauYasudaConstants::PARAMETERS,
            Law::HerschelBulkley => HerschelBulkleyConstants::PARAMETERS,
        }
    }
}

/// A law at coordinates that many points are held against.
#[derive(Debug, Clone, Copy)]
pub(super) struct At<'a> {
    model: &'a Model,
    c: Coordinates,
    /// The logarithmic coordinate that each point needs as a value: A₂, a or τ_y.
    carried: f64,
}

impl At<'_> {
    /// (1/R)(1/T − 1/T_r) per kJ/mol.
    fn shift(&self, t: f64) -> f64 {
        1e3 / R * (1.0 / t - 1.0 / self.model.reference)
    }

    /// ln η and its derivatives by the coordinates.
    pub fn log_viscosity(&self, datum: &Datum) -> (f64, Coordinates) {
        let Self { model, c, carried } = self;
        let n = c[0];
        let rate = datum.log_rate;
        match model.law {
            Law::CrossWlf => {
                let (a1, a2) = (c[3], carried);
                let (x, x_mean) = (datum.t - model.reference, model.mean - model.reference);
                let (share, share_mean) = (x / (a2 + x), x_mean / (a2 + x_mean));
                let rest = c[2] - a1 * (share - share_mean);
                let l = rest + rate - c[1];
                let (log, s) = softplus((1.0 - n) * l);
                let by_rest = 1.0 - s * (1.0 - n);
                let by_a2 = a1 * a2 * (share / (a2 + x) - share_mean / (a2 + x_mean));
                let by_a1 = share_mean - share;
                (rest - log, [s * l, s * (1.0 - n), by_rest, by_rest * by_a1, by_rest * by_a2])
            }
            Law::PowerLaw => {
                let q = self.shift(datum.t);
                (c[1] + (n - 1.0) * rate + c[2] * q, [rate, 1.0, q, 0.0, 0.0])
            }
            Law::CarreauYasuda => {
                let q = self.shift(datum.t);
                let a = carried;
                let y = a * (c[2] + rate + c[4] * q);
                let (log, s) = softplus(y);
                let m = n - 1.0;
                let value = c[1] + c[4] * q + m / a * log;
                (value, [log / a, 1.0, m * s, m * (s * y - log) / a, q * (1.0 + m * s)])
            }
            Law::HerschelBulkley => {
                let q = self.shift(datum.t);
                let log_g = rate + c[3] * q;
                let mg = model.regularisation * log_g.exp();
                let short = (-mg).exp_m1();
                let yielding = -carried * short;
                let flowing = (c[2] + n * log_g).exp();
                let stress = yielding + flowing;
                // Past a hundred e-foldings the second term is nothing, and mg may overflow.
                let turning = if mg < 100.0 { carried * mg * (1.0 + short) } else { 0.0 };
                let by_log_g = (turning + n * flowing) / stress;
                (
                    stress.ln() - rate,
                    [flowing * log_g / stress, yielding / stress, flowing / stress, q * by_log_g, 0.0],
                )
            }
        }
    }
}

/// ln(1 + eʸ) and its slope, without overflow.
fn softplus(y: f64) -> (f64, f64) {
    let small = (-y.abs()).exp();
    let slope = if y > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
    (y.max(0.0) + small.ln_1p(), slope)
}

#[cfg(test)]
mod tests {
    use super::super::starts::starts;
    use super::*;

    #[test]
    fn derivatives_are_those_of_the_value() {
        let data = [(0.7, 420.0), (4.0, 450.0), (8.0, 470.0)].map(|(log_rate, t)| Datum {
            log_rate,
            t,
            log_viscosity: 5.0,
        });
        for law in Law::ALL {
            let model = Model::new(law, &data, &FitOptions::default());
            let start = starts(&model, &data, 3)[0];
            for datum in &data {
                let (_, slopes) = model.at(&start).log_viscosity(datum);
                for i in 0..model.names().len() {
                    let h = 1e-5;
                    let (mut up, mut down) = (start, start);
                    up[i] += h;
                    down[i] -= h;
                    let numeric = (model.at(&up).log_viscosity(datum).0
                        - model.at(&down).log_viscosity(datum).0)
                        / (2.0 * h);
                    assert!(
                        (numeric - slopes[i]).abs() < 1e-7 * (1.0 + slopes[i].abs()),
                        "{law:?} {i}: {numeric} {slopes:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_law_given_back_has_the_viscosity_that_was_fitted() {
        let data =
            [(2.0, 420.0), (5.0, 450.0)].map(|(log_rate, t)| Datum { log_rate, t, log_viscosity: 5.0 });
        for law in Law::ALL {
            let model = Model::new(law, &data, &FitOptions::default());
            let start = starts(&model, &data, 3)[0];
            let resolved = gatefrost_core::feedstock::Viscosity::resolve(&model.flow_law(&start, false), 1.0);
            for datum in &data {
                let outside = resolved.viscosity(datum.log_rate.exp(), datum.t, 0.0).ln();
                assert!((outside - model.at(&start).log_viscosity(datum).0).abs() < 1e-9, "{law:?}");
            }
        }
    }
}
