//! Powder–binder separation: the greatest apparent wall shear rate along the path.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::Passage;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PER_SECOND,
    measure: Needs::Fill(|case, fill| {
        let rate =
            |(i, passage): (usize, &Passage)| fill.end.hardest(i, |q, f| passage.apparent_shear_rate(q, f));
        Measure::new(
            case.cavity.passages.iter().enumerate().map(rate).fold(0.0, f64::max),
            case.thresholds.shear_rate,
            Scale::RatioBelow,
        )
    }),
    found: "The greatest apparent wall shear rate on the path is",
    beyond: "powder and binder may separate",
    remedy: "Slower injection, or a wider and thicker gate.",
};
