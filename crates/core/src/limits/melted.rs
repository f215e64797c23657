//! Melted: the melt temperature, against the temperature at which all of the binder, its backbone too, has melted.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CELSIUS,
    measure: Needs::Setting(|case| {
        Measure::new(case.drive.melt, case.material.melted + case.thresholds.melt_reserve, Scale::Above(10.0))
    }),
    found: "The melt temperature is",
    beyond: "the backbone of the binder has not melted, and lumps of it block the way",
    remedy: "Hotter melt.",
};
