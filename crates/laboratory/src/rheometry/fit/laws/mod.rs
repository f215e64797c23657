//! The flow laws for the fit, one file for each.

mod carreau_yasuda;
mod cross_wlf;
mod herschel_bulkley;
mod power_law;

use super::basis::{Basis, Bounds, Coordinates, Datum};
use super::{DataRange, FitOptions};
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::scenario::{CarreauYasudaConstants, FlowLaw, FlowLawKind};

/// A flow law as the fit sees it: ln η and its derivatives in coordinates in which the sum of squares is well shaped,
/// and the way back to the constants of a scenario.
pub(super) trait FitLaw: Sync {
    /// Fields of the fitted constants, in the order of the coordinates, and whether the coordinate is a logarithm. At
    /// most five.
    fn names(&self) -> &'static [(&'static str, bool)];

    /// Bounds of the coordinate of the constant `name`. `ends` are the least and the greatest value that a scenario
    /// accepts, as logarithms if the coordinate is one.
    fn bounds(&self, name: &str, ends: [f64; 2], basis: &Basis) -> Bounds;

    /// Place of the coordinate that carries the temperature dependence.
    fn temperature_place(&self) -> usize {
        self.names().len() - 1
    }

    /// The value at which that coordinate is held with readings at one temperature: name, value and unit.
    fn assumed(&self) -> (&'static str, f64, &'static str) {
        ("the activation energy", CarreauYasudaConstants::default().activation_energy, " kJ/mol")
    }

    /// Reference temperature \[K\] for readings of the mean temperature `mean` \[K\].
    fn reference(&self, mean: f64, options: &FitOptions) -> f64 {
        let _ = options;
        (mean - ZERO_CELSIUS).round() + ZERO_CELSIUS
    }

    /// Why readings over this range cannot be fitted; `None` if they can.
    fn refuses(&self, range: &DataRange, options: &FitOptions) -> Option<String> {
        let _ = (range, options);
        None
    }

    /// A coordinate that the options or the number of temperatures hold, besides that of the temperature, with a sentence
    /// about it.
    fn held(&self, levels: usize, options: &FitOptions) -> Option<(usize, Option<String>)> {
        let _ = (levels, options);
        None
    }

    /// Puts the value of that place into a start.
    fn hold(&self, start: &mut Coordinates, options: &FitOptions) {
        let _ = (start, options);
    }

    /// A sentence for the user on every fit of the law.
    fn remark(&self) -> Option<&'static str> {
        None
    }

    /// The feature that the readings lack if the power law describes them as well, with an exponent below 1 (`thins`) or
    /// not, and whether it would show at lower or at higher shear rates.
    fn lacks(&self, thins: bool) -> (&'static str, &'static str) {
        if thins {
            ("no plateau at low shear rates", "lower")
        } else {
            ("no thinning (they are all plateau)", "higher")
        }
    }

    /// Starts, from the power law that fits the readings best.
    fn starts(&self, from: &Power, basis: &Basis) -> Vec<Coordinates>;

    /// The value of a logarithmic coordinate that every point needs; any number for a law without one.
    fn carried(&self, c: &Coordinates) -> f64 {
        let _ = c;
        0.0
    }

    /// ln η and its derivatives by the coordinates.
    fn log_viscosity(&self, basis: &Basis, c: &Coordinates, carried: f64, at: &Datum) -> (f64, Coordinates);

    /// A constant, by its place, whose logarithm is no coordinate of the fit, and the derivatives of that logarithm by
    /// the coordinates.
    fn derived(&self, basis: &Basis, c: &Coordinates) -> Option<(usize, Coordinates)> {
        let _ = (basis, c);
        None
    }

    /// The law with its constants. `at` gives the value of a coordinate in SI; `bound` lists the places that ran into
    /// a bound.
    fn flow_law(&self, basis: &Basis, c: &Coordinates, at: &dyn Fn(usize) -> f64, bound: &[usize])
    -> FlowLaw;
}

/// The power law that fits the readings best, η = K γ̇^(n−1) at the mean temperature.
pub(super) struct Power {
    /// Flow exponent n.
    pub n: f64,
    /// ln K, K in Pa sⁿ.
    pub log_k: f64,
    /// Activation energy \[kJ/mol\].
    pub energy: f64,
    /// ln of the least and of the greatest shear rate.
    pub log_rates: [f64; 2],
}

impl Power {
    /// Starts for a law with a plateau, from where the plateau may end and how steep the law may be beyond: `start`
    /// makes one of ln γ̇ at the turn, exponent and ln η at rest.
    fn turning(&self, start: impl Fn(f64, f64, f64) -> Coordinates) -> Vec<Coordinates> {
        let [low, high] = self.log_rates;
        let turns = [(low - 1.0, self.n), (0.5 * (low + high), 0.6 * self.n), (high - 1.0, 0.3 * self.n)];
        let at = |(turn, slope): (f64, f64)| {
            let rest = self.log_k + (self.n - 1.0) * turn + 0.5;
            start(turn, slope.max(0.07), rest)
        };
        turns.map(at).to_vec()
    }
}

/// The law of a kind.
pub(super) fn of(kind: FlowLawKind) -> &'static dyn FitLaw {
    match kind {
        FlowLawKind::CrossWlf => &cross_wlf::CrossWlf,
        FlowLawKind::PowerLaw => &power_law::PowerLaw,
        FlowLawKind::CarreauYasuda => &carreau_yasuda::CarreauYasuda,
        FlowLawKind::HerschelBulkley => &herschel_bulkley::HerschelBulkley,
    }
}
