//! Burning: the share of the binder's mass that decomposes, in the barrel and in the hottest melt of the fill.
//!
//! The melt stands in the barrel at its set temperature for its turn, then as hot as the hottest melt of the fill for as
//! long as the fill takes. How fast the binder decomposes is in `feedstock::decomposition`.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use super::residence;
use crate::cycle::Cycle;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PERCENT,
    measure: Needs::Hold(|case, fill, hold| {
        let barrel = (residence::time(case, fill, hold), case.drive.melt);
        let filling = (fill.end.time, fill.end.hottest);
        let lost = case.material.decomposition.lost(&[barrel, filling]);
        Measure {
            absent: !Cycle::ends(case, hold),
            ..Measure::new(lost, case.thresholds.binder_loss, Scale::RatioBelow)
        }
    }),
    found: "In barrel and mould, viscous heating included, the binder loses by mass",
    beyond: "what decomposes leaves bubbles and another feedstock",
    remedy: "Colder melt, a smaller barrel, more cavities or a shorter cycle.",
};
