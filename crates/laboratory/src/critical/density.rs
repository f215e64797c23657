//! Critical loading from densities: ρ = φρp + (1 − φ)ρb while the binder fills the voids; past φc the
//! compact keeps the volume Vp/φc and ρ = φcρp + φc(1 − φ)/φ ρb, so density peaks at φc.

use super::profile::{DENSEST, Linear, scan, solve};
use super::{CriticalEstimate, LoadingReading};
use serde::{Deserialize, Serialize};

/// Usual scatter of a density, as a share (from memory).
const USUAL_SCATTER: f64 = 0.002;

/// Known densities; the others are fitted.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default, deny_unknown_fields)]
pub struct DensityOptions {
    /// Powder density ρp \[kg/m³\].
    pub powder_density: Option<f64>,
    /// Binder density ρb \[kg/m³\].
    pub binder_density: Option<f64>,
}

/// Fit of densities.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DensityFit {
    /// Critical loading φc [vol%].
    pub critical: CriticalEstimate,
    /// Powder density \[kg/m³\]; without error where it was given.
    pub powder_density: CriticalEstimate,
    /// Binder density \[kg/m³\]; without error where it was given.
    pub binder_density: CriticalEstimate,
    /// Standard deviation of a density reading about the fit \[kg/m³\].
    pub scatter: f64,
    /// Readings used.
    pub readings: usize,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

impl DensityFit {
    /// Density \[kg/m³\] of the fitted model at a loading [vol%].
    pub fn at(&self, loading: f64) -> f64 {
        density(
            0.01 * loading,
            0.01 * self.critical.value,
            self.powder_density.value,
            self.binder_density.value,
        )
    }
}

/// Density of a mixture with loading φ and critical loading φc, as fractions.
pub fn density(loading: f64, critical: f64, powder: f64, binder: f64) -> f64 {
    let (of_powder, of_binder) = shares(loading, critical);
    of_powder * powder + of_binder * binder
}

/// Volume shares of powder and binder in the compact.
fn shares(loading: f64, critical: f64) -> (f64, f64) {
    if loading <= critical {
        (loading, 1.0 - loading)
    } else {
        (critical, critical * (1.0 - loading) / loading)
    }
}

/// The densities as a linear problem.
pub(super) fn linear<'a>(readings: &'a [LoadingReading], options: &DensityOptions) -> Linear<'a> {
    let DensityOptions { powder_density, binder_density } = *options;
    let row = move |critical: f64, i: usize| {
        let (of_powder, of_binder) = shares(0.01 * readings[i].loading, critical);
        let value = readings[i].value
            - powder_density.map_or(0.0, |density| of_powder * density)
            - binder_density.map_or(0.0, |density| of_binder * density);
        // Of two columns the second falls away with its density; of one, the first is the binder's.
        let columns = if powder_density.is_some() { [of_binder, 0.0] } else { [of_powder, of_binder] };
        (columns, value)
    };
    let free = usize::from(powder_density.is_none()) + usize::from(binder_density.is_none());
    let mean = readings.iter().map(|r| r.value).sum::<f64>() / readings.len().max(1) as f64;
    Linear {
        free,
        readings: readings.len(),
        above: 0.0,
        below: DENSEST,
        usual_scatter: USUAL_SCATTER * mean,
        known: None,
        row: Box::new(row),
    }
}

/// Fits the critical loading, and the densities that are not known.
///
/// # Errors
/// Where the readings are too few, or show no peak.
pub fn fit(readings: &[LoadingReading], options: &DensityOptions) -> Result<DensityFit, String> {
    let free =
        1 + usize::from(options.powder_density.is_none()) + usize::from(options.binder_density.is_none());
    if readings.len() < free + 1 {
        return Err(format!("{} densities; at least {} are needed.", readings.len(), free + 1));
    }
    let least = readings.iter().map(|r| 0.01 * r.loading).fold(f64::INFINITY, f64::min);
    let most = readings.iter().map(|r| 0.01 * r.loading).fold(0.0, f64::max);
    let model = linear(readings, options);
    // If φc is above the highest reading, the model has no peak in the data and does not depend on φc.
    let flat = solve(&model, 1.0)
        .map(|solved| solved.squares)
        .ok_or("The densities are not distinct enough to fit.")?;
    let width = most - least;
    if width < 1e-4 {
        return Err(
            "All densities were taken at the same loading; several are needed, on both sides of the peak."
                .to_owned(),
        );
    }
    let grid: Vec<f64> = (1..400).map(|i| least + width * f64::from(i) / 400.0).collect();
    let found = scan(&model, &grid, Some(flat)).ok_or("The densities are not distinct enough to fit.")?;
    if flat <= found.squares * 1.0001 || found.critical.value > grid[grid.len() - 1] {
        return Err(format!(
            "The densities show no peak up to {} vol%: the critical loading lies higher, or the highest reading is close to it. Take readings beyond the peak.",
            gatefrost_core::format::number(100.0 * most, 3)
        ));
    }
    let mut remarks = Vec::new();
    let beyond = readings.iter().filter(|r| 0.01 * r.loading > found.critical.value).count();
    if beyond == 1 {
        remarks
            .push("Only one reading lies beyond the peak, so the critical loading depends on it.".to_owned());
    }
    if found.critical.high.is_none() {
        remarks.push("Within their scatter the densities may have no peak yet.".to_owned());
    }
    let mut next = found.linear.iter().zip(&found.linear_errors);
    let mut estimate = |known: Option<f64>| match known {
        Some(value) => CriticalEstimate { value, standard_error: None, low: None, high: None },
        None => match next.next() {
            Some((&value, &error)) => CriticalEstimate {
                value,
                standard_error: error,
                low: error.map(|e| value - found.t * e),
                high: error.map(|e| value + found.t * e),
            },
            None => CriticalEstimate { value: f64::NAN, standard_error: None, low: None, high: None },
        },
    };
    let (powder_density, binder_density) =
        (estimate(options.powder_density), estimate(options.binder_density));
    if powder_density.value <= binder_density.value || binder_density.value <= 0.0 {
        return Err(
            "The densities do not fit a powder in a lighter binder; check loadings and densities.".to_owned()
        );
    }
    Ok(DensityFit {
        critical: found.critical.in_percent(),
        powder_density,
        binder_density,
        scatter: found.scatter,
        readings: readings.len(),
        remarks,
    })
}
