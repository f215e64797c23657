//! Sink: what the part loses in volume between sealing and room temperature, at the end of flow.

use super::{Definition, Measure, Scale};
use crate::pack;

pub(super) const DEFINITION: Definition = Definition {
    label: "sink",
    unit: "%",
    measure: |p| {
        Measure::new(
            100.0 * pack::shrinkage(&p.case.material, p.hold.sealed_pressure, p.hold.sealed_temperature),
            p.case.thresholds.shrinkage,
            Scale::Below(1.0),
        )
    },
    found: "From sealing to the cold part, the volume shrinkage at the end of flow is",
    beyond: "sinks and voids show",
    remedy: "More hold pressure, a hold longer than gate freeze, or a thicker gate.",
};
