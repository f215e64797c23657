//! Melting and crystallisation of a binder from differential scanning calorimetry: a table of temperature and heat flow on
//! heating, on cooling, or both.
//!
//! On heating the backbone has melted at the end of the last peak. On cooling it stops flowing where its crystallisation
//! sets in: at the onset of the hottest peak. The heats of the peaks are those of the binder's parts. Peaks are taken off a
//! straight baseline (`peaks`).

mod apply;
mod peaks;
mod reading;

pub use apply::apply;
pub use peaks::DscPeak;
pub use reading::{Direction, FORM, Scan, read};

use gatefrost_core::format::number;
use serde::{Deserialize, Serialize};

/// Standard error of a temperature by calibration and thermal lag \[K\], from memory.
const CALIBRATION: f64 = 2.0;
/// Standard error of the no-flow temperature because a mould cools some hundred times faster than a calorimeter \[K\], from
/// memory.
const BY_RATE: f64 = 5.0;

/// A temperature with its standard error \[°C, K\].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DscTemperature {
    /// The temperature \[°C\].
    pub value: f64,
    /// Its standard error \[K\].
    pub standard_error: f64,
}

/// What one scan says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DscResult {
    /// Whether the sample was heated or cooled.
    pub direction: Direction,
    /// The peaks, the coldest first.
    pub peaks: Vec<DscPeak>,
    /// On heating: the temperature above which the backbone has melted, the end of the hottest peak.
    pub melted: Option<DscTemperature>,
    /// On cooling: the no-flow temperature of the backbone, the onset of the hottest peak.
    pub no_flow: Option<DscTemperature>,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

/// Finds the peaks of a scan and what follows from them. `binder_share` is the share of binder in the mass of the sample:
/// 1 for binder alone.
///
/// # Errors
/// Where the scan shows no peak.
pub fn analyse(scan: &Scan, binder_share: f64) -> Result<DscResult, String> {
    let peaks = peaks::found(scan, binder_share);
    let Some(hottest) = peaks.last() else {
        return Err(format!(
            "The table on {} shows no peak above its scatter: nothing melts or crystallises between {} and {} °C.",
            scan.direction.word(),
            number(scan.range()[0], 4),
            number(scan.range()[1], 4)
        ));
    };
    let mut remarks = scan.notes.clone();
    let mut said = |text: String| remarks.push(text);
    if peaks.len() == 1 {
        said(format!(
            "There is one peak only, at {} °C. It is taken as that of the backbone. A binder of wax alone has no other; in any other binder a part is missing: scan a wider range.",
            number(hottest.peak, 4)
        ));
    }
    if peaks.iter().any(|peak| peak.overlaps) {
        said("Peaks overlap. They are parted at the lowest place between them, and each heat is known only roughly.".to_owned());
    }
    let (mut melted, mut no_flow) = (None, None);
    match scan.direction {
        Direction::Heating => {
            let standard_error = CALIBRATION.hypot(0.5 * (hottest.end - hottest.peak));
            melted = Some(DscTemperature { value: hottest.end, standard_error });
            said("On heating parts melt hotter than they crystallise on cooling: take the no-flow temperature from a table on cooling.".to_owned());
        }
        Direction::Cooling => {
            let standard_error = CALIBRATION.hypot(BY_RATE);
            no_flow = Some(DscTemperature { value: hottest.onset, standard_error });
            said("A mould cools some hundred times faster than a calorimeter, and the backbone then sets colder. The standard error covers about 5 K of it (from memory).".to_owned());
        }
    }
    Ok(DscResult { direction: scan.direction, peaks, melted, no_flow, remarks })
}

#[cfg(test)]
mod tests;
