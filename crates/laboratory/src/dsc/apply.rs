//! What scans change in a feedstock.

use super::{DscPeak, DscResult};
use crate::dsc::reading::Direction;
use gatefrost_core::scenario::{Feedstock, MAX_FURTHER_PEAKS, MeltingPeak};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};

/// Least width of a peak in a scenario \[K\].
const LEAST_WIDTH: f64 = 1.0;

/// Puts what scans say into a feedstock: melting peaks, from cooling where there is such a scan; the melted temperature from
/// heating; the no-flow temperature with its standard error from cooling. Says what was changed.
pub fn apply(feedstock: &mut Feedstock, scans: &[DscResult]) -> Vec<String> {
    let of = |direction| scans.iter().find(|scan| scan.direction == direction);
    let (heating, cooling) = (of(Direction::Heating), of(Direction::Cooling));
    let mut said = Vec::new();
    if let Some(scan) = cooling.or(heating) {
        let peak = |p: &DscPeak| {
            let (solidus, liquidus) = (p.onset.min(p.end), p.onset.max(p.end));
            MeltingPeak {
                latent_heat: p.heat_of_binder,
                solidus,
                liquidus: liquidus.max(solidus + LEAST_WIDTH),
            }
        };
        let mut peaks: Vec<MeltingPeak> = scan.peaks.iter().map(peak).collect();
        if peaks.len() > MAX_FURTHER_PEAKS + 1 {
            said.push(format!("Of {} peaks the {} hottest are taken.", peaks.len(), MAX_FURTHER_PEAKS + 1));
            peaks.drain(..peaks.len() - MAX_FURTHER_PEAKS - 1);
        }
        let first = peaks.remove(0);
        (feedstock.latent_heat, feedstock.solidus, feedstock.liquidus) =
            (first.latent_heat, first.solidus, first.liquidus);
        said.push(format!(
            "The binder has {} melting peaks, from the table on {}.",
            peaks.len() + 1,
            scan.direction.word()
        ));
        feedstock.further_melting = peaks;
    }
    if let Some(melted) = heating.and_then(|scan| scan.melted) {
        feedstock.melted_temperature = Some(melted.value);
    }
    if let Some(no_flow) = cooling.and_then(|scan| scan.no_flow) {
        let path = "feedstock.no_flow_temperature".to_owned();
        feedstock.no_flow_temperature = no_flow.value;
        let found = Doubt { path: path.clone(), standard_error: no_flow.standard_error, logarithmic: false };
        let known = feedstock.uncertainty.get_or_insert_with(Uncertainty::default);
        match known.numbers.iter_mut().find(|doubt| doubt.path == path) {
            Some(doubt) => *doubt = found,
            None => known.numbers.push(found),
        }
    }
    said
}
