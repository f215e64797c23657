//! Toleranced sizes: the least Cpk of all named dimensions of the sintered part. How it is computed is in
//! `gatefrost_after::plan::SizesThere`, the scatter of the powder in `sizes`.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;
use gatefrost_after::plan::SizesThere;

/// Margin of the limit where the green parts fill the share `filled` of their cavities.
pub fn size_margin(sizes: &SizesThere, filled: f64) -> f64 {
    measure(sizes, filled).margin(&edge::NUMBER)
}

fn measure(sizes: &SizesThere, filled: f64) -> Measure {
    Measure::new(sizes.least_capability(filled), sizes.wanted, Scale::Above(1.0))
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::NUMBER,
    measure: Needs::Hold(|case, _, hold| {
        let Some(sizes) = &case.sizes else { return Measure::ABSENT };
        let filled = hold.filled_when_cold(&case.cavity, &case.cavity.parts().concat());
        measure(sizes, filled)
    }),
    found: "The least capable size of the sintered part has a Cpk of",
    beyond: "too many parts are out of tolerance",
    remedy: "A cavity cut for this set point, a wider tolerance, or less scatter of loading, hold pressure and sintered density.",
};
