//! Ejection: a wall at or above the ejection temperature never lets the part set.

use super::{Definition, Measure, Scale};
use crate::feedstock::ZERO_CELSIUS;

pub(super) const DEFINITION: Definition = Definition {
    label: "never sets",
    unit: "°C",
    measure: |p| {
        let (wall, ejection) = (p.case.drive.wall, p.case.material.ejection);
        Measure::new(wall - ZERO_CELSIUS, ejection - ZERO_CELSIUS, Scale::Below(10.0))
    },
    found: "The mould stands at",
    beyond: "the part never grows cold enough to eject",
    remedy: "A colder mould.",
};
