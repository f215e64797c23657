//! Hold too short: the time the pressure is held, against the time the last gate takes to freeze.

use super::definition::{Definition, LEAST, Measure, Scale};
use super::edge;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;

/// A gate that freezes later than this many times the hold, or never, has the margin of one that freezes then: the margin
/// is finite and continuous.
const NEVER: f64 = 10.0;

/// What is said, and what helps, where a gate never freezes.
pub(super) const OUT_OF_REACH: [&str; 2] =
    ["A gate never freezes at this mould temperature, so that no hold is long enough", "A colder mould."];

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::SECOND,
    measure: Needs::Hold(|case, _, hold| {
        let (held, cover) = (case.hold.held(), case.thresholds.hold_cover);
        let never = NEVER * held.max(0.1);
        let freeze = hold.gate_freeze();
        let lowest = (never * cover.max(LEAST) / held.max(LEAST)).logarithm();
        Measure {
            // Where no cover is asked for, any hold is long enough.
            out_of_reach: freeze.is_none() && cover > 0.0,
            ..Measure::new(held, freeze.unwrap_or(never) * cover, Scale::RatioAboveTo(lowest))
        }
    }),
    found: "The pressure is held for",
    beyond: "melt flows back out of the cavity before the gate has frozen",
    remedy: "A longer hold, a thinner gate or a colder mould.",
};
