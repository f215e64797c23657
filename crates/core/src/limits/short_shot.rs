//! Short shot: the pressure that filling at the set rate needs, against what the machine has.

use super::{Definition, Measure, Measured, Scale};

/// A need beyond this many times the machine's pressure is not told apart: the path is freezing shut.
const TIMES: f64 = 5.0;

pub(super) const DEFINITION: Definition = Definition {
    unit: "MPa",
    // The need is computed without the machine's limit, so that the margin stays continuous beyond it.
    measure: Measured::Fill(|case, fill| {
        let most = case.machine.max_pressure;
        let need = fill.need / 1e6;
        Measure {
            value: need.min(TIMES * most),
            threshold: most * case.thresholds.pressure_use / 100.0,
            scale: Scale::RatioBelow,
            beyond_reckoning: need > TIMES * most,
            absent: false,
        }
    }),
    found: "Filling at the set rate needs",
    beyond: "the front lags, and may stall before the cavity is full",
    remedy: "Hotter melt or mould, a thicker wall or gate, less powder, or an injection time nearer to the least pressure.",
};
