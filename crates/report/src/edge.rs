//! Lists of SI values in the units of the trade.

use gatefrost_core::feedstock::ZERO_CELSIUS;

/// Temperatures \[K\] in °C.
pub(super) fn celsius(list: impl IntoIterator<Item = f64>) -> Vec<f64> {
    list.into_iter().map(|t| t - ZERO_CELSIUS).collect()
}

/// SI values in a unit of which one SI unit contains `factor`.
pub(super) fn scaled(list: &[f64], factor: f64) -> Vec<f64> {
    list.iter().map(|v| v * factor).collect()
}
