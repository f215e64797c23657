//! Shot volume: what the path holds, against the greatest shot of the machine.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CUBIC_CENTIMETRE,
    measure: Needs::Setting(|case| {
        Measure::new(case.cavity.volume, case.machine.shot_volume, Scale::RatioBelow)
    }),
    found: "Sprue, runners and parts hold",
    beyond: "one shot does not fill them",
    remedy: "Fewer cavities, a smaller runner or a larger machine.",
};
