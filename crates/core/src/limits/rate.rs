//! Injection rate: what the set injection time asks of the machine.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "cm³/s",
    measure: Measured::Setting(|case| {
        Measure::new(
            case.drive.rate * 1e6,
            case.machine.max_rate * case.thresholds.rate_use / 100.0,
            Scale::RatioBelow,
        )
    }),
    found: "The set injection time asks for",
    beyond: "the machine cannot inject that fast",
    remedy: "A longer injection time or a larger machine.",
};
