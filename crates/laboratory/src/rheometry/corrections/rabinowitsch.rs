//! Shear rate at the wall after Weissenberg and Rabinowitsch: γ̇ = γ̇_app (3n + 1)/4n with the local
//! exponent n = d ln τ/d ln γ̇_app (B. Rabinowitsch, Z. Phys. Chem. A 145 (1929) 1, from memory;
//! ISO 11443).
//!
//! The exponents are at first slopes of the readings. Slopes over neighbouring readings scatter, and have an error of a
//! percent where the curve bends, mostly at its ends. So a flow law is fitted to the result. If it describes the readings,
//! its exponents are used instead ([`super::wall_law`]).

use super::wall_law::WallLaw;
use super::{
    Apparent, CapillaryCurve, Correction, CorrectionOutcome, LocalExponent, Reasons, Reduction, degrees,
};
use crate::rheometry::FlowPoint;
use gatefrost_core::format::number;
use gatefrost_numerics::curves::{interpolate_linearly, line, merged, slope_at};
use gatefrost_numerics::elementary::Elementary;

/// Points closer than this in ln γ̇ are averaged before a slope is taken, so that scatter between
/// repeated readings does not pass for slope.
const APART: f64 = 0.1;
/// Number of passes of fitting the law and taking its exponents. Each pass reduces the error of the first slopes to about
/// a third.
const PASSES: usize = 3;

/// A curve with the exponents that its readings give by themselves.
struct Sloped<'a> {
    curve: &'a CapillaryCurve,
    place: String,
    /// Exponent at some ln γ̇_app, rising; empty where there is none.
    exponents: Vec<(f64, f64)>,
    /// Rates at which the readings scatter too much for a slope of their own.
    replaced: usize,
}

/// Turns apparent curves into flow points.
pub(super) fn correct(curves: &[CapillaryCurve], out: &mut Reduction, reasons: &mut Reasons) {
    let sloped: Vec<Sloped<'_>> = curves.iter().map(|curve| Sloped::new(curve, reasons)).collect();
    let mut law: Option<WallLaw> = None;
    for _ in 0..PASSES {
        let points: Vec<FlowPoint> = sloped.iter().flat_map(|s| s.at_wall(law.as_ref())).collect();
        law = WallLaw::of(&points);
        if law.is_none() {
            break;
        }
    }
    for s in &sloped {
        let temperature = s.curve.temperature;
        let exponents = s.exponents(law.as_ref());
        let mut range = [f64::INFINITY, 0.0_f64];
        for point in &s.curve.points {
            if s.exponents.is_empty() {
                out.points.push(at_wall(s.curve, point, 1.0));
                continue;
            }
            let n = interpolate_linearly(&exponents, point.rate.logarithm());
            range = [range[0].min(n), range[1].max(n)];
            out.exponents.push(LocalExponent { temperature, apparent_rate: point.rate, n });
            out.points.push(at_wall(s.curve, point, n));
        }
        if !s.exponents.is_empty() {
            s.tell(range, law.as_ref(), reasons);
        }
    }
}

/// The point at the wall, from its exponent.
fn at_wall(curve: &CapillaryCurve, point: &Apparent, n: f64) -> FlowPoint {
    let shear_rate = point.rate * (3.0 * n + 1.0) / (4.0 * n);
    FlowPoint {
        temperature: curve.temperature,
        shear_rate,
        viscosity: point.stress / shear_rate,
        stress: point.stress,
        line: point.line,
    }
}

impl<'a> Sloped<'a> {
    fn new(curve: &'a CapillaryCurve, reasons: &mut Reasons) -> Self {
        let place = match curve.diameter {
            Some(d) => format!("{}, D = {}", degrees(curve.temperature), super::millimetres(d)),
            None => degrees(curve.temperature),
        };
        let logs =
            merged(curve.points.iter().map(|p| (p.rate.logarithm(), p.stress.logarithm())).collect(), APART);
        let refused = match line(&logs).map(|line| line.slope) {
            None => {
                "one shear rate only; the slope of the curve needs two or more. The rate is left apparent, so the viscosity is too high."
            }
            Some(n) if n <= 0.0 => {
                "stress does not rise with shear rate. The rate is left apparent; check the readings."
            }
            Some(whole) => {
                // If scatter makes a slope meaningless, that of the whole curve is used.
                let local = |i: usize| slope_at(&logs, i).filter(|n| *n > 0.2 * whole && *n < 5.0 * whole);
                let slopes: Vec<Option<f64>> = (0..logs.len()).map(local).collect();
                let replaced = slopes.iter().filter(|n| n.is_none()).count();
                let exponents = logs.iter().zip(slopes).map(|(p, n)| (p.0, n.unwrap_or(whole))).collect();
                return Self { curve, place, exponents, replaced };
            }
        };
        reasons.add(Correction::WallRate, CorrectionOutcome::NotMade, place.clone(), refused);
        Self { curve, place, exponents: Vec::new(), replaced: 0 }
    }

    /// Exponents against ln γ̇_app: those of a law, or else the curve's own.
    fn exponents(&self, law: Option<&WallLaw>) -> Vec<(f64, f64)> {
        match law {
            Some(law) if !self.exponents.is_empty() => law.at(self.curve.temperature, &self.curve.points),
            _ => self.exponents.clone(),
        }
    }

    /// Its points at the wall; none where it has no exponents.
    fn at_wall(&self, law: Option<&WallLaw>) -> Vec<FlowPoint> {
        let exponents = self.exponents(law);
        let points = self.curve.points.iter().filter(|_| !exponents.is_empty());
        points.map(|p| at_wall(self.curve, p, interpolate_linearly(&exponents, p.rate.logarithm()))).collect()
    }

    fn tell(&self, [low, high]: [f64; 2], law: Option<&WallLaw>, reasons: &mut Reasons) {
        let whence = match law {
            Some(law) => format!(", those of the law that describes the points, {}", law.kind.label()),
            None if self.exponents.len() < 5 => {
                ", one slope for the whole curve, since there are fewer than five rates".to_owned()
            }
            None => ", from the slope of the readings".to_owned(),
        };
        let text = format!("exponent n {} to {}{whence}.", number(low, 3), number(high, 3));
        reasons.add(Correction::WallRate, CorrectionOutcome::Made, self.place.clone(), text);
        if self.replaced > 0 && law.is_none() {
            let reason = format!(
                "at {} rates the readings scatter too much for a local slope; that of the whole curve was taken.",
                self.replaced
            );
            reasons.add(Correction::WallRate, CorrectionOutcome::Doubtful, self.place.clone(), reason);
        }
    }
}
