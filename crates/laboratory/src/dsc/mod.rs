//! Melting and crystallisation of a binder from differential scanning calorimetry: a table of temperature and heat flow on
//! heating, on cooling, or both.
//!
//! On heating the backbone has melted at the end of the last peak. On cooling it stops flowing where its crystallisation
//! sets in: at the onset of the hottest peak. The heats of the peaks are those of the binder's parts. Peaks are taken off a
//! straight baseline (`peaks`).

mod apply;
mod peaks;
mod reading;
mod shoulder;

pub use apply::apply;
pub use peaks::DscPeak;
pub use reading::{Direction, FORM, HeatFlowUnit, ReadOptions, Scan, read};

use gatefrost_core::feedstock::mixture;
use gatefrost_core::format::number;
use gatefrost_core::scenario::Feedstock;
use peaks::Found;
use serde::{Deserialize, Serialize};

/// Standard error of a temperature by calibration and thermal lag \[K\], from memory.
const CALIBRATION: f64 = 2.0;
/// Standard error of the no-flow temperature because a mould cools some hundred times faster than a calorimeter \[K\], from
/// memory.
const BY_RATE: f64 = 5.0;

/// Greatest heat of melting of a binder that is plausible [kJ/kg]: a little more than crystals of polyethylene, from memory.
const MOST_HEAT: f64 = 300.0;
/// Heats of melting and of crystallisation differ by less than this factor, from memory: what melts also crystallises,
/// but for what is undercooled or not caught by a baseline.
const SAME_HEAT: f64 = 1.5;

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
    /// First and last point of the baseline: temperature \[°C\] and apparent heat capacity \[J/gK\] in the sign of the table.
    pub baseline: [[f64; 2]; 2],
    /// Whether the peaks point down in the table.
    pub upside_down: bool,
    /// Whether the table has endothermic heat upwards, as its peaks show. `None` for a table of heat capacity.
    pub endothermic_up: Option<bool>,
    /// On heating: the temperature above which the backbone has melted, the end of the hottest peak.
    pub melted: Option<DscTemperature>,
    /// On cooling: the no-flow temperature of the backbone, the onset of the hottest peak.
    pub no_flow: Option<DscTemperature>,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

/// Share of the binder in the mass of a feedstock.
pub fn binder_share(f: &Feedstock) -> f64 {
    1.0 - mixture::powder_mass_fraction(f.solids_loading / 100.0, f.powder_density, f.binder_density)
}

/// Finds the peaks of a scan and what follows from them. `binder_share` is the share of binder in the mass of the sample:
/// 1 for binder alone.
///
/// # Errors
/// Where the scan shows no peak.
pub fn analyse(scan: &Scan, binder_share: f64) -> Result<DscResult, String> {
    let Found { peaks, baseline, upside_down, shoulders, other_way } = peaks::found(scan, binder_share);
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
    for [peak, shoulder] in &shoulders {
        said(format!(
            "The peak at {} °C has a shoulder at {} °C: another part of the binder overlaps it. Their heats are not parted, and onset or end may be those of the shoulder. A slower scan parts them better.",
            number(*peak, 4),
            number(*shoulder, 4)
        ));
    }
    if peaks.len() == 1 && shoulders.is_empty() {
        said(format!(
            "There is one peak only, at {} °C. It is taken as that of the backbone. A binder of wax alone has no other; in any other binder a part is missing: scan a wider range.",
            number(hottest.peak, 4)
        ));
    }
    if peaks.len() > 1 && peaks.iter().filter(|peak| peak.overlaps).count() > shoulders.len() {
        said("Peaks overlap. They are parted at the lowest place between them, and each heat is known only roughly.".to_owned());
    }
    let heat: f64 = peaks.iter().map(|peak| peak.heat_of_binder).sum();
    if heat > MOST_HEAT {
        said(format!(
            "The peaks hold {} kJ for each kilogram of binder. Waxes and polyethylene hold 150 to 250, and crystals of polyethylene 290 (from memory). Check the rate, the mass of the sample, and whether the sample was binder or feedstock.",
            number(heat, 3)
        ));
    }
    if let Some(at) = other_way {
        said(format!(
            "The curve also has a peak the other way, at {} °C. It is not taken: only peaks that point as the highest one do are those of {}.",
            number(at, 4),
            if scan.direction == Direction::Heating { "melting" } else { "crystallisation" }
        ));
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
    let endothermic_up = scan.heat_flow.then_some(upside_down != (scan.direction == Direction::Heating));
    let direction = scan.direction;
    Ok(DscResult { direction, peaks, baseline, upside_down, endothermic_up, melted, no_flow, remarks })
}

/// What two scans say of each other, in sentences.
pub fn compared(heating: &DscResult, cooling: &DscResult) -> Vec<String> {
    let mut said = Vec::new();
    if let (Some(hot), Some(cold)) = (heating.endothermic_up, cooling.endothermic_up)
        && hot != cold
    {
        said.push(
            "Peaks point the same way on heating and on cooling. An instrument draws melting and crystallisation to opposite sides: one table has the other sign, or is not what it is given as. The peaks are found either way."
                .to_owned(),
        );
    }
    let heat = |scan: &DscResult| scan.peaks.iter().map(|peak| peak.heat_of_binder).sum::<f64>();
    let (taken, given) = (heat(heating), heat(cooling));
    if taken.max(given) > SAME_HEAT * taken.min(given) {
        said.push(format!(
            "Melting takes {} kJ for each kilogram of binder and crystallisation gives {} back. What melts crystallises again, so they differ by less than a factor of {SAME_HEAT} (from memory). Check the rate, the mass and the range of each table.",
            number(taken, 3),
            number(given, 3)
        ));
    }
    if let (Some(melted), Some(no_flow)) = (heating.melted, cooling.no_flow)
        && melted.value < no_flow.value
    {
        said.push(format!(
            "The backbone would melt at {} °C, colder than it sets on cooling, at {} °C. Check that each table is what it is given as.",
            number(melted.value, 4),
            number(no_flow.value, 4)
        ));
    }
    said
}

#[cfg(test)]
mod tests;
