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
    step: f64,
    /// M and Δx·dM/dx at the nodes.
    nodes: Vec<[f64; 2]>,
}

impl FlowCurve {
    /// Tabulates the shape of a law.
    pub fn new(law: Viscosity) -> Self {
        let steepest = 1.0 / law.exponent() - 1.0;
        let step = (0.12 / steepest.max(1e-3)).min(0.0625);
        let count = ((TO - FROM) / step).ceil() as usize + 1;
        let nodes = (0..count)
            .map(|i| {
                let (log, slope) = law.shape(FROM + step * i as f64);
                let m = log.exp();
                [m, step * slope * m]
            })
            .collect();
        Self { law, step, nodes }
    }

    /// M and dM/dx at x = ln(τ/τ_r).
    #[inline]
    pub fn at(&self, x: f64) -> (f64, f64) {
        let place = (x - FROM) / self.step;
        let index = place as usize;
        if !(place >= 0.0 && index + 1 < self.nodes.len()) {
            let (log, slope) = self.law.shape(x);
            let m = log.min(600.0).exp();
            return (m, slope * m);
        }
        let t = place - index as f64;
        let [a, da] = self.nodes[index];
        let [b, db] = self.nodes[index + 1];
        let rise = b - a;
        let c2 = 3.0 * rise - 2.0 * da - db;
        let c3 = da + db - 2.0 * rise;
        (a + t * (da + t * (c2 + t * c3)), (da + t * (2.0 * c2 + t * 3.0 * c3)) / self.step)
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
