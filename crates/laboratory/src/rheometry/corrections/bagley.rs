//! End correction after Bagley: at one temperature, diameter and apparent shear rate, pressure against
//! die length is a straight line, p = p_e + (4τ/D) L. Its slope gives the wall stress without what is
//! lost at the ends (E. B. Bagley, J. Appl. Phys. 28 (1957) 624, from memory; ISO 11443).

use super::{
    Apparent, CapillaryCurve, Correction, CorrectionOutcome, EndCorrection, Reasons, Reduction, degrees,
    millimetres,
};
use crate::rheometry::CapillaryReading;
use crate::rheometry::fit::SAME_TEMPERATURE;
use gatefrost_numerics::curves::{interpolate, line, merged, runs, slope_at};
use gatefrost_numerics::elementary::Elementary;

/// Lengths, diameters and L/D within 1 % are equal.
fn same_size(a: f64, b: f64) -> bool {
    b <= a * 1.01 + 1e-12
}

/// Corrects what it can; curves that it cannot keep their L/D.
pub(super) fn correct(
    readings: &[CapillaryReading],
    out: &mut Reduction,
    reasons: &mut Reasons,
) -> Vec<CapillaryCurve> {
    let mut curves = Vec::new();
    for at_t in runs(readings, |r| r.temperature, |a, b| b - a <= SAME_TEMPERATURE) {
        let temperature = at_t.iter().map(|r| r.temperature).sum::<f64>() / at_t.len() as f64;
        for at_d in runs(&at_t, |r| r.diameter, same_size) {
            let dies = runs(&at_d, |r| r.length, same_size);
            let group = Group { temperature, diameter: at_d[0].diameter, dies };
            curves.extend(group.correct(out, reasons));
        }
    }
    curves
}

/// Readings of one temperature and diameter, die by die.
struct Group {
    temperature: f64,
    diameter: f64,
    dies: Vec<Vec<CapillaryReading>>,
}

impl Group {
    fn place(&self) -> String {
        format!("{}, D = {}", degrees(self.temperature), millimetres(self.diameter))
    }

    fn correct(&self, out: &mut Reduction, reasons: &mut Reasons) -> Vec<CapillaryCurve> {
        if self.dies.len() < 2 {
            let reason = "one die length only; two or more are needed. The stress includes what is lost at the ends, so the viscosity is too high.";
            reasons.add(Correction::Ends, CorrectionOutcome::NotMade, self.place(), reason);
            return self.uncorrected(reasons);
        }
        // ln p against ln of the apparent rate, for each die.
        let pressures: Vec<Vec<(f64, f64)>> = self
            .dies
            .iter()
            .map(|die| {
                merged(
                    die.iter().map(|r| (r.apparent_rate().logarithm(), r.pressure.logarithm())).collect(),
                    1e-3,
                )
            })
            .collect();
        let tagged: Vec<(usize, CapillaryReading)> =
            self.dies.iter().enumerate().flat_map(|(i, die)| die.iter().map(move |&r| (i, r))).collect();
        let mut found = Vec::new();
        let (mut alone, mut between) = (0, 0);
        for cluster in runs(&tagged, |(_, r)| r.apparent_rate(), |a, b| b <= a * 1.03) {
            let log = cluster.iter().map(|(_, r)| r.apparent_rate().logarithm()).sum::<f64>()
                / cluster.len() as f64;
            let mut samples: Vec<(f64, f64)> = Vec::new();
            let mut lengths = 0;
            for (i, curve) in pressures.iter().enumerate() {
                let mut read = cluster.iter().filter(|(die, _)| *die == i).map(|(_, r)| r).peekable();
                if read.peek().is_some() {
                    lengths += 1;
                    // Rates that differ a little are brought to their mean along the die's own curve.
                    let slope = nearest_slope(curve, log);
                    samples.extend(read.map(|r| {
                        (r.length, r.pressure * (slope * (log - r.apparent_rate().logarithm())).exponential())
                    }));
                } else if let Some(value) = interpolate(curve, log) {
                    lengths += 1;
                    between += 1;
                    samples.push((self.dies[i][0].length, value.exponential()));
                }
            }
            if lengths < 2 {
                alone += cluster.len();
                continue;
            }
            let longest = cluster.iter().map(|(_, r)| r).max_by(|a, b| a.length.total_cmp(&b.length));
            let line_number = longest.map_or(0, |r| r.line);
            if let Some(end) = self.end(log.exponential(), &samples, lengths, reasons) {
                found.push(Apparent { rate: end.apparent_rate, stress: end.stress, line: line_number });
                out.ends.push(end);
            }
        }
        if found.is_empty() {
            let reason = "no shear rate lies within the range of two dies of different length. The stress includes what is lost at the ends.";
            reasons.add(Correction::Ends, CorrectionOutcome::NotMade, self.place(), reason);
            return self.uncorrected(reasons);
        }
        self.tell(out, alone, between, reasons);
        vec![CapillaryCurve {
            temperature: self.temperature,
            diameter: Some(self.diameter),
            ratio: None,
            points: found,
        }]
    }

