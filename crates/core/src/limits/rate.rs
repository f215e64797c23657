//! Injection rate: what the set injection time asks of the machine.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CUBIC_CENTIMETRE_PER_SECOND,
    measure: Needs::Setting(|case| {
        Measure::new(
            case.drive.greatest_rate(),
            case.machine.max_rate * case.thresholds.rate_use,
            Scale::RatioBelow,
        )
    }),
    found: "The set injection time asks for",
    beyond: "the machine cannot inject that fast",
    remedy: "A longer injection time or a larger machine.",
};
