//! Short after the switch-over: the pressure that the rest of the fill needs, against the hold pressure.

use super::{Definition, Measure, Measured, Scale};
use crate::fill::GREATEST_PRESSURE;

pub(super) const DEFINITION: Definition = Definition {
    unit: "MPa",
    measure: Measured::Fill(|case, fill| {
        if case.drive.switch_over >= 1.0 {
            return Measure::ABSENT;
        }
        Measure {
            beyond_reckoning: fill.finishing_need >= GREATEST_PRESSURE,
            // A fill that stops before its switch-over leaves nothing to the hold pressure.
            absent: !fill.full && !fill.switched,
            ..Measure::new(fill.finishing_need / 1e6, case.drive.hold_pressure / 1e6, Scale::RatioBelow)
        }
    }),
    found: "After the switch-over, the rest of the volume fills only under",
    beyond: "the hold pressure does not fill the cavity",
    remedy: "More hold pressure, a later switch-over or hotter melt.",
};
