//! Evaluations of the plane: nodes of a grid, and zeros along its edges.

use crate::case::Case;
use crate::limits::{self, COUNT};
use crate::scenario::Scenario;

/// A point of the plane as fractions of its two spans.
pub(super) type Place = [f64; 2];

/// Every limit's margin at a place.
pub(super) type Margins = [f64; COUNT];

/// Evaluates places of the plane of one scenario.
pub(super) struct Sampler {
    scenario: Scenario,
    /// Evaluations so far.
    pub count: usize,
}

impl Sampler {
    pub fn new(scenario: Scenario) -> Self {
        Self { scenario, count: 0 }
    }

    pub fn margins(&mut self, place: Place) -> Margins {
        let plane = self.scenario.window.clone();
        self.scenario.set(plane.x.axis, plane.x.at(place[0]));
        self.scenario.set(plane.y.axis, plane.y.at(place[1]));
        self.count += 1;
        limits::margins(&Case::resolve(&self.scenario).evaluate())
    }

    /// Zero of one limit between two places of opposite sign, to `tolerance` of the distance between
    /// them; with a tolerance of 1 or more, by the secant alone, without evaluating.
    ///
    /// Illinois's form of the false position: the bracket always holds the zero.
    pub fn zero(&mut self, limit: usize, a: (Place, f64), b: (Place, f64), tolerance: f64) -> Place {
        let at = |f: f64| [a.0[0] + f * (b.0[0] - a.0[0]), a.0[1] + f * (b.0[1] - a.0[1])];
        let (mut low, mut high) = ((0.0, a.1), (1.0, b.1));
        let secant = |low: (f64, f64), high: (f64, f64)| low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
        let mut guess = secant(low, high);
        if tolerance >= 1.0 {
            return at(guess);
        }
        // Which end was kept last: halving its value keeps a convex margin from stalling there.
        let mut kept = 0;
        for _ in 0..20 {
            let g = self.margins(at(guess))[limit];
            if g == 0.0 {
                break;
            }
            if (g > 0.0) == (low.1 > 0.0) {
                low = (guess, g);
                if kept == 1 {
                    high.1 *= 0.5;
                }
                kept = 1;
            } else {
                high = (guess, g);
                if kept == -1 {
                    low.1 *= 0.5;
                }
                kept = -1;
            }
            let next = secant(low, high);
            let moved = (next - guess).abs();
            guess = next;
            if moved < tolerance || high.0 - low.0 < tolerance {
                break;
            }
        }
        at(guess)
    }
}
