//! Injection rate: what the set injection time asks of the machine.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "cm³/s",
    measure: |p| {
        Measure::new(
            p.case.drive.rate * 1e6,
            p.case.machine.max_rate * p.case.thresholds.rate_use / 100.0,
            Scale::RatioBelow,
        )
    },
    found: "The set injection time asks for",
    beyond: "the machine cannot inject that fast",
    remedy: "A longer injection time or a larger machine.",
};
