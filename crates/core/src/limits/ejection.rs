//! Ejection: the hottest section when the mould opens, or, where the mould waits, a wall at or above the
//! ejection temperature, which never lets the part set.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CELSIUS,
    measure: Needs::Hold(|case, _, hold| {
        let found = if case.hold.opens.is_some() { hold.opened.hottest } else { case.drive.wall };
        Measure::new(found, case.material.ejection, Scale::Below(10.0))
    }),
    found: "When the mould opens, the hottest section (the wall, if no cooling time is set) is at",
    beyond: "the green part is too soft to eject without damage",
    remedy: "A longer cooling time, a thinner section or a colder mould.",
};
