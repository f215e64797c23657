//! Burning: the hottest melt anywhere, viscous heating included, against the binder's onset.

use super::{Definition, Measure, Measured, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    unit: "°C",
    measure: Measured::Fill(|case, fill| {
        Measure::new(
            fill.end.hottest - ZERO_CELSIUS,
            case.material.burn_onset - ZERO_CELSIUS - case.thresholds.burn_reserve,
            Scale::Below(10.0),
        )
    }),
    found: "The hottest melt, viscous heating included, reaches",
    beyond: "the binder begins to decompose",
    remedy: "Colder melt, slower injection or a larger gate.",
};
