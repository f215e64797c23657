//! The shape of the flow curve as a table: fluidity at a stress without a logarithm to invert.

use super::Viscosity;

/// Ends of the table in x = ln(τ/τ_r).
const FROM: f64 = -12.0;
const TO: f64 = 9.0;

/// Cubic Hermite table of M(x), the fluidity relative to the mobility, on equal steps of x.
///
/// The step keeps (1/n − 1)·Δx at or below 0.12, where the Hermite remainder of an exponential,
/// ((1/n − 1)Δx)⁴/384, is 6e-7 of M. Outside the table the law is solved directly.
#[derive(Debug, Clone)]
pub struct FlowCurve {
    law: Viscosity,
    per_step: f64,
    /// Coefficients of M in the fraction t of each interval, constant first.
    intervals: Vec<[f64; 4]>,
}

impl FlowCurve {
    /// Tabulates the shape of a law.
    pub fn new(law: Viscosity) -> Self {
        let steepest = 1.0 / law.exponent() - 1.0;
        let step = (0.12 / steepest.max(1e-3)).min(0.0625);
        let count = ((TO - FROM) / step).ceil() as usize;
        let node = |i: usize| {
            let (log, slope) = law.shape(FROM + step * i as f64);
            let m = log.exp();
            (m, step * slope * m)
        };
        let mut intervals = Vec::with_capacity(count);
        let (mut a, mut da) = node(0);
        for i in 1..=count {
            let (b, db) = node(i);
            let rise = b - a;
            intervals.push([a, da, 3.0 * rise - 2.0 * da - db, da + db - 2.0 * rise]);
            (a, da) = (b, db);
        }
        Self { law, per_step: 1.0 / step, intervals }
    }

    /// M and dM/dx at x = ln(τ/τ_r).
    #[inline(always)]
    pub fn at(&self, x: f64) -> (f64, f64) {
        let place = (x - FROM) * self.per_step;
        let index = place as usize;
        // A place below the table turns into index 0; the sign tells it apart.
        match self.intervals.get(index) {
            Some([c0, c1, c2, c3]) if place >= 0.0 => {
                let t = place - index as f64;
                let m = c0 + t * (c1 + t * (c2 + t * c3));
                let slope = (c1 + t * (2.0 * c2 + t * 3.0 * c3)) * self.per_step;
                (m, slope)
            }
            _ => self.outside(x),
        }
    }

    #[cold]
    fn outside(&self, x: f64) -> (f64, f64) {
        let (log, slope) = self.law.shape(x);
        let m = log.min(600.0).exp();
        (m, slope * m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{CrossWlfConstants, FlowLaw, PowerLawConstants};

    #[test]
    fn the_table_keeps_its_stated_error() {
        for n in [0.1, 0.35, 0.8, 1.0] {
            let cross = CrossWlfConstants { n, ..CrossWlfConstants::default() };
            let power = PowerLawConstants { n, ..PowerLawConstants::default() };
            for law in [FlowLaw::CrossWlf(cross), FlowLaw::PowerLaw(power)] {
                let law = Viscosity::resolve(&law, 1.0);
                let curve = FlowCurve::new(law);
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
