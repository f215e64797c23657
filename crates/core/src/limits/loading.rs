//! Loading near the critical one: the binder only just fills the voids, and the viscosity depends on every tenth of a
//! per cent.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::VOLUME_PERCENT,
    measure: Needs::Setting(|case| {
        let [loading, critical] = case.loading;
        Measure {
            absent: loading == 0.0,
            ..Measure::new(loading, critical - case.thresholds.loading_gap, Scale::Below(0.01))
        }
    }),
    found: "The solids loading is",
    beyond: "hardly any binder is left to flow, and small errors of weighing change the viscosity much",
    remedy: "Less powder, or a powder that packs more densely.",
};
