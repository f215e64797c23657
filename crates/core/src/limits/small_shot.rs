//! Small shot: the volume of the path, against the least share of the machine's greatest shot.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CUBIC_CENTIMETRE,
    measure: Needs::Setting(|case| {
        let least = case.thresholds.shot_share * case.machine.shot_volume;
        if least == 0.0 {
            return Measure::ABSENT;
        }
        Measure::new(case.cavity.volume, least, Scale::RatioAbove)
    }),
    found: "Sprue, runners and parts hold",
    beyond: "the machine does not meter such a small part of its shot evenly",
    remedy: "More cavities, or a smaller machine.",
};
