//! A flow law and the readings it is fitted to, in the coordinates of the solver.

use super::FitOptions;
use super::laws::{self, FitLaw};
use crate::rheometry::FlowPoint;
use gatefrost_core::catalogue::Parameter;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::scenario::{FlowLaw, FlowLawKind};

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// Values of the coordinates of a law; those beyond its count are not used.
pub(super) type Coordinates = gatefrost_numerics::matrix::Vector;

/// How a coordinate is kept in its range, while the solver moves over all numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Bounds {
    /// Between two bounds, by a logistic function.
    Between(f64, f64),
    /// Free. If it ends outside, it is held at the nearer bound and the others are fitted again.
    Within(f64, f64),
}

impl Bounds {
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
#[derive(Clone)]
pub(super) struct Model {
    /// Which law.
    pub kind: FlowLawKind,
    /// What the fit needs to know of it.
    pub law: &'static dyn FitLaw,
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
    pub fn new(kind: FlowLawKind, data: &[Datum], options: &FitOptions) -> Self {
        let mean = data.iter().map(|d| d.t).sum::<f64>() / data.len() as f64;
        let law = laws::of(kind);
        let reference = law.reference(mean, options);
        let least_rate = data.iter().map(|d| d.log_rate).fold(f64::INFINITY, f64::min).exp();
        let least_stress =
            data.iter().map(|d| d.log_rate + d.log_viscosity).fold(f64::INFINITY, f64::min).exp();
        // Sharp enough for the full yield stress at the least rate measured.
        let regularisation = (10.0 / least_rate).clamp(1e-3, 1e6);
        Self { kind, law, reference, mean, regularisation, least_stress }
    }

    /// Bounds of each coordinate, in the order of [`FitLaw::names`].
    pub fn bounds(&self) -> Vec<Bounds> {
        let bounds = |&(name, logarithmic): &(&str, bool)| {
            let accepted = self.accepted(name).map(|x| if logarithmic { x.ln() } else { x });
            self.law.bounds(name, accepted, self)
        };
        self.law.names().iter().map(bounds).collect()
    }

    /// The range of a constant that a scenario accepts, in the unit of the fit: kPa become Pa.
    fn accepted(&self, name: &str) -> [f64; 2] {
        let found = self.parameters().iter().find(|p| p.field == name);
        found.map_or([f64::NAN; 2], |p| {
            let scale = if p.unit == "kPa" { 1e3 } else { 1.0 };
            [scale * p.min, scale * p.max]
        })
    }

    /// The law at these coordinates.
    pub fn at(&self, c: &Coordinates) -> At<'_> {
        At { model: self, c: *c, carried: self.law.carried(c) }
    }

    /// The law's constants from coordinates, some of which ran into a bound.
    pub fn flow_law(&self, c: &Coordinates, bound: &[usize]) -> FlowLaw {
        let at = |place: usize| {
            let (name, logarithmic) = self.law.names()[place];
            self.snapped(name, if logarithmic { c[place].exp() } else { c[place] })
        };
        self.law.flow_law(self, c, &at, bound)
    }

    /// A value that misses the end of its range by rounding alone, put there.
    fn snapped(&self, name: &str, value: f64) -> f64 {
        let ends = self.accepted(name);
        ends.into_iter().find(|end| (value - end).abs() <= 1e-9 * end.abs()).unwrap_or(value)
    }

    /// Catalogue entries of the law's constants.
    pub fn parameters(&self) -> &'static [Parameter] {
        self.kind.parameters()
    }

    /// Reference temperature \[°C\].
    pub fn reference_in_celsius(&self) -> f64 {
        self.reference - ZERO_CELSIUS
    }

    /// q = (1/R)(1/T − 1/T_r) per kJ/mol, at T \[K\].
    pub fn shift(&self, t: f64) -> f64 {
        1e3 / R * (1.0 / t - 1.0 / self.reference)
    }
}

/// A law at coordinates that many points are compared with.
#[derive(Clone, Copy)]
pub(super) struct At<'a> {
    model: &'a Model,
    c: Coordinates,
    carried: f64,
}

impl At<'_> {
    /// ln η and its derivatives by the coordinates.
    pub fn log_viscosity(&self, datum: &Datum) -> (f64, Coordinates) {
        self.model.law.log_viscosity(self.model, &self.c, self.carried, datum)
    }
}

/// ln(1 + eʸ) and its slope, without overflow.
pub(super) fn softplus(y: f64) -> (f64, f64) {
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
        for &law in FlowLawKind::ALL {
            let model = Model::new(law, &data, &FitOptions::default());
            let start = starts(&model, &data, 3)[0];
            for datum in &data {
                let (_, slopes) = model.at(&start).log_viscosity(datum);
                for i in 0..model.law.names().len() {
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
        for &law in FlowLawKind::ALL {
            let model = Model::new(law, &data, &FitOptions::default());
            let start = starts(&model, &data, 3)[0];
            let resolved = gatefrost_core::feedstock::Viscosity::resolve(&model.flow_law(&start, &[]), 1.0);
            for datum in &data {
                let outside = resolved.viscosity(datum.log_rate.exp(), datum.t, 0.0).ln();
                assert!((outside - model.at(&start).log_viscosity(datum).0).abs() < 1e-9, "{law:?}");
            }
        }
    }
}
