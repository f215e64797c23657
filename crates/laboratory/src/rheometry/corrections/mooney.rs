//! Slip at the wall after Mooney: at one wall stress the apparent shear rate is a straight line in 1/D,
//! 4Q/πR³ = γ̇ + 8 v_s/D, where the dies differ in diameter alone (M. Mooney, J. Rheol. 2 (1931) 210,
//! from memory). Dies are comparable if their ends were corrected or they have the same L/D.
//!
//! Scatter makes some of these lines rise, slip or no slip. So one decision is taken for all stresses and
//! temperatures together: slip is corrected where the mean share of the flow that it carries is above
//! zero by its 95 % interval. Else the diameters are taken together. Decided reading by reading or
//! temperature by temperature, scatter would pass for slip here and not there, and tilt both the curve and
//! its temperature dependence.

use super::{
    Apparent, CapillaryCurve, Correction, CorrectionOutcome, Reasons, Reduction, SlipVelocity, degrees,
};
use gatefrost_core::format::number;
use gatefrost_numerics::curves::{interpolate, line, merged, runs};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::statistics::student_95;

/// Share of the flow below which slip is not worth a correction.
const LEAST_SHARE: f64 = 0.002;

/// Frees the curves of slip and merges the diameters, where that can be.
pub(super) fn correct(
    curves: Vec<CapillaryCurve>,
    out: &mut Reduction,
    reasons: &mut Reasons,
) -> Vec<CapillaryCurve> {
    let mut done = Vec::new();
    let mut groups = Vec::new();
    let mut rest = curves;
    while let Some(first) = rest.first() {
        let temperature = first.temperature;
        let (here, others): (Vec<CapillaryCurve>, Vec<CapillaryCurve>) =
            rest.into_iter().partition(|c| c.temperature == temperature);
        rest = others;
        let diameters =
            runs(&here.iter().filter_map(|c| c.diameter).collect::<Vec<_>>(), |d| *d, |a, b| b <= a * 1.01);
        if diameters.len() < 2 {
            reasons.add(
                Correction::Slip,
                CorrectionOutcome::NotMade,
                degrees(temperature),
                "one die diameter only; slip shows in dies of different diameter at the same L/D.",
            );
            done.extend(here);
            continue;
        }
        let mut any = false;
        for set in comparable(here) {
            if set.len() < 2 {
                done.extend(set);
                continue;
            }
            any = true;
            let group = Group::new(temperature, set);
            if group.freed.is_empty() {
                let reason = "the dies of different diameter have no wall stress in common.";
                reasons.add(Correction::Slip, CorrectionOutcome::NotMade, degrees(temperature), reason);
                done.extend(group.set);
            } else {
                groups.push(group);
            }
        }
        if !any {
            let reason = "no two diameters with corrected ends or with the same L/D, so that ends and slip cannot be told apart.";
            reasons.add(Correction::Slip, CorrectionOutcome::NotMade, degrees(temperature), reason);
        }
    }
    let evidence = Evidence::of(&groups);
    for group in groups {
        done.extend(group.settle(&evidence, out, reasons));
    }
    done
}

/// Sets of curves that differ in diameter alone: with corrected ends, or of the same L/D.
fn comparable(curves: Vec<CapillaryCurve>) -> Vec<Vec<CapillaryCurve>> {
    let (corrected, raw): (Vec<CapillaryCurve>, Vec<CapillaryCurve>) =
        curves.into_iter().partition(|c| c.ratio.is_none());
    let mut sets = vec![corrected];
    for curve in raw {
        let ratio = curve.ratio.unwrap_or(0.0);
        let fits =
            |set: &&mut Vec<CapillaryCurve>| set[0].ratio.is_some_and(|r| (r / ratio - 1.0).abs() < 0.02);
        match sets[1..].iter_mut().find(fits) {
            Some(set) => set.push(curve),
            None => sets.push(vec![curve]),
        }
    }
    sets.retain(|set| !set.is_empty());
    sets
}

