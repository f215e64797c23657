//! Weld line: the colder of two fronts where they meet, against the no-flow temperature.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::CELSIUS,
    measure: Needs::Fill(|case, fill| {
        let colder = |w: &crate::fill::Weld| w.temperature[0].min(w.temperature[1]);
        let coldest = fill.whole().welds.iter().map(colder).fold(f64::INFINITY, f64::min);
        if coldest.is_infinite() {
            return Measure::ABSENT;
        }
        Measure {
            absent: !fill.full,
            ..Measure::new(coldest, case.material.no_flow + case.thresholds.weld_reserve, Scale::Above(10.0))
        }
    }),
    found: "Where two fronts meet, the colder is at",
    beyond: "they do not weld, and the part breaks there",
    remedy: "Faster injection, hotter melt or mould, or gates that bring the fronts together sooner.",
};
