//! Overpacking: the pressure left in the part when the mould opens.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    measure: Needs::Hold(|case, _, hold| {
        Measure::new(hold.opened.residual, case.thresholds.residual_pressure, Scale::Below(5e6))
    }),
    found: "When the mould opens, the part still presses on its walls with",
    beyond: "it sticks, and cracks when it is ejected",
    remedy: "A hold pressure that steps down towards gate freeze, more draft, or a longer cooling time.",
};
