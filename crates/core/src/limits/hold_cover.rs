//! Hold too short: the time the pressure is held, against the time the last gate takes to freeze.

use super::{Definition, Measure, Scale};

/// A gate that never freezes asks for this many times the hold at least.
const NEVER: f64 = 10.0;

pub(super) const DEFINITION: Definition = Definition {
    label: "hold too short",
    unit: "s",
    measure: |p| {
        let held = p.case.hold.time();
        let last = p.hold.history.time.last().copied().unwrap_or(held);
        let freeze = p.hold.gate_freeze().unwrap_or_else(|| last.max(NEVER * held));
        Measure::new(held, freeze * p.case.thresholds.hold_cover / 100.0, Scale::RatioAbove)
    },
    found: "The pressure is held for",
    beyond: "melt runs back out of the cavity before the gate has frozen",
    remedy: "A longer hold, a thinner gate or a colder mould.",
};
