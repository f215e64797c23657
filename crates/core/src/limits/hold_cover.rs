//! Hold too short: the time the pressure is held, against the time the last gate takes to freeze.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

/// A gate that freezes later than this many times the hold, or never, counts as freezing then: the margin is finite.
const NEVER: f64 = 10.0;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::SECOND,
    measure: Needs::Hold(|case, _, hold| {
        let held = case.hold.held();
        let freeze = hold.gate_freeze().unwrap_or(f64::INFINITY).min(NEVER * held.max(0.1));
        Measure::new(held, freeze * case.thresholds.hold_cover, Scale::RatioAbove)
    }),
    found: "The pressure is held for",
    beyond: "melt flows back out of the cavity before the gate has frozen",
    remedy: "A longer hold, a thinner gate or a colder mould.",
};
