//! Sink: the loss of volume from the packed cavity to the cold part, 1 − V_cold/V_cavity, over the tenth of the part that
//! loses most.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PERCENT,
    measure: Needs::Hold(|case, _, hold| {
        Measure::new(hold.sink.shrinkage, case.thresholds.shrinkage, Scale::Below(0.01))
    }),
    found: "From the packed cavity to the cold part, the worst 10 % of it shrinks by volume by",
    beyond: "sinks and voids show",
    remedy: "More hold pressure, a hold longer than gate freeze, or a thicker gate.",
};