    /// The line through pressure against length.
    fn end(
        &self,
        rate: f64,
        samples: &[(f64, f64)],
        dies: usize,
        reasons: &mut Reasons,
    ) -> Option<EndCorrection> {
        let place = format!("{}, {} 1/s", self.place(), gatefrost_core::format::number(rate, 3));
        let mut fit = line(samples)?;
        let mut constants = 2;
        if fit.slope <= 0.0 {
            let reason = "pressure does not rise with die length; the readings are left out. Check lengths and pressures.";
            reasons.add(Correction::Ends, CorrectionOutcome::Doubtful, place, reason);
            return None;
        }
        if fit.intercept < 0.0 {
            let reason =
                "the line gives a negative loss at the ends, which cannot be; the loss is taken as zero.";
            reasons.add(Correction::Ends, CorrectionOutcome::Doubtful, place.clone(), reason);
            let (lp, ll) = samples.iter().fold((0.0, 0.0), |s, (l, p)| (s.0 + l * p, s.1 + l * l));
            fit.slope = lp / ll;
            fit.intercept = 0.0;
            constants = 1;
            fit.variances = fit.variances.map(|_| {
                let left: f64 = samples.iter().map(|(l, p)| (p - fit.slope * l).powi(2)).sum();
                [0.0, left / (samples.len() as f64 - 1.0) / ll, 0.0]
            });
        } else if fit.r_squared < 0.98 {
            let reason = "pressure against die length is no straight line (r² below 0.98): viscosity may depend on pressure, or the melt slips or heats up.";
            reasons.add(Correction::Ends, CorrectionOutcome::Doubtful, place, reason);
        }
        let length = fit.intercept / fit.slope;
        let errors = fit.variances.map(|[intercept, slope, both]| {
            let of_length =
                (intercept + length * length * slope - 2.0 * length * both).max(0.0).sqrt() / fit.slope;
            (intercept.sqrt(), of_length, slope.sqrt() * self.diameter / 4.0)
        });
        Some(EndCorrection {
            temperature: self.temperature,
            diameter: self.diameter,
            apparent_rate: rate,
            pressure: fit.intercept,
            pressure_error: errors.map(|e| e.0),
            length,
            length_error: errors.map(|e| e.1),
            stress: fit.slope * self.diameter / 4.0,
            stress_error: errors.map(|e| e.2),
            degrees_of_freedom: samples.len() - constants,
            dies,
            r_squared: fit.r_squared,
        })
    }

    /// Says what was done.
    fn tell(&self, out: &Reduction, alone: usize, between: usize, reasons: &mut Reasons) {
        let mine =
            out.ends.iter().filter(|e| e.temperature == self.temperature && e.diameter == self.diameter);
        let range =
            mine.clone().fold((f64::INFINITY, 0.0_f64), |r, e| (r.0.min(e.length), r.1.max(e.length)));
        let lengths: Vec<String> =
            self.dies.iter().map(|die| gatefrost_core::format::number(die[0].length * 1e3, 3)).collect();
        let mut text = format!(
            "{} dies of {} mm; the ends count as {} to {} mm of die.",
            lengths.len(),
            lengths.join(", "),
            gatefrost_core::format::number(range.0 * 1e3, 3),
            gatefrost_core::format::number(range.1 * 1e3, 3)
        );
        if self.dies.len() == 2 && mine.clone().all(|e| e.length_error.is_none()) {
            text += " With two lengths the line cannot be checked; a third would tell its error.";
        }
        if between > 0 {
            text += &format!(" {between} pressures were interpolated to a common shear rate.");
        }
        reasons.add(Correction::Ends, CorrectionOutcome::Made, self.place(), text);
        if alone > 0 {
            let reason = format!(
                "{alone} readings at shear rates outside the range of every other die were left out."
            );
            reasons.add(Correction::Ends, CorrectionOutcome::Doubtful, self.place(), reason);
        }
    }

    /// Curves with apparent stresses, die by die.
    fn uncorrected(&self, reasons: &mut Reasons) -> Vec<CapillaryCurve> {
        let mut curves = Vec::new();
        for die in &self.dies {
            if die.iter().any(|r| r.length <= 0.0) {
                let reason =
                    "a die without length gives no wall stress by itself; its readings are left out.";
                reasons.add(Correction::Ends, CorrectionOutcome::Doubtful, self.place(), reason);
                continue;
            }
            let points = die.iter().map(|r| Apparent {
                rate: r.apparent_rate(),
                stress: r.apparent_stress(),
                line: r.line,
            });
            curves.push(CapillaryCurve {
                temperature: self.temperature,
                diameter: Some(self.diameter),
                ratio: Some(die[0].length / self.diameter),
                points: points.collect(),
            });
        }
        curves
    }
}

/// Slope of a die's curve at the point nearest to x; 0 where there is one point only.
fn nearest_slope(curve: &[(f64, f64)], x: f64) -> f64 {
    let nearest = (0..curve.len()).min_by(|&a, &b| (curve[a].0 - x).abs().total_cmp(&(curve[b].0 - x).abs()));
    nearest.and_then(|at| slope_at(curve, at)).unwrap_or(0.0)
}
