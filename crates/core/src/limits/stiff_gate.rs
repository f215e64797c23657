//! Melt too stiff at the gate: viscosity at the melt temperature and the gate's own shear rate.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::fill::STALLED;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PASCAL_SECOND,
    measure: Needs::Fill(|case, fill| {
        let c = &case.cavity;
        let viscosity = |&gate: &usize| {
            let passage = &c.passages[gate];
            // A gate that a short shot did not reach: the rate at which a fill counts as stalled.
            let flow = fill.end.passage_flow(gate).max(STALLED * case.drive.rate);
            let rate = passage.apparent_shear_rate(flow / passage.copies, 0.5);
            case.material.viscosity.viscosity(rate, case.drive.melt, 0.0)
        };
        let stiffest = c.gates.iter().map(viscosity).fold(0.0, f64::max);
        Measure {
            absent: c.gates.iter().any(|&gate| fill.end.passage_flow(gate) == 0.0),
            ..Measure::new(stiffest, case.thresholds.gate_viscosity, Scale::RatioBelow)
        }
    }),
    found: "At the gate's own shear rate the melt has a viscosity of",
    beyond: "it is too stiff to mould well",
    remedy: "Hotter melt, faster injection or less powder.",
};
