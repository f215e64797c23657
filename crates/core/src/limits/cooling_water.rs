//! Cooling water: the rise of its temperature, ΔT = (heat of a shot until the mould opens)/(cycle · V̇ ρc_p), if no heat
//! leaves another way.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cycle::Cycle;
use crate::stages::Needs;

/// Heat capacity of water by volume \[J/m³K\]: 4.15e6 to 4.18e6 between 20 and 40 °C by IAPWS-95, from the
/// package chemicals 1.5.2.
const WATER: f64 = 4.16e6;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::KELVIN,
    measure: Needs::Hold(|case, fill, hold| {
        let heat = fill.end.balance.lost + hold.opened.lost;
        let cycle = Cycle::of(case, hold, fill.end.time).whole();
        let rise = heat / cycle / (case.mould.water_flow * WATER);
        Measure {
            absent: !Cycle::ends(case, hold),
            ..Measure::new(rise, case.thresholds.water_rise, Scale::RatioBelow)
        }
    }),
    found: "The heat of one shot in each cycle warms the cooling water by",
    beyond: "the mould is warmer where the water leaves it, and parts differ with their position",
    remedy: "More water, a longer cycle or fewer cavities.",
};
