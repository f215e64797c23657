//! Burning: the hottest melt anywhere, viscous heating included, against the binder's onset.

use super::{Definition, Measure, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    unit: "°C",
    measure: |p| {
        Measure::new(
            p.fill.end.hottest - ZERO_CELSIUS,
            p.case.material.burn_onset - ZERO_CELSIUS - p.case.thresholds.burn_reserve,
            Scale::Below(10.0),
        )
    },
    found: "The hottest melt, viscous heating included, reaches",
    beyond: "the binder begins to decompose",
    remedy: "Colder melt, slower injection or a larger gate.",
};
