//! Melt too stiff: viscosity at the melt temperature in the section of the lowest apparent shear rate, where it is
//! greatest, while the ram moves slowest.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::case::Case;
use crate::cavity::Passage;
use crate::fill::{Fill, Ram, STALLED};
use crate::stages::Needs;

/// Greatest viscosity that is reported: a greater one is shown as this \[Pa s\].
const GREATEST: f64 = 1e9;

/// Where along a passage it is looked at: the shear rate is least at an end, or inside where width and thickness change
/// against each other.
const PLACES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Rate of the slowest step of the ram while melt flows in a passage, over that of the fastest, each by the greatest rate
/// that the machine came to in it; 1 where one speed is set. What happens after the switch-over is no step of the ram.
fn slowest_step(case: &Case, fill: &Fill<'_>, passage: usize) -> f64 {
    if case.drive.ram == Ram::default() {
        return 1.0;
    }
    let (c, history) = (&case.cavity, &fill.history);
    let cells = c.ranges[passage].clone();
    let feeds = c.passages.iter().any(|p| p.feeder == Some(passage));
    let entered = fill.end.times[cells.start][0];
    let left = if feeds { f64::INFINITY } else { fill.end.times[cells.end - 1][1] };
    let mut rates: Vec<(f64, f64)> = Vec::new();
    for k in 0..history.time.len() {
        let filled = history.volume[k] / c.volume;
        let flows = history.time[k] >= entered && history.time[k] < left;
        if !flows || filled >= case.drive.switch_over * (1.0 - 1e-9) {
            continue;
        }
        let (step, rate) = (case.drive.rate_until(filled), history.rate[k]);
        match rates.last_mut() {
            Some((same, most)) if *same == step => *most = most.max(rate),
            _ => rates.push((step, rate)),
        }
    }
    let most = rates.iter().map(|(_, rate)| *rate).fold(0.0, f64::max);
    let least = rates.iter().map(|(_, rate)| *rate).fold(most, f64::min);
    if most > 0.0 { least / most } else { 1.0 }
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PASCAL_SECOND,
    measure: Needs::Fill(|case, fill| {
        let c = &case.cavity;
        let slowest = |(i, passage): (usize, &Passage)| {
            let flow = fill.end.passage_flow(i) * slowest_step(case, fill, i);
            // A passage that a short shot did not reach: the rate at which a fill counts as stalled.
            let flow = flow.max(STALLED * case.drive.rate) / passage.copies;
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
    remedy: "Hotter melt, faster injection in the slowest step too, thinner sections or less powder.",
};
