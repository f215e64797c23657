//! Burning: the hottest melt anywhere, viscous heating included, against the binder's onset.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CELSIUS,
    measure: Needs::Fill(|case, fill| {
        Measure::new(
            fill.end.hottest,
            case.material.burn_onset - case.thresholds.burn_reserve,
            Scale::Below(10.0),
        )
    }),
    found: "The hottest melt, viscous heating included, reaches",
    beyond: "the binder begins to decompose",
    remedy: "Colder melt, slower injection or a larger gate.",
};
