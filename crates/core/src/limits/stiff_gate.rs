//! Melt too stiff: viscosity at the melt temperature in the section of the lowest apparent shear rate, where it is
//! greatest.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::Passage;
use crate::fill::STALLED;
use crate::stages::Needs;

/// Greatest viscosity that is reported: a greater one is shown as this \[Pa s\].
const GREATEST: f64 = 1e9;

/// Where along a passage it is looked at: the shear rate is least at an end, or inside where width and thickness change
/// against each other.
const PLACES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PASCAL_SECOND,
    measure: Needs::Fill(|case, fill| {
        let c = &case.cavity;
        let slowest = |(i, passage): (usize, &Passage)| {
            // A passage that a short shot did not reach: the rate at which a fill counts as stalled.
            let flow = fill.end.passage_flow(i).max(STALLED * case.drive.rate) / passage.copies;
            PLACES.map(|f| passage.apparent_shear_rate(flow, f)).into_iter().fold(f64::INFINITY, f64::min)
        };
        let least = c.passages.iter().enumerate().map(slowest).fold(f64::INFINITY, f64::min);
        let stiffest = case.material.viscosity.viscosity(least, case.drive.melt, 0.0);
        Measure {
            beyond_reckoning: stiffest > GREATEST,
            absent: (0..c.passages.len()).any(|i| fill.end.passage_flow(i) == 0.0),
            ..Measure::new(stiffest.min(GREATEST), case.thresholds.viscosity, Scale::RatioBelow)
        }
    }),
    found: "In the section of the lowest shear rate the melt has a viscosity of",
    beyond: "it is too stiff to mould well",
    remedy: "Hotter melt, faster injection, thinner sections or less powder.",
};
