//! Sink: what the part loses in volume between sealing and room temperature, at the end of flow.

use super::{Definition, Measure, Scale};
use crate::pack;

pub(super) const DEFINITION: Definition = Definition {
    label: "sink",
    unit: "%",
    measure: |p| Measure {
        value: 100.0 * pack::shrinkage(&p.case.material, p.hold.sealed_pressure, p.hold.sealed_temperature),
        threshold: p.case.thresholds.shrinkage,
        scale: Scale::Below(1.0),
    },
    found: "From the sealed cavity to the cold part, the end of flow loses in volume",
    beyond: "sinks and voids show",
    remedy: "More hold pressure, a hold longer than gate freeze, or a thicker gate.",
};
