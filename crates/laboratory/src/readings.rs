//! Tables of readings: read, reduced and fitted, as far as a page shows and draws them. A worker of the page computes them
//! with another module than the page's own, so both know these types.

use crate::critical::{self, CriticalLoading, CriticalOptions, LoadingTable};
use crate::dsc::{self, Direction, DscResult, ReadOptions};
use crate::rheometry::fit::{self, DataRange, Fit, FitOptions, MOST_RESIDUALS, Ranking, Residual};
use crate::rheometry::{self, FlowPoint, Reduction, TableError, WallFlow};
use crate::uncertainty::of_study;
use gatefrost_core::feedstock::{Viscosity, ZERO_CELSIUS};
use gatefrost_core::scenario::{FlowLaw, FlowLawKind};
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::geometric;
use serde::{Deserialize, Serialize};

/// Corrections listed at most.
const MOST_LISTED: usize = 60;

/// Readings reduced and fitted, as far as the page shows them.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Studied {
    notes: Vec<String>,
    /// How many points were fitted.
    pub points: usize,
    /// The readings corrected, with as many of each list as a page shows.
    pub reduction: Reduction,
    ranking: Ranking,
    /// How far the constants of each fit may be off.
    uncertainties: Vec<Uncertainty>,
}

/// What the page keeps of it.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Kept {
    /// The fits, the best first.
    pub fits: Vec<KeptFit>,
    /// How far the constants of each may be off.
    pub uncertainties: Vec<Uncertainty>,
    /// Points to draw.
    pub drawn: Vec<FlowPoint>,
    /// Slip and entrance for a part.
    pub wall_flow: WallFlow,
}

/// A fit as far as figures, warnings and the scenario need it.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct KeptFit {
    /// Which law it is.
    pub kind: FlowLawKind,
    /// The law with its constants.
    pub law: FlowLaw,
    /// How many points it was fitted to.
    pub points: usize,
    /// What the points cover.
    pub range: DataRange,
}

/// Readings against loading, and what came of them.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Assessed {
    /// The readings, as many as a page draws.
    pub table: LoadingTable,
    /// The critical loading by each kind of reading.
    pub found: CriticalLoading,
}

/// A scan of calorimetry, and what came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scanned {
    /// Temperature \[°C\] and apparent heat capacity of the sample \[J/gK\], in the sign of the table.
    pub points: Vec<[f64; 2]>,
    /// What it says.
    pub found: DscResult,
}

/// Reads and corrects rheometer readings and fits every flow law to them: what the page shows, and what it keeps.
///
/// # Errors
/// What is wrong with the table, line by line.
pub fn study(text: &str, options: &FitOptions) -> Result<(Studied, Kept), TableError> {
    let table = rheometry::read(text)?;
    let mut reduction = rheometry::reduce(&table.readings);
    let mut ranking = fit::rank(&reduction.points, options);
    // The page draws from the laws; it needs no list of every point beside them.
    for fit in &mut ranking.fits {
        fit.residuals.clear();
    }
    let points = reduction.points.len();
    let drawn = fit::picked(reduction.points.clone(), MOST_RESIDUALS);
    reduction.points.truncate(MOST_LISTED);
    reduction.ends.truncate(MOST_LISTED);
    reduction.slip.truncate(MOST_LISTED);
    reduction.exponents.clear();
    let wall_flow = reduction.wall_flow;
    let uncertainties: Vec<Uncertainty> = ranking.fits.iter().map(|fit| of_study(fit, &wall_flow)).collect();
    let kept =
        |fit: &Fit| KeptFit { kind: fit.kind, law: fit.law.clone(), points: fit.points, range: fit.range };
    let fits = ranking.fits.iter().map(kept).collect();
    let kept = Kept { fits, uncertainties: uncertainties.clone(), drawn, wall_flow };
    Ok((Studied { notes: table.notes, points, reduction, ranking, uncertainties }, kept))
}

/// Reads densities and flow resistances against loading and fits the critical loading to them.
///
/// # Errors
/// What is wrong with the table, line by line.
pub fn assess(text: &str, options: &CriticalOptions) -> Result<Assessed, TableError> {
    let mut table = critical::read(text)?;
    let found = critical::assess(&table, options);
    thin(&mut table.density);
    thin(&mut table.resistance);
    Ok(Assessed { table, found })
}

/// Reads a scan and finds its peaks. `binder_share` is the share of binder in the mass of the sample.
///
/// # Errors
/// What is wrong with the table, line by line, or why it shows no peak.
pub fn scan(
    text: &str,
    direction: Direction,
    options: &ReadOptions,
    binder_share: f64,
) -> Result<Scanned, TableError> {
    let mut read = dsc::read(text, direction, options)?;
    let found = dsc::analyse(&read, binder_share).map_err(TableError::whole)?;
    thin(&mut read.points);
    Ok(Scanned { points: read.points, found })
}

/// Leaves an even pick of what is too much to draw.
fn thin<T>(readings: &mut Vec<T>) {
    let step = readings.len().div_ceil(MOST_RESIDUALS).max(1);
    let mut place = 0;
    readings.retain(|_| {
        place += 1;
        (place - 1) % step == 0
    });
}

/// Viscosity \[Pa·s\] of a fitted law against shear rate \[1/s\], over the rates of data and part, at each temperature
/// measured \[°C\].
pub fn curves_of(fit: &KeptFit, points: &[FlowPoint], rates: &[(String, f64)]) -> Vec<(f64, Vec<[f64; 2]>)> {
    let [mut low, mut high] = fit.range.shear_rates;
    for (_, rate) in rates.iter().filter(|(_, rate)| rate.is_finite() && *rate > 0.0) {
        (low, high) = (low.min(*rate), high.max(*rate));
    }
    let temperatures = fit::temperature_levels(points.iter().map(|p| p.temperature));
    let law = Viscosity::measured(&fit.law);
    let curve = |t: f64| {
        let viscosity = |rate: f64| [rate, law.viscosity(rate, t + ZERO_CELSIUS, 0.0)];
        (t, geometric(low, high, 81).into_iter().map(viscosity).collect())
    };
    temperatures.into_iter().map(curve).collect()
}

/// The points drawn against a fitted law.
pub fn residuals_of(fit: &KeptFit, points: &[FlowPoint]) -> Vec<Residual> {
    let law = Viscosity::measured(&fit.law);
    let against = |&point: &FlowPoint| {
        let fitted = law.viscosity(point.shear_rate, point.temperature + ZERO_CELSIUS, 0.0);
        Residual { point, fitted, log_ratio: (point.viscosity / fitted).logarithm() }
    };
    points.iter().map(against).filter(|r| r.log_ratio.is_finite()).collect()
}
