//! The range of the data, and where a part goes beyond it.

use crate::rheometry::FlowPoint;
use gatefrost_core::format::number;
use gatefrost_numerics::order;
use gatefrost_report::PartSpan;
use serde::{Deserialize, Serialize};

/// Temperatures within this many kelvin are one level.
pub const SAME_TEMPERATURE: f64 = 1.0;

/// The temperatures measured, rising, those within [`SAME_TEMPERATURE`] of a lower one left out.
pub fn temperature_levels(temperatures: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut levels: Vec<f64> = temperatures.collect();
    order::sort(&mut levels);
    levels.dedup_by(|later, first| *later - *first <= SAME_TEMPERATURE);
    levels
}

/// Range of the data behind a fit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DataRange {
    /// Least and greatest shear rate \[1/s\].
    pub shear_rates: [f64; 2],
    /// Least and greatest temperature \[°C\].
    pub temperatures: [f64; 2],
    /// Number of temperatures measured; those within 1 K are one.
    pub temperature_levels: usize,
}

impl DataRange {
    /// Range of some points; `None` without points.
    pub fn of(points: &[FlowPoint]) -> Option<Self> {
        let first = points.first()?;
        let mut range = Self {
            shear_rates: [first.shear_rate; 2],
            temperatures: [first.temperature; 2],
            temperature_levels: 0,
        };
        for p in points {
            let widen = |pair: &mut [f64; 2], value: f64| *pair = [pair[0].min(value), pair[1].max(value)];
            widen(&mut range.shear_rates, p.shear_rate);
            widen(&mut range.temperatures, p.temperature);
        }
        range.temperature_levels = temperature_levels(points.iter().map(|p| p.temperature)).len();
        Some(range)
    }
}

/// Sentences on where a part is outside the range of the data; empty if it is covered.
pub fn coverage_warnings(range: &DataRange, part: &PartSpan) -> Vec<String> {
    let PartSpan { shear_rates, temperatures, .. } = *part;
    let mut warnings = Vec::new();
    let measured = format!("{} to {} 1/s", number(range.shear_rates[0], 3), number(range.shear_rates[1], 3));
    if shear_rates[1] > range.shear_rates[1] * 1.001 {
        warnings.push(format!(
            "The part shears the feedstock at up to {} 1/s, {} times faster than anything measured ({measured}): the viscosity there is extrapolated.",
            number(shear_rates[1], 3),
            number(shear_rates[1] / range.shear_rates[1], 2)
        ));
    }
    if shear_rates[0] < range.shear_rates[0] * 0.999 {
        warnings.push(format!(
            "The part shears the feedstock at {} 1/s and above, slower than anything measured ({measured}): the viscosity there is extrapolated.",
            number(shear_rates[0], 3)
        ));
    }
    if range.temperature_levels < 2 {
        let off = (temperatures[0] - range.temperatures[0])
            .abs()
            .max((temperatures[1] - range.temperatures[1]).abs());
        if off > 1.0 {
            warnings.push(format!(
                "All data were taken at {} °C; at the part's {} to {} °C the viscosity rests on an assumed temperature dependence.",
                number(range.temperatures[0], 4),
                number(temperatures[0], 4),
                number(temperatures[1], 4)
            ));
        }
        return warnings;
    }
    let measured = format!("{} to {} °C", number(range.temperatures[0], 4), number(range.temperatures[1], 4));
    if temperatures[1] > range.temperatures[1] + 0.5 {
        warnings.push(format!(
            "The part's melt reaches {} °C, hotter than the data ({measured}): the viscosity there is extrapolated.",
            number(temperatures[1], 4)
        ));
    }
    if temperatures[0] < range.temperatures[0] - 0.5 {
        warnings.push(format!(
            "The part's melt falls to {} °C, colder than the data ({measured}): the viscosity there is extrapolated.",
            number(temperatures[0], 4)
        ));
    }
    warnings
}