/// One reading in the overlap: apparent point, diameter, and Mooney's line at its stress.
struct Freed {
    point: Apparent,
    diameter: f64,
    slip: SlipVelocity,
    /// Shear rate without slip, where the line meets 1/D = 0.
    without: f64,
    /// Share of the flow that slip carries at the mean of 1/D.
    share: f64,
    /// Variance of that share for a variance of 1 of the relative rate.
    lever: f64,
    /// Sum of squares of the relative rates about the line, and its degrees of freedom.
    left: (f64, usize),
}

/// Readings of one temperature and several comparable diameters.
struct Group {
    temperature: f64,
    set: Vec<CapillaryCurve>,
    freed: Vec<Freed>,
    /// Readings at stresses that the other diameters do not reach.
    outside: usize,
}

impl Group {
    fn new(temperature: f64, set: Vec<CapillaryCurve>) -> Self {
        // ln of the apparent rate against ln of the stress, for each diameter.
        let logs: Vec<(f64, Vec<(f64, f64)>)> = set
            .iter()
            .map(|c| {
                let points = c.points.iter().map(|p| (p.stress.logarithm(), p.rate.logarithm())).collect();
                (c.diameter.unwrap_or(1.0), merged(points, 1e-3))
            })
            .collect();
        let mut freed = Vec::new();
        let mut outside = 0;
        for curve in &set {
            for &point in &curve.points {
                let at: Vec<(f64, f64)> = logs
                    .iter()
                    .filter_map(|(d, log)| {
                        Some((1.0 / d, interpolate(log, point.stress.logarithm())?.exponential()))
                    })
                    .collect();
                // Two diameters are needed, the reading's own among them.
                let line = Some(&at).filter(|at| at.len() == logs.len() || at.len() > 2);
                match line.and_then(|at| Freed::new(temperature, curve, point, at)) {
                    Some(one) => freed.push(one),
                    None => outside += 1,
                }
            }
        }
        Self { temperature, set, freed, outside }
    }

    /// Corrects slip where there is evidence of it, else takes the diameters together.
    fn settle(
        mut self,
        evidence: &Evidence,
        out: &mut Reduction,
        reasons: &mut Reasons,
    ) -> Vec<CapillaryCurve> {
        let (place, temperature) = (degrees(self.temperature), self.temperature);
        if !evidence.of_slip() {
            reasons.add(Correction::Slip, CorrectionOutcome::NotMade, place, evidence.none());
            let points = self.set.into_iter().flat_map(|curve| curve.points).collect();
            return vec![CapillaryCurve { temperature, diameter: None, ratio: None, points }];
        }
        if self.freed.iter().any(|f| f.without <= 0.0) {
            let reason = "slip would carry more than the whole flow. So Mooney's assumption (slip depends on wall stress alone) does not hold; each diameter is kept as it is.";
            reasons.add(Correction::Slip, CorrectionOutcome::NotMade, place, reason);
            return self.set;
        }
        let mut points = Vec::new();
        let mut shares = [f64::INFINITY, f64::NEG_INFINITY];
        for f in self.freed.drain(..) {
            // A velocity that scatter has made negative stays so: cut off at zero, the rest would be biased.
            let slipping = 8.0 * f.slip.velocity / f.diameter;
            let (rate, share) = (f.point.rate - slipping, slipping / f.point.rate);
            shares = [shares[0].min(share), shares[1].max(share)];
            if rate > 0.0 {
                points.push(Apparent { rate, ..f.point });
            }
            out.slip.push(f.slip);
        }
        let count = self.set.len();
        let text = format!(
            "{count} diameters; slip carries {:.0} to {:.0} % of the flow. {}",
            100.0 * shares[0],
            100.0 * shares[1],
            evidence.some()
        );
        reasons.add(Correction::Slip, CorrectionOutcome::Made, place.clone(), text);
        if count == 2 {
            let reason = "with two diameters the line cannot be checked: any other difference between the two dies looks like slip. A third diameter would show it.";
            reasons.add(Correction::Slip, CorrectionOutcome::Doubtful, place.clone(), reason);
        }
        if self.outside > 0 {
            let reason = format!(
                "{} readings at wall stresses that the other diameters do not reach were left out.",
                self.outside
            );
            reasons.add(Correction::Slip, CorrectionOutcome::Doubtful, place, reason);
        }
        vec![CapillaryCurve { temperature, diameter: None, ratio: self.set[0].ratio, points }]
    }
}

