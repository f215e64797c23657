//! Ejection: the hottest section when the mould opens, or, where the mould waits, a wall at or above the
//! ejection temperature, which never lets the part set.

use super::{Definition, Measure, Measured, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    unit: "°C",
    measure: Measured::Hold(|case, _, hold| {
        let found = if case.hold.opens.is_some() { hold.opened.hottest } else { case.drive.wall };
        Measure::new(found - ZERO_CELSIUS, case.material.ejection - ZERO_CELSIUS, Scale::Below(10.0))
    }),
    found: "When the mould opens, the hottest section (the wall, where the mould waits) is at",
    beyond: "the green part is too soft to be pushed out whole",
    remedy: "A longer cooling time, a thinner section or a colder mould.",
};
