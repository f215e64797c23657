//! Flash: the greatest opening force of filling and holding, against the clamp.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "kN",
    measure: Measured::Hold(|case, fill, hold| {
        Measure::new(
            fill.opening_force.max(hold.opening_force) / 1e3,
            case.machine.clamp_force * case.thresholds.clamp_use / 100.0,
            Scale::RatioBelow,
        )
    }),
    found: "Melt pressure, filling or holding, works against the clamp with",
    beyond: "the parting plane opens and the part flashes",
    remedy: "Less hold pressure, slower filling, fewer cavities or a stronger clamp.",
};
