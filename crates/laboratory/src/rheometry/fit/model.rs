//! A flow law and the readings it is fitted to, in the coordinates of the solver.

use super::FitOptions;
use super::basis::{Basis, Bounds, Coordinates, Datum};
use super::laws::{self, FitLaw};
use gatefrost_core::catalogue::Parameter;
use gatefrost_core::scenario::{FlowLaw, FlowLawKind};
use gatefrost_numerics::elementary::Elementary;

/// A law with what is not fitted.
#[derive(Clone)]
pub(super) struct Model {
    /// Which law.
    pub kind: FlowLawKind,
    /// What the fit needs to know of it.
    pub law: &'static dyn FitLaw,
    /// What the law takes from the readings.
    pub basis: Basis,
}

impl Model {
    pub fn new(kind: FlowLawKind, data: &[Datum], options: &FitOptions) -> Self {
        let law = laws::of(kind);
        Self { kind, law, basis: Basis::new(data, |mean| law.reference(mean, options)) }
    }

    /// Bounds of each coordinate, in the order of [`FitLaw::names`].
    pub fn bounds(&self) -> Vec<Bounds> {
        let bounds = |&(name, logarithmic): &(&str, bool)| {
            let accepted = self.accepted(name).map(|x| if logarithmic { x.logarithm() } else { x });
            self.law.bounds(name, accepted, &self.basis)
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
            self.snapped(name, if logarithmic { c[place].exponential() } else { c[place] })
        };
        self.law.flow_law(&self.basis, c, &at, bound)
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
        self.model.law.log_viscosity(&self.model.basis, &self.c, self.carried, datum)
    }
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
            let resolved = gatefrost_core::feedstock::Viscosity::measured(&model.flow_law(&start, &[]));
            for datum in &data {
                let outside = resolved.viscosity(datum.log_rate.exp(), datum.t, 0.0).ln();
                assert!((outside - model.at(&start).log_viscosity(datum).0).abs() < 1e-9, "{law:?}");
            }
        }
    }
}
