//! Shear rate at the wall after Weissenberg and Rabinowitsch: γ̇ = γ̇_app (3n + 1)/4n with the local
//! exponent n = d ln τ/d ln γ̇_app (B. Rabinowitsch, Z. Phys. Chem. A 145 (1929) 1, from memory;
//! ISO 11443). No flow law is assumed.

use super::curve::{line, merged, slope_at};
use super::{Correction, Curve, LocalExponent, Outcome, Reasons, Reduction, degrees};
use crate::rheometry::FlowPoint;

/// Points closer than this in ln γ̇ are averaged before a slope is taken, so that scatter between
/// repeated readings does not pass for slope.
const APART: f64 = 0.1;

/// Turns apparent curves into flow points.
pub(super) fn correct(curves: &[Curve], out: &mut Reduction, reasons: &mut Reasons) {
    for curve in curves {
        let place = match curve.diameter {
            Some(d) => format!("{}, D = {}", degrees(curve.temperature), super::millimetres(d)),
            None => degrees(curve.temperature),
        };
        let logs = merged(curve.points.iter().map(|p| (p.rate.ln(), p.stress.ln())).collect(), APART);
        let whole = line(&logs).map(|line| line.slope);
        let exponents: Option<Vec<(f64, f64)>> = match whole {
            None => {
                let reason = "one shear rate only; the slope of the curve needs two or more. The rate is left apparent, so the viscosity is too high.";
                reasons.add(Correction::WallRate, Outcome::NotMade, place, reason);
                None
            }
            Some(n) if n <= 0.0 => {
                let reason =
                    "stress does not rise with shear rate. The rate is left apparent; check the readings.";
                reasons.add(Correction::WallRate, Outcome::NotMade, place, reason);
                None
            }
            Some(n) => Some(local(&logs, n, place, reasons)),
        };
        for point in &curve.points {
            let n = exponents.as_ref().map_or(1.0, |table| between(table, point.rate.ln()));
            let shear_rate = point.rate * (3.0 * n + 1.0) / (4.0 * n);
            if exponents.is_some() {
                out.exponents.push(LocalExponent {
                    temperature: curve.temperature,
                    apparent_rate: point.rate,
                    n,
                });
            }
            out.points.push(FlowPoint {
                temperature: curve.temperature,
                shear_rate,
                viscosity: point.stress / shear_rate,
                stress: point.stress,
                line: point.line,
            });
        }
    }
}

/// Exponent at each point of the curve; where scatter makes it senseless, that of the whole curve.
fn local(logs: &[(f64, f64)], whole: f64, place: String, reasons: &mut Reasons) -> Vec<(f64, f64)> {
    let mut replaced = 0;
    let table: Vec<(f64, f64)> = (0..logs.len())
        .map(|i| {
            let n = slope_at(logs, i).filter(|n| *n > 0.2 * whole && *n < 5.0 * whole);
            replaced += usize::from(n.is_none());
            (logs[i].0, n.unwrap_or(whole))
        })
        .collect();
    let low = table.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = table.iter().map(|p| p.1).fold(0.0, f64::max);
    let text = format!(
        "exponent n {} to {}{}.",
        crate::format::number(low, 3),
        crate::format::number(high, 3),
        if logs.len() < 5 {
            ", one slope for the whole curve, since there are fewer than five rates"
        } else {
            ""
        }
    );
    reasons.add(Correction::WallRate, Outcome::Made, place.clone(), text);
    if replaced > 0 {
        let reason = format!(
            "at {replaced} rates the readings scatter too much for a local slope; that of the whole curve was taken."
        );
        reasons.add(Correction::WallRate, Outcome::Doubtful, place, reason);
    }
    table
}

/// Linear interpolation, constant beyond the ends.
fn between(table: &[(f64, f64)], x: f64) -> f64 {
    let right = table.partition_point(|p| p.0 < x);
    if right == 0 || right == table.len() {
        return table[right.min(table.len() - 1)].1;
    }
    let (a, b) = (table[right - 1], table[right]);
    a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
}
