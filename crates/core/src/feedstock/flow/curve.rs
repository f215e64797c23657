//! The shape M of a flow law as a table, so that the fluidity at a stress needs no iteration.

use super::Viscosity;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::hermite::{self, Cubic};
use gatefrost_numerics::interval;

/// Ends of the table in x = ln(τ/τ_r).
const FROM: f64 = -12.0;
const TO: f64 = 9.0;

/// ln of the greatest shape M: times the greatest mobility, e^200, it is still a number.
const GREATEST_LOG_SHAPE: f64 = 480.0;

/// The shape M(x) of a flow law, x = ln(τ/τ_r), as a table.
///
/// For a smooth law, cubic Hermite pieces on equal steps of x. The step keeps (1/n − 1)Δx at or below 0.12, where the
/// Hermite remainder of an exponential, ((1/n − 1)Δx)⁴/384, is 6e-7 of M. With a yield stress M rises by many decades
/// over a small step of x; there L = x + ln M is interpolated between nodes on equal steps of L. Outside its table a
/// law is solved directly.
#[derive(Debug, Clone)]
pub struct FlowCurve {
    law: Viscosity,
    table: ShapeTable,
}

#[derive(Debug, Clone)]
enum ShapeTable {
    /// Steps per x, and the coefficients of M in the fraction of each interval, constant first.
    Smooth(f64, Vec<Cubic>),
    /// (x, L, dL/dx) at nodes of L = x + ln M.
    Yielding(Vec<[f64; 3]>),
}

impl FlowCurve {
    /// Tabulates the shape of a law.
    pub fn new(law: Viscosity) -> Self {
        Self { law, table: yielding(law).unwrap_or_else(|| smooth(law)) }
    }

    /// Flow exponent n of the law.
    pub fn exponent(&self) -> f64 {
        self.law.exponent()
    }

    /// M and dM/dx at x = ln(τ/τ_r).
    pub fn at(&self, x: f64) -> (f64, f64) {
        if let ShapeTable::Smooth(per_step, intervals) = &self.table {
            let place = (x - FROM) * per_step;
            let (index, t) = interval(place);
            if let Some(cubic) = intervals.get(index) {
                return (hermite::value(*cubic, t), hermite::slope(*cubic, t) * per_step);
            }
        }
        self.elsewhere(x)
    }

    /// M and dM/dx at x beyond each of some places.
    pub fn along(&self, x: f64, beyond: &[f64], m: &mut [f64], slopes: &mut [f64]) {
        if let ShapeTable::Smooth(per_step, intervals) = &self.table
            && !hermite::fill(intervals, beyond, FROM - x, *per_step, m, slopes)
        {
            return;
        }
        for (j, &beyond) in beyond.iter().enumerate() {
            (m[j], slopes[j]) = self.at(x + beyond);
        }
    }

    #[cold]
    fn elsewhere(&self, x: f64) -> (f64, f64) {
        let (log, slope) = match &self.table {
            ShapeTable::Yielding(nodes) => between(nodes, x),
            ShapeTable::Smooth(..) => None,
        }
        .unwrap_or_else(|| self.law.shape(x));
        let m = log.min(GREATEST_LOG_SHAPE).exponential();
        (m, slope * m)
    }
}

fn smooth(law: Viscosity) -> ShapeTable {
    let steepest = 1.0 / law.exponent() - 1.0;
    let step = (0.12 / steepest.max(1e-3)).min(0.0625);
    let count = ((TO - FROM) / step).ceil() as usize;
    let node = |i: usize| {
        let (log, slope) = law.shape(FROM + step * i as f64);
        let m = log.exponential();
        (m, step * slope * m)
    };
    ShapeTable::Smooth(1.0 / step, hermite::pieces(count, &node))
}

/// Nodes on steps of 0.1 in L; `None` for a law that does not ask for them.
fn yielding(law: Viscosity) -> Option<ShapeTable> {
    let node = |i: i32| law.shape_at_rate(0.1 * f64::from(i));
    (-300..=300).map(node).collect::<Option<_>>().map(ShapeTable::Yielding)
}

/// ln M and its slope from the nodes around x, by cubic Hermite in L(x); `None` outside them.
fn between(nodes: &[[f64; 3]], x: f64) -> Option<(f64, f64)> {
    let after = nodes.partition_point(|node| node[0] <= x);
    let ([xa, la, da], [xb, lb, db]) = (nodes.get(after.checked_sub(1)?)?, nodes.get(after)?);
    let width = xb - xa;
    let t = (x - xa) / width;
    let cubic = hermite::cubic(*la, da * width, *lb, db * width);
    let (l, slope) = (hermite::value(cubic, t), hermite::slope(cubic, t) / width);
    // Kept above the slope of a Newtonian law, so that the flow goes on rising with the stress.
    Some((l - x, slope.max(1.0) - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{CrossWlfConstants, FlowLaw, HerschelBulkleyConstants, PowerLawConstants};

    #[test]
    fn a_sharp_yield_keeps_its_fluidity_positive_and_close() {
        for (yield_stress, regularisation) in [(5.0, 10.0), (200.0, 10.0), (1000.0, 1000.0)] {
            let constants = HerschelBulkleyConstants {
                yield_stress,
                regularisation,
                ..HerschelBulkleyConstants::default()
            };
            let law = Viscosity::measured(&FlowLaw::HerschelBulkley(constants));
            let curve = FlowCurve::new(law);
            for i in 0..400 {
                // Compared at given rates: at the yield a hair of stress is a decade of rate.
                let [x, l, _] = law.shape_at_rate(-20.0 + 0.1 * f64::from(i) + 0.037).unwrap();
                let (m, _) = curve.at(x);
                let rate = (m.ln() + x) - l;
                assert!(m > 0.0 && rate.abs() < 0.01, "{yield_stress} {regularisation} {x}: {rate}");
            }
        }
    }

    #[test]
    fn the_table_keeps_its_stated_error() {
        for n in [0.1, 0.35, 0.8, 1.0] {
            let cross = CrossWlfConstants { n, ..CrossWlfConstants::default() };
            let power = PowerLawConstants { n, ..PowerLawConstants::default() };
            for law in [FlowLaw::CrossWlf(cross), FlowLaw::PowerLaw(power)] {
                let law = Viscosity::measured(&law);
                let curve = FlowCurve::new(law);
                // One by one and along places, inside the table and across its ends.
                for x in [-11.5, -3.0, 2.0, 10.0] {
                    let beyond = [-2.0, -0.7, -0.3, -0.1, 0.0];
                    let (mut m, mut slopes) = ([0.0; 5], [0.0; 5]);
                    curve.along(x, &beyond, &mut m, &mut slopes);
                    for j in 0..5 {
                        let (one, slope) = curve.at(x + beyond[j]);
                        assert!((m[j] / one - 1.0).abs() < 1e-12, "{law:?} at {x} and {}", beyond[j]);
                        assert!(
                            (slopes[j] - slope).abs() < 1e-10 * (one + slope),
                            "{law:?} at {x} and {}",
                            beyond[j]
                        );
                    }
                }
                for i in 0..4000 {
                    let x = -14.0 + 25.0 * f64::from(i) / 4000.0;
                    let (log, slope) = law.shape(x);
                    let (m, dm) = curve.at(x);
                    assert!((m / log.exp() - 1.0).abs() < 1e-6, "{law:?} at {x}");
                    assert!((dm / log.exp() - slope).abs() < 1e-4 * (1.0 + slope), "{law:?} at {x}");
                }
            }
        }
    }
}
