//! Gate against the wall: the depth of a gate where the melt leaves it, over that of the part behind it. A tube that
//! opens into the middle of a disc is left out: its diameter is no depth of that wall.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::Passage;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PERCENT,
    measure: Needs::Setting(|case| {
        let share = |(gate, part): (&Passage, &Passage)| gate.half_gap[1] / part.half_gap[0];
        let thickest = case.cavity.mouths().map(share).reduce(f64::max);
        thickest.map_or(Measure::ABSENT, |share| {
            Measure::new(share, case.thresholds.gate_wall, Scale::RatioBelow)
        })
    }),
    found: "The thickness of the gate, as a share of the thickness behind it, is",
    beyond: "the gate freezes after its wall and tears it when it is cut",
    remedy: "A shallower gate, or a gate at a thicker section.",
};
