//! Sink: what a section loses of its volume while it is soft and no longer fed, over the tenth of the part that loses
//! most. What contracts once it is solid makes the part smaller and belongs to its sizes. See `pack::Hold::soft_loss`.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PERCENT,
    measure: Needs::Hold(|case, _, hold| {
        Measure::new(hold.unfed.shrinkage, case.thresholds.soft_loss, Scale::Below(0.01))
    }),
    found: "While it is soft and no longer fed, the worst 10 % of the part shrinks by volume by",
    beyond: "sinks and voids show",
    remedy: "More hold pressure, a hold longer than gate freeze, a thicker gate, a gate at the thick section, colder melt or more powder.",
};