impl Freed {
    /// From the rates at one stress against 1/D.
    fn new(temperature: f64, curve: &CapillaryCurve, point: Apparent, at: &[(f64, f64)]) -> Option<Self> {
        let fit = line(at)?;
        let count = at.len() as f64;
        let mean = |of: &dyn Fn(&(f64, f64)) -> f64| at.iter().map(of).sum::<f64>() / count;
        let (inverse, rate) = (mean(&|p| p.0), mean(&|p| p.1));
        let spread = count * mean(&|p| (p.0 - inverse).powi(2));
        let about = |p: &(f64, f64)| ((p.1 - fit.intercept - fit.slope * p.0) / rate).powi(2);
        let slip = SlipVelocity {
            temperature,
            stress: point.stress,
            velocity: fit.slope / 8.0,
            velocity_error: fit.variances.map(|v| v[1].sqrt() / 8.0),
        };
        Some(Self {
            point,
            diameter: curve.diameter.unwrap_or(1.0),
            slip,
            without: fit.intercept,
            share: fit.slope * inverse / rate,
            lever: inverse * inverse / spread,
            left: (count * mean(&about), at.len() - 2),
        })
    }
}

/// What all the lines together say: mean share of the flow that slip carries, with its error.
struct Evidence {
    share: f64,
    /// Half the 95 % interval.
    room: f64,
}

impl Evidence {
    fn of(groups: &[Group]) -> Self {
        let all = || groups.iter().flat_map(|group| &group.freed);
        let count = all().count().max(1) as f64;
        let share = all().map(|f| f.share).sum::<f64>() / count;
        // Each reading is a line, with the readings of the other diameters in it: of so many lines as
        // there are diameters only one is new.
        let new: f64 = groups.iter().map(|g| g.freed.len() as f64 / g.set.len() as f64).sum();
        let (left, free) = all().fold((0.0, 0), |(s, f), one| (s + one.left.0, f + one.left.1));
        let (variance, degrees) = if free > 0 {
            let lever = all().map(|f| f.lever).sum::<f64>() / count;
            (left / free as f64 * lever, free as f64 * new / count)
        } else {
            // Lines of two points leave no residual; how much the shares differ along the stress does.
            (all().map(|f| (f.share - share).powi(2)).sum::<f64>() / (count - 1.0).max(1.0), new - 1.0)
        };
        let t = student_95(degrees.floor().max(0.0) as usize);
        Self { share, room: t * (variance / new.max(1.0)).sqrt() }
    }

    fn of_slip(&self) -> bool {
        self.share > self.room.max(LEAST_SHARE)
    }

    fn interval(&self) -> String {
        let percent = |share: f64| number(100.0 * share, 2);
        format!("{} ± {} % of the flow (95 %)", percent(self.share), percent(self.room))
    }

    fn some(&self) -> String {
        format!("In the mean of all stresses and temperatures that is {}.", self.interval())
    }

    fn none(&self) -> String {
        if !self.room.is_finite() {
            return "too few readings to tell slip from scatter. The diameters are taken together."
                .to_owned();
        }
        format!(
            "slip cannot be told from scatter: in the mean of all stresses and temperatures it would carry {}. The diameters are taken together.",
            self.interval()
        )
    }
}
