//! Slip at the wall after Mooney: at one wall stress the apparent shear rate is a straight line in 1/D,
//! 4Q/πR³ = γ̇ + 8 v_s/D, where the dies differ in diameter alone (M. Mooney, J. Rheol. 2 (1931) 210,
//! from memory). Dies count as comparable where their ends were corrected or they have the same L/D.

use super::curve::{interpolate, line, merged, runs};
use super::{Apparent, Correction, Curve, Outcome, Reasons, Reduction, SlipVelocity, degrees};

/// Frees the curves of slip and merges the diameters, temperature by temperature, where that can be.
pub(super) fn correct(curves: Vec<Curve>, out: &mut Reduction, reasons: &mut Reasons) -> Vec<Curve> {
    let mut done = Vec::new();
    let mut rest = curves;
    while let Some(first) = rest.first() {
        let temperature = first.temperature;
        let (here, others): (Vec<Curve>, Vec<Curve>) =
            rest.into_iter().partition(|c| c.temperature == temperature);
        rest = others;
        let diameters =
            runs(&here.iter().filter_map(|c| c.diameter).collect::<Vec<_>>(), |d| *d, |a, b| b <= a * 1.01);
        if diameters.len() < 2 {
            reasons.add(
                Correction::Slip,
                Outcome::NotMade,
                degrees(temperature),
                "one die diameter only; slip shows in dies of different diameter at the same L/D.",
            );
            done.extend(here);
            continue;
        }
        let (corrected, raw): (Vec<Curve>, Vec<Curve>) = here.into_iter().partition(|c| c.ratio.is_none());
        let mut sets = vec![corrected];
        for mut curve in raw {
            let ratio = curve.ratio.unwrap_or(0.0);
            let fits = |set: &&mut Vec<Curve>| set[0].ratio.is_some_and(|r| (r / ratio - 1.0).abs() < 0.02);
            match sets[1..].iter_mut().find(fits) {
                Some(set) => set.push(curve),
                None => {
                    curve.ratio = Some(ratio);
                    sets.push(vec![curve]);
                }
            }
        }
        let mut any = false;
        for set in sets.into_iter().filter(|set| !set.is_empty()) {
            if set.len() < 2 {
                done.extend(set);
                continue;
            }
            any = true;
            done.extend(slip_of(set, out, reasons));
        }
        if !any {
            let reason = "no two diameters with corrected ends or with the same L/D, so that ends and slip cannot be told apart.";
            reasons.add(Correction::Slip, Outcome::NotMade, degrees(temperature), reason);
        }
    }
    done
}

/// One reading in the overlap: apparent point, diameter, and Mooney's slip velocity at its stress.
struct Freed {
    point: Apparent,
    diameter: f64,
    slip: SlipVelocity,
    without: f64,
}

/// Mooney's line at the stress of every reading of a set of comparable curves.
fn slip_of(set: Vec<Curve>, out: &mut Reduction, reasons: &mut Reasons) -> Vec<Curve> {
    let temperature = set[0].temperature;
    let place = degrees(temperature);
    let logs: Vec<(f64, Vec<(f64, f64)>)> = set
        .iter()
        .map(|curve| {
            let points = curve.points.iter().map(|p| (p.stress.ln(), p.rate.ln())).collect();
            (curve.diameter.unwrap_or(1.0), merged(points, 1e-3))
        })
        .collect();
    let mut freed = Vec::new();
    let mut outside = 0;
    for curve in &set {
        for &point in &curve.points {
            let at: Vec<(f64, f64)> = logs
                .iter()
                .filter_map(|(d, log)| Some((1.0 / d, interpolate(log, point.stress.ln())?.exp())))
                .collect();
            // Two diameters are needed, the reading's own among them.
            let Some(fit) = line(&at).filter(|_| at.len() == logs.len() || at.len() > 2) else {
                outside += 1;
                continue;
            };
            let slip = SlipVelocity {
                temperature,
                stress: point.stress,
                velocity: fit.slope / 8.0,
                velocity_error: fit.variances.map(|v| v[1].sqrt() / 8.0),
            };
            freed.push(Freed {
                point,
                diameter: curve.diameter.unwrap_or(1.0),
                slip,
                without: fit.intercept,
            });
        }
    }
    if freed.is_empty() {
        let reason = "the dies of different diameter have no wall stress in common.";
        reasons.add(Correction::Slip, Outcome::NotMade, place, reason);
        return set;
    }
    let none = freed.iter().filter(|f| f.slip.velocity <= 0.0).count();
    if 2 * none >= freed.len() {
        let reason = "dies of different diameter give no higher rate in the narrower die, so there is no slip to correct; their readings are taken together.";
        reasons.add(Correction::Slip, Outcome::NotMade, place, reason);
        let points = set.into_iter().flat_map(|curve| curve.points).collect();
        return vec![Curve { temperature, diameter: None, ratio: None, points }];
    }
    if freed.iter().any(|f| f.without <= 0.0) {
        let reason = "slip would carry more than the whole flow, so Mooney's assumption (slip depends on wall stress alone) does not hold; each diameter is kept as it is.";
        reasons.add(Correction::Slip, Outcome::NotMade, place, reason);
        return set;
    }
    let mut points = Vec::new();
    let mut share = (f64::INFINITY, 0.0_f64);
    for f in &mut freed {
        f.slip.velocity = f.slip.velocity.max(0.0);
        let slipping = 8.0 * f.slip.velocity / f.diameter;
        let rate = f.point.rate - slipping;
        share = (share.0.min(slipping / f.point.rate), share.1.max(slipping / f.point.rate));
        if rate > 0.0 {
            points.push(Apparent { rate, ..f.point });
        }
        out.slip.push(f.slip);
    }
    let mut text = format!(
        "{} diameters; slip carries {:.0} to {:.0} % of the flow.",
        set.len(),
        100.0 * share.0,
        100.0 * share.1
    );
    if set.len() == 2 {
        text += " With two diameters the line cannot be checked; a third would tell its error.";
    }
    reasons.add(Correction::Slip, Outcome::Made, place.clone(), text);
    if outside > 0 {
        let reason = format!(
            "{outside} readings at wall stresses that the other diameters do not reach were left out."
        );
        reasons.add(Correction::Slip, Outcome::Doubtful, place, reason);
    }
    vec![Curve { temperature, diameter: None, ratio: set[0].ratio, points }]
}
