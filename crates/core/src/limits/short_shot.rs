//! Short shot: the pressure that filling at the set rate needs, against what the machine has.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::fill::GREATEST_PRESSURE;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    // The need is that of a fill without a limit: it does not depend on the machine, and the margin is continuous
    // where the machine's pressure is passed.
    measure: Needs::Fill(|case, fill| Measure {
        beyond_reckoning: fill.need >= GREATEST_PRESSURE,
        ..Measure::new(fill.need, case.machine.max_pressure * case.thresholds.pressure_use, Scale::RatioBelow)
    }),
    found: "Filling up to the switch-over at the set rate, without the machine's limit, needs",
    beyond: "the reserve is used up; past the machine's greatest pressure the front lags, and may stall",
    remedy: "A hotter melt or mould, a thicker wall or gate, less powder, or an injection time nearer to that of the least pressure.",
};
