//! Short shot: the pressure that filling at the set rate needs, against what the machine has.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    label: "short shot",
    unit: "MPa",
    // The need is computed without the machine's limit, so that the margin stays continuous beyond it.
    measure: |p| Measure {
        value: p.fill.peak / 1e6,
        threshold: p.case.machine.max_pressure * p.case.thresholds.pressure_use / 100.0,
        scale: Scale::RatioBelow,
    },
    found: "Filling at the set rate needs",
    beyond: "the front lags, and may stall before the cavity is full",
    remedy: "Hotter melt or mould, a thicker wall or gate, less powder, or an injection time nearer to the least pressure.",
};
