//! Short after the switch-over: the pressure that the rest of the fill needs, against the hold pressure.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::fill::GREATEST_PRESSURE;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    measure: Needs::Fill(|case, fill| {
        if case.drive.switch_over >= 1.0 {
            return Measure::ABSENT;
        }
        Measure {
            beyond_reckoning: fill.finishing_need >= GREATEST_PRESSURE,
            // A fill that stops before its switch-over leaves nothing to the hold pressure.
            absent: !fill.full && !fill.switched,
            ..Measure::new(fill.finishing_need, case.drive.hold_pressure, Scale::RatioBelow)
        }
    }),
    found: "To fill the volume left after the switch-over, the melt needs",
    beyond: "the hold pressure does not fill the cavity",
    remedy: "More hold pressure, a later switch-over or hotter melt.",
};
