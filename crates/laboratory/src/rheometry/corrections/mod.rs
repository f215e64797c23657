//! Corrections of capillary readings, in the order in which they build on each other: ends (Bagley),
//! slip (Mooney), shear rate at the wall (Weissenberg and Rabinowitsch).
//!
//! Quantities are named as in ISO 11443. What the readings do not allow is not made, and a note says
//! which correction, where and why.

mod bagley;
mod mooney;
mod rabinowitsch;
mod wall_flow;
mod wall_law;

pub use wall_flow::{SlipLaw, WallFlow};

use super::{FlowPoint, Readings};
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};

/// A correction of capillary readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Correction {
    /// Pressure lost at the ends of the die, after Bagley.
    Ends,
    /// Slip at the wall, after Mooney.
    Slip,
    /// Shear rate at the wall of a shear-thinning fluid, after Weissenberg and Rabinowitsch.
    WallRate,
}

/// What became of a correction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum CorrectionOutcome {
    /// It was made.
    Made,
    /// The readings do not allow it.
    NotMade,
    /// It was made, or readings were left out, and the reader should look.
    Doubtful,
}

/// A sentence on one correction.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Note {
    /// The correction; `None` for a remark on the readings as a whole.
    pub correction: Option<Correction>,
    /// What became of it.
    pub outcome: CorrectionOutcome,
    /// Which, where and why, in words.
    pub text: String,
}

/// End correction of one temperature, die diameter and apparent shear rate:
/// p = p_e + (4τ/D) L, with the end length e = p_e D/4τ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EndCorrection {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Die diameter \[m\].
    pub diameter: f64,
    /// Apparent shear rate \[1/s\].
    pub apparent_rate: f64,
    /// Pressure lost at the ends p_e \[Pa\].
    pub pressure: f64,
    /// Its standard error \[Pa\]; `None` where only two readings define the line.
    pub pressure_error: Option<f64>,
    /// End length e \[m\].
    pub length: f64,
    /// Its standard error \[m\].
    pub length_error: Option<f64>,
    /// Wall shear stress τ \[Pa\].
    pub stress: f64,
    /// Its standard error \[Pa\].
    pub stress_error: Option<f64>,
    /// Dies of different length used.
    pub dies: usize,
    /// Readings less constants of the line: with one left over an error is itself known to a factor of ten.
    pub degrees_of_freedom: usize,
    /// Share r² of the scatter in pressure that the line explains.
    pub r_squared: f64,
}

/// Slip velocity at one wall stress, from 4Q/πR³ = γ̇ + 8 v_s/D.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SlipVelocity {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Wall shear stress \[Pa\].
    pub stress: f64,
    /// Slip velocity v_s \[m/s\].
    pub velocity: f64,
    /// Its standard error \[m/s\]; `None` with two diameters only.
    pub velocity_error: Option<f64>,
}

/// Local flow exponent n = d ln τ/d ln γ̇_app used for the wall shear rate γ̇_app (3n + 1)/4n.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LocalExponent {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Apparent shear rate, freed of slip where that was found \[1/s\].
    pub apparent_rate: f64,
    /// Exponent n.
    pub n: f64,
}

/// Flow curve from readings, with all that was found on the way.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Reduction {
    /// The flow curve.
    pub points: Vec<FlowPoint>,
    /// End corrections made.
    pub ends: Vec<EndCorrection>,
    /// Slip found.
    pub slip: Vec<SlipVelocity>,
    /// Exponents used for the wall shear rate.
    pub exponents: Vec<LocalExponent>,
    /// Slip and entrance for a part.
    pub wall_flow: WallFlow,
    /// Which corrections were made, which could not be and why.
    pub notes: Vec<Note>,
}

