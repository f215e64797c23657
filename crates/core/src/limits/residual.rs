//! Overpacking: the pressure left in the part when the mould opens.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "MPa",
    measure: Measured::Hold(|case, _, hold| {
        Measure::new(hold.opened.residual / 1e6, case.thresholds.residual_pressure, Scale::Below(5.0))
    }),
    found: "When the mould opens, the part still presses on its walls with",
    beyond: "it sticks, and cracks as it is pushed out",
    remedy: "Less hold pressure, a shorter hold or a longer cooling time.",
};
