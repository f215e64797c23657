//! Jetting: melt shoots as a strand into a part deeper than the strand, instead of welling up wall to wall.
//!
//! A strand that swells to the depth of the part fills it at once and cannot jet at any speed (Oda, White and Clark,
//! Polym. Eng. Sci. 16 (1976) 585, from memory). A thinner strand bears more speed the less of the depth it leaves open.
//! The limit compares v (1 − B h_g/h_s), with the mean velocity v at the exit of the gate, the swell B, the depth h_g of
//! the gate there and the depth h_s of the part. A tube into a disc meets the far wall and does not jet.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::Passage;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::METRE_PER_SECOND,
    measure: Needs::Fill(|case, fill| {
        let c = &case.cavity;
        let strand = |(gate, part): (&Passage, &Passage)| {
            let last = part.feeder.map_or(0, |feeder| c.ranges[feeder].end - 1);
            let velocity = fill.end.greatest_flow[last] / gate.copies / gate.area_at(1.0);
            let filled = case.material.swell * gate.half_gap[1] / part.half_gap[0];
            velocity * (1.0 - filled).max(0.0)
        };
        let fastest = c.mouths().map(strand).reduce(f64::max);
        let mut measure = fastest
            .map_or(Measure::ABSENT, |v| Measure::new(v, case.thresholds.jet_speed, Scale::RatioBelow));
        // Melt that has not come through a gate cannot jet.
        measure.absent |= c.gates.iter().all(|&gate| fill.end.passage_flow(gate) == 0.0);
        measure
    }),
    found: "The speed in the gate, times the share of the thickness behind it that the swollen strand leaves open, is",
    beyond: "the melt enters as a strand, whose folds do not weld",
    remedy: "Slower injection, or a gate that is nearly as thick as the part or aimed at a wall.",
};
