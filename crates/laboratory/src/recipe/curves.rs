//! Curves for a plot: viscosity against shear rate and against loading, with bands.

use super::Recipe;
use super::flow::Flow;
use gatefrost_core::scenario::ScenarioError;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// Viscosity at a shear rate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS), ts(rename = "EstimatedPoint"))]
pub struct FlowPoint {
    /// Shear rate \[1/s\].
    pub rate: f64,
    /// Viscosity \[Pa·s\].
    pub viscosity: f64,
    /// Low end of its band.
    pub low: f64,
    /// High end of its band.
    pub high: f64,
}

/// Viscosity at a loading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LoadingPoint {
    /// Solids loading [vol%].
    pub loading: f64,
    /// Low-rate viscosity relative to the binder's.
    pub relative: f64,
    /// Viscosity \[Pa·s\].
    pub viscosity: f64,
    /// Low end of its band.
    pub low: f64,
    /// High end of its band.
    pub high: f64,
}

/// Estimated viscosity at each of the `rates` \[1/s\] at `temperature` \[°C\]. Where the recipe asks for a power law, it is that
/// of the Cross law.
///
/// # Errors
/// Lists what is wrong with the recipe.
pub fn flow_curve(recipe: &Recipe, temperature: f64, rates: &[f64]) -> Result<Vec<FlowPoint>, ScenarioError> {
    let r = recipe.resolve()?;
    let flow = Flow::new(recipe, &r, r.phi);
    let point = |&rate: &f64| {
        let (viscosity, low, high) = band(&flow, rate, temperature);
        FlowPoint { rate, viscosity, low, high }
    };
    Ok(rates.iter().map(point).collect())
}

/// Estimated viscosity at `rate` \[1/s\] and `temperature` \[°C\] against loading: 61 loadings from half
/// of the critical one to just below it.
///
/// # Errors
/// Lists what is wrong with the recipe.
pub fn loading_curve(
    recipe: &Recipe,
    rate: f64,
    temperature: f64,
) -> Result<Vec<LoadingPoint>, ScenarioError> {
    let r = recipe.resolve()?;
    let point = |i: u32| {
        let phi = r.phi_c * (0.5 + 0.485 * f64::from(i) / 60.0);
        let flow = Flow::new(recipe, &r, phi);
        let (viscosity, low, high) = band(&flow, rate, temperature);
        LoadingPoint { loading: 100.0 * phi, relative: flow.relative, viscosity, low, high }
    };
    Ok((0..=60).map(point).collect())
}

fn band(flow: &Flow, rate: f64, t: f64) -> (f64, f64, f64) {
    let viscosity = flow.viscosity(rate, t);
    let spread = (2.0 * flow.log_error_at(rate, t)).exponential();
    (viscosity, viscosity / spread, viscosity * spread)
}
