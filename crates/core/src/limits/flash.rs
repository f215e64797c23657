//! Flash: the greatest opening force of filling and holding, against the clamp.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::KILONEWTON,
    measure: Needs::Hold(|case, fill, hold| {
        Measure::new(
            fill.opening_force.max(hold.opening_force),
            case.machine.clamp_force * case.thresholds.clamp_use,
            Scale::RatioBelow,
        )
    }),
    found: "The opening force of the melt, while filling or holding, reaches",
    beyond: "the parting plane opens and the part flashes",
    remedy: "Less hold pressure, slower filling, fewer cavities or a stronger clamp.",
};
