//! Flash: the greatest opening force of filling and holding, against the clamp.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "kN",
    measure: |p| {
        Measure::new(
            p.fill.opening_force.max(p.hold.opening_force) / 1e3,
            p.case.machine.clamp_force * p.case.thresholds.clamp_use / 100.0,
            Scale::RatioBelow,
        )
    },
    found: "Melt pressure, filling or holding, works against the clamp with",
    beyond: "the parting plane opens and the part flashes",
    remedy: "Less hold pressure, slower filling, fewer cavities or a stronger clamp.",
};
