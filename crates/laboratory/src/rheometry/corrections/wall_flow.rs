//! What the corrections say of flow in a part: the law of slip, and the pressure lost where the flow enters a narrower
//! passage.
//!
//! Slip: ln v_s is fitted as a straight line in ln τ through the velocities of Mooney's lines, v_s = u₁ (τ/100 kPa)^s.
//! Entrance: Bagley's end length e = p_e D/4τ as a multiple of the radius, p_e = 2τ e/R; the median of all rates.

use super::{EndCorrection, Reduction, SlipVelocity};
use gatefrost_core::catalogue;
use gatefrost_core::format::number;
use gatefrost_core::scenario::Feedstock;
use gatefrost_core::uncertainty::Doubt;
use gatefrost_numerics::curves::line;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};

/// Wall stress at which the slip velocity of a feedstock is given \[Pa\].
const AT: f64 = 1e5;
/// Exponent of slip where all readings have one wall stress: that of the catalogue.
const USUAL_EXPONENT: f64 = 2.0;

/// Slip and entrance for a part, as far as the readings tell them.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WallFlow {
    /// Law of slip; `None` if no slip was found, or if the readings cannot show it.
    pub slip: Option<SlipLaw>,
    /// End correction in radii; `None` if there is one die length only.
    pub entrance: Option<f64>,
}

/// v_s = u₁ (τ/100 kPa)^s.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SlipLaw {
    /// u₁ \[mm/s\].
    pub velocity: f64,
    /// s.
    pub exponent: f64,
    /// Standard error of ln u₁; `None` with fewer than three velocities.
    pub log_error: Option<f64>,
}

impl SlipLaw {
    fn of(slip: &[SlipVelocity]) -> Option<Self> {
        // Velocities that scatter has made negative have no logarithm.
        let logs: Vec<(f64, f64)> = slip
            .iter()
            .filter(|s| s.velocity > 0.0)
            .map(|s| ((s.stress / AT).logarithm(), (s.velocity * 1e3).logarithm()))
            .collect();
        if logs.is_empty() {
            return None;
        }
        let (velocity, exponent, variance) = match line(&logs) {
            Some(line) => (line.intercept.exponential(), line.slope, line.variances.map(|v| v[0])),
            None => {
                let mean = logs.iter().map(|(x, y)| y - USUAL_EXPONENT * x).sum::<f64>() / logs.len() as f64;
                (mean.exponential(), USUAL_EXPONENT, None)
            }
        };
        Some(Self { velocity, exponent, log_error: variance.map(f64::sqrt) })
    }
}

/// Median of the end lengths in radii, not below zero.
fn entrance(ends: &[EndCorrection]) -> Option<f64> {
    let mut radii: Vec<f64> = ends.iter().map(|end| 2.0 * end.length / end.diameter).collect();
    order::sort_by(&mut radii, |e| *e);
    let middle = radii.len().checked_sub(1)? / 2;
    Some(radii[middle].max(0.0))
}

/// A value inside the range of a number of the feedstock.
fn accepted(path: &str, value: f64) -> f64 {
    catalogue::at(path).map_or(value, |p| value.clamp(p.min, p.max))
}

impl WallFlow {
    /// What a reduction says.
    pub(super) fn of(reduction: &Reduction) -> Self {
        Self { slip: SlipLaw::of(&reduction.slip), entrance: entrance(&reduction.ends) }
    }

    /// Puts it into a feedstock. What the readings do not tell stays as it is there.
    pub fn put(&self, feedstock: &mut Feedstock) {
        if let Some(slip) = self.slip {
            feedstock.slip_velocity = accepted("feedstock.slip_velocity", slip.velocity);
            feedstock.slip_exponent = accepted("feedstock.slip_exponent", slip.exponent);
        }
        if let Some(entrance) = self.entrance {
            feedstock.entrance_correction = accepted("feedstock.entrance_correction", entrance);
        }
    }

    /// How far the slip velocity may be off.
    pub fn doubt(&self) -> Option<Doubt> {
        let standard_error = self.slip?.log_error?.clamp(0.01, 2.0);
        Some(Doubt { path: "feedstock.slip_velocity".to_owned(), standard_error, logarithmic: true })
    }

    /// The same in sentences.
    pub(super) fn words(&self) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(slip) = self.slip {
            out.push(format!(
                "Slip goes with the law into the part: {} mm/s at a wall stress of 100 kPa, exponent {}.",
                number(slip.velocity, 3),
                number(slip.exponent, 3)
            ));
        }
        if let Some(entrance) = self.entrance {
            out.push(format!(
                "The end correction goes with the law into the part: {} radii, the median of all rates.",
                number(entrance, 3)
            ));
        }
        out
    }
}
