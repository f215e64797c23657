//! Cooling water: the rise of its temperature, ΔT = (heat of a shot until the mould opens)/(cycle · V̇ ρc_p), if no heat
//! leaves another way. The heat capacity is that at the coolant's set point; where none is given, at the mould's
//! temperature.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cool::steel;
use crate::cycle::Cycle;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::KELVIN,
    measure: Needs::Hold(|case, fill, hold| {
        let heat = fill.end.balance.lost + hold.opened.lost;
        let cycle = Cycle::of(case, hold, fill.end.time).whole();
        let coolant = case.mould.circuits.map_or(case.drive.wall, |circuits| circuits.coolant);
        let rise = steel::water_rise(heat / cycle, case.mould.water_flow, coolant);
        Measure {
            absent: !Cycle::ends(case, hold),
            ..Measure::new(rise, case.thresholds.water_rise, Scale::RatioBelow)
        }
    }),
    found: "The heat of one shot in each cycle warms the cooling water by",
    beyond: "the mould is warmer where the water leaves it, and parts differ with their position",
    remedy: "More water, a longer cycle or fewer cavities.",
};
