//! Cold front: the coldest the flow front gets, against the no-flow temperature.

use super::{Definition, Measure, Measured, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    unit: "°C",
    measure: Measured::Fill(|case, fill| {
        Measure::new(
            fill.coldest_front - ZERO_CELSIUS,
            case.material.no_flow - ZERO_CELSIUS + case.thresholds.cold_front_reserve,
            Scale::Above(10.0),
        )
    }),
    found: "At its coldest the flow front is at",
    beyond: "fronts that meet do not weld, and the surface shows it",
    remedy: "Faster injection, hotter melt or mould.",
};
