//! Debinding: the time of all its steps for the wall that governs them, against the longest that is accepted. Where a step
//! does not come to its end, the time stands for any longer one.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

/// What a step that does not end is taken as, over the longest time that is accepted.
const NEVER: f64 = 100.0;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::HOUR,
    measure: Needs::Setting(|case| {
        let Some(debinding) = case.debinding else { return Measure::ABSENT };
        let longest = debinding.longest;
        Measure {
            beyond_reckoning: debinding.time.is_none(),
            ..Measure::new(debinding.time.unwrap_or(NEVER * longest), longest, Scale::RatioBelow)
        }
    }),
    found: "For the wall that governs it, debinding takes",
    beyond: "furnace and bath are blocked for longer than you accept",
    remedy: "Thinner walls, walls that are reached from both sides, a warmer bath below the liquidus of the binder, or another way of debinding.",
};
