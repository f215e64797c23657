//! Cold front: the coldest the flow front gets, against the no-flow temperature.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CELSIUS,
    measure: Needs::Fill(|case, fill| {
        Measure::new(
            fill.coldest_front,
            case.material.no_flow + case.thresholds.cold_front_reserve,
            Scale::Above(10.0),
        )
    }),
    found: "The coldest flow front is at",
    beyond: "fronts that meet do not weld, and the surface shows flow marks",
    remedy: "Faster injection, or a hotter melt or mould.",
};
