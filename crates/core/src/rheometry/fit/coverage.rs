//! Where the data reach, and where a part asks for more.

use crate::format::number;
use crate::order;
use crate::rheometry::FlowPoint;
use serde::{Deserialize, Serialize};

/// Range of the data behind a fit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DataRange {
    /// Least and greatest shear rate \[1/s\].
    pub shear_rates: [f64; 2],
    /// Least and greatest temperature \[°C\].
    pub temperatures: [f64; 2],
    /// Temperatures measured, those within 1 K counted as one.
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
        let mut sorted: Vec<f64> = points.iter().map(|p| p.temperature).collect();
        order::sort(&mut sorted);
        let mut level = f64::NEG_INFINITY;
        for t in sorted {
            if t - level > 1.0 {
                range.temperature_levels += 1;
                level = t;
            }
        }
        Some(range)
    }
}

/// Says where the shear rates \[1/s\] and melt temperatures \[°C\] of a part lie outside the data.
/// Nothing where they are covered.
pub fn coverage_warnings(range: &DataRange, shear_rates: [f64; 2], temperatures: [f64; 2]) -> Vec<String> {
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