/// Makes the corrections that the readings allow. Ready-made pairs pass unchanged.
pub fn reduce(readings: &Readings) -> Reduction {
    let mut out = Reduction::default();
    let capillary = match readings {
        Readings::Capillary(capillary) => capillary,
        Readings::Pairs(points) => {
            out.points.clone_from(points);
            out.notes.push(Note {
                correction: None,
                outcome: CorrectionOutcome::NotMade,
                text: "Shear rates and viscosities were given as reduced readings. They are taken as true values, without correction.".to_owned(),
            });
            return out;
        }
    };
    let mut reasons = Reasons::default();
    let curves = bagley::correct(capillary, &mut out, &mut reasons);
    let curves = mooney::correct(curves, &mut out, &mut reasons);
    rabinowitsch::correct(&curves, &mut out, &mut reasons);
    order::sort_by(&mut out.points, |point| point.line as f64);
    order::sort_by(&mut out.points, |point| point.shear_rate);
    order::sort_by(&mut out.points, |point| point.temperature);
    out.notes = reasons.notes();
    out.wall_flow = WallFlow::of(&out);
    let words = out.wall_flow.words();
    out.notes.extend(words.into_iter().map(|text| Note {
        correction: None,
        outcome: CorrectionOutcome::Made,
        text,
    }));
    out
}

/// Readings of one temperature and die (or of several made comparable): apparent rate against stress.
#[derive(Debug, Clone)]
struct CapillaryCurve {
    /// Temperature \[°C\].
    temperature: f64,
    /// Die diameter \[m\]; `None` where diameters were merged.
    diameter: Option<f64>,
    /// L/D of the die where the ends were not corrected.
    ratio: Option<f64>,
    points: Vec<Apparent>,
}

/// One point of an apparent flow curve.
#[derive(Debug, Clone, Copy)]
struct Apparent {
    /// Apparent shear rate \[1/s\].
    rate: f64,
    /// Wall shear stress \[Pa\].
    stress: f64,
    line: usize,
}

/// Collects reasons, so that one sentence names all the places where one of them holds.
#[derive(Debug, Default)]
struct Reasons(Vec<(Correction, CorrectionOutcome, String, Vec<String>)>);

impl Reasons {
    fn add(
        &mut self,
        correction: Correction,
        outcome: CorrectionOutcome,
        place: String,
        reason: impl Into<String>,
    ) {
        let reason = reason.into();
        match self.0.iter_mut().find(|r| r.0 == correction && r.1 == outcome && r.2 == reason) {
            // Junk by the hundred thousand must not make this search long.
            Some(known) if known.3.len() > 1000 || known.3.contains(&place) => {}
            Some(known) => known.3.push(place),
            None => self.0.push((correction, outcome, reason, vec![place])),
        }
    }

    fn notes(mut self) -> Vec<Note> {
        order::sort_by(&mut self.0, |reason| f64::from(reason.0 as u8));
        self.0
            .into_iter()
            .map(|(correction, outcome, reason, places)| {
                let name = match correction {
                    Correction::Ends => "End correction (Bagley)",
                    Correction::Slip => "Slip correction (Mooney)",
                    Correction::WallRate => "Wall shear rate (Weissenberg–Rabinowitsch)",
                };
                let what = match outcome {
                    CorrectionOutcome::Made => "made",
                    CorrectionOutcome::NotMade => "not made",
                    CorrectionOutcome::Doubtful => "to be checked",
                };
                let more = places.len().saturating_sub(6);
                let mut at = places[..places.len() - more].join("; ");
                if more > 0 {
                    at += &format!("; and {more} more");
                }
                Note {
                    correction: Some(correction),
                    outcome,
                    text: format!("{name} {what} at {at}: {reason}"),
                }
            })
            .collect()
    }
}

/// `190 °C`.
fn degrees(t: f64) -> String {
    format!("{} °C", gatefrost_core::format::number(t, 4))
}

/// `2 mm`.
fn millimetres(length: f64) -> String {
    format!("{} mm", gatefrost_core::format::number(length * 1e3, 3))
}
