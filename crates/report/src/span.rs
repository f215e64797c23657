//! The range of shear rates and temperatures that a part needs from the flow law.

use crate::FillReport;
use serde::{Deserialize, Serialize};

/// The shear rates and temperatures of a part as it fills. Rheometer data should cover them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PartSpan {
    /// Least and greatest shear rate at the wall \[1/s\].
    pub shear_rates: [f64; 2],
    /// Coldest flow front and hottest melt \[°C\].
    pub temperatures: [f64; 2],
    /// Greatest shear rate in each passage, by its name \[1/s\].
    pub passages: Vec<(String, f64)>,
}

impl PartSpan {
    /// From the fill of the part. Each passage gives the greater of its apparent shear rate, of the whole gap, and
    /// its greatest shear rate in heated or frozen layers: the flow law must hold up to both.
    pub fn of(fill: &FillReport) -> Self {
        let passages: Vec<(String, f64)> = fill
            .passages
            .iter()
            .map(|p| (p.name.clone(), p.apparent_shear_rate_1_s.max(p.greatest_shear_rate_1_s)))
            .collect();
        let along = fill.paths.iter().flat_map(|path| &path.shear_rate_1_s).copied();
        let all = || along.clone().chain(passages.iter().map(|p| p.1)).filter(|rate| *rate > 0.0);
        let shear_rates = [all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max)];
        let temperatures = [fill.front_temperature_min_c, fill.melt_temperature_max_c];
        Self { shear_rates, temperatures, passages }
    }
}
