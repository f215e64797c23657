//! Ejection: the hottest section when the mould opens, or, where the mould waits, a wall at or above the
//! ejection temperature, which never lets the part set.

use super::{Definition, Measure, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    unit: "°C",
    measure: |p| {
        let found = if p.case.hold.opens.is_some() { p.hold.opened.hottest } else { p.case.drive.wall };
        Measure::new(found - ZERO_CELSIUS, p.case.material.ejection - ZERO_CELSIUS, Scale::Below(10.0))
    },
    found: "When the mould opens, the hottest section (the wall, where the mould waits) is at",
    beyond: "the green part is too soft to be pushed out whole",
    remedy: "A longer cooling time, a thinner section or a colder mould.",
};
