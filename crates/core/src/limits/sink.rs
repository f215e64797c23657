//! Sink: what the part loses in volume between what was packed in and room temperature, over the tenth of
//! it that loses most.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "%",
    measure: Measured::Hold(|case, _, hold| {
        Measure::new(100.0 * hold.sink.shrinkage, case.thresholds.shrinkage, Scale::Below(1.0))
    }),
    found: "From what was packed in to the cold part, the tenth of it that shrinks most loses in volume",
    beyond: "sinks and voids show",
    remedy: "More hold pressure, a hold longer than gate freeze, or a thicker gate.",
};
