//! The cavity size of each named dimension, its scatter, and the weights that the shop checks.

use super::parts::parts_of_a_shot;
use crate::dimensions::capability::{Capability, Share, of_volume, room, together};
use crate::dimensions::{Chain, Directions, Lie};
use crate::{Furnace, cavity_over_green, share_filled};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::{Dimension, Flow, Scenario, Stands};
use serde::{Deserialize, Serialize};

/// What the mould hands on: numbers of the report, and the scatter that the machine's own scatter makes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FromMould {
    /// S of the parts by the hold: volume of the cold green parts over that of their cavities.
    pub filled: f64,
    /// Density of the mixture.
    pub density_kg_m3: f64,
    /// Mass of the green parts of one shot.
    pub mass_g: f64,
    /// Least and greatest volumetric shrinkage inside the parts, in the mould.
    pub shrinkage_spread_percent: [f64; 2],
    /// Scatter of the powder in a part, by cause.
    pub scatter: Vec<PowderScatter>,
}

/// Scatter of the volume of powder in a cavity, φ S, by one cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PowderScatter {
    /// The cause in words, such as "hold pressure".
    pub cause: String,
    /// Change of ln(φ S) for one standard deviation of the cause.
    pub relative: f64,
}

/// The sizes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SizePlan {
    /// Cavity over sintered part, as the mean of the three directions.
    pub oversize_factor: f64,
    /// The named dimensions, in the order of the list.
    pub dimensions: Vec<DimensionPlan>,
    /// Scatter of a length by cause, one standard deviation, the largest first.
    pub budget: Vec<BudgetShare>,
    /// Scatter of a length by all causes together.
    pub scatter_percent: f64,
    /// Difference of length inside one part that follows from ends that are packed differently. It shows as distortion.
    pub spread_inside_percent: f64,
    /// How much the loading may scatter, with everything else as it is; `None` without dimensions.
    pub loading_room: Option<LoadingRoom>,
    /// Weights of the parts of one shot.
    pub weights: Weights,
    /// Parts of one shot.
    pub parts: f64,
    /// Weights of one part.
    pub weights_of_one: Weights,
}

/// How much the loading may scatter until the wanted Cpk of a dimension is no longer reached. Each names the dimension that
/// decides.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum LoadingRoom {
    /// Up to this standard deviation.
    UpTo {
        /// Standard deviation of the loading.
        vol_percent: f64,
        /// The dimension that decides.
        dimension: String,
    },
    /// Not at all: the other causes alone scatter too much.
    OthersTooMuch {
        /// The dimension that decides.
        dimension: String,
    },
    /// Not at all: the mean lies outside the tolerance.
    MeanOutside {
        /// The dimension that decides.
        dimension: String,
    },
    /// Not computed: the scenario's loading does not scatter, so its effect on a length is unknown.
    NoScatter,
}

/// One dimension from the cavity to the sintered part.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DimensionPlan {
    /// Its name.
    pub name: String,
    /// Nominal size of the sintered part.
    pub nominal_mm: f64,
    /// Tolerance to either side.
    pub tolerance_mm: f64,
    /// Tolerance over the nominal size.
    pub tolerance_percent: f64,
    /// Size of the cavity: the one that is cut, or the one to cut for the present set point.
    pub cavity_mm: f64,
    /// Whether it is cut already.
    pub cut: bool,
    /// Size of the cold green part.
    pub green_mm: f64,
    /// Mean size of the sintered part.
    pub mean_mm: f64,
    /// By how much the cavity must grow for the mean to be the nominal size; negative if it must shrink.
    pub open_by_mm: f64,
    /// Standard deviation of the sintered size.
    pub scatter_mm: f64,
    /// Cp.
    pub cp: f64,
    /// Cpk.
    pub cpk: f64,
    /// Whether Cpk is at least the one that is wanted.
    pub capable: bool,
}

/// A cause and what it does to a length.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BudgetShare {
    /// The cause.
    pub cause: String,
    /// Standard deviation of a length.
    pub percent: f64,
    /// Share of the variance.
    pub of_variance_percent: f64,
}

/// Weights of the parts of one shot, or of one part.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Weights {
    /// Green, as moulded.
    pub green_g: f64,
    /// Brown: without the binder that all steps of debinding take out.
    pub brown_g: f64,
    /// Sintered.
    pub sintered_g: f64,
}

impl Weights {
    fn over(self, parts: f64) -> Self {
        let of = |mass: f64| mass / parts;
        Self { green_g: of(self.green_g), brown_g: of(self.brown_g), sintered_g: of(self.sintered_g) }
    }
}

/// The sizes; `None` without powder. `brown` is the mass that debinding leaves, over the green mass.
pub(super) fn plan(s: &Scenario, mould: &FromMould, brown: f64) -> Option<SizePlan> {
    let furnace = Furnace::resolve(s);
    let over_green = cavity_over_green(share_filled(s, mould.filled));
    let over_final = over_green * furnace.green_over_final()?;
    let mut shares: Vec<Share<String>> = mould
        .scatter
        .iter()
        .map(|x| Share { cause: x.cause.clone(), relative: of_volume(x.relative.abs()) })
        .collect();
    let [by_density, else_where] = after_the_mould(s, furnace.sintered_density);
    shares.push(Share { cause: "sintered density".to_owned(), relative: by_density });
    shares.push(Share { cause: "other scatter of a length".to_owned(), relative: else_where });
    shares.sort_by(|a, b| b.relative.total_cmp(&a.relative));
    let relative = together(&shares);
    let wanted = s.sizes.capability;
    let of = |d: &Dimension| dimension(d, s, [over_green, over_final], relative, wanted);
    let dimensions: Vec<DimensionPlan> = s.sizes.dimensions.iter().map(of).collect();
    let [least, greatest] = mould.shrinkage_spread_percent;
    let weights = Weights {
        green_g: mould.mass_g,
        brown_g: mould.mass_g * brown,
        sintered_g: sintered_mass(s, mould, &furnace),
    };
    let parts = parts_of_a_shot(s);
    Some(SizePlan {
        oversize_factor: over_final,
        loading_room: loading_room(s, &dimensions, &shares),
        dimensions,
        budget: shares.iter().map(|share| budget_share(share, relative)).collect(),
        scatter_percent: 100.0 * relative,
        spread_inside_percent: of_volume(greatest - least),
        weights,
        parts,
        weights_of_one: weights.over(parts),
    })
}

/// Relative scatter of a length that arises after the mould: by the sintered density, and by all else.
pub(super) fn after_the_mould(s: &Scenario, density: f64) -> [f64; 2] {
    [of_volume(s.sizes.density_scatter / 100.0 / density), s.sizes.measuring_scatter / 100.0]
}

/// Mass of the powder that stays.
fn sintered_mass(s: &Scenario, mould: &FromMould, furnace: &Furnace) -> f64 {
    let powder = furnace.loading * s.feedstock.powder_density / mould.density_kg_m3;
    mould.mass_g * powder * (1.0 - furnace.powder_loss)
}

fn budget_share(share: &Share<String>, all: f64) -> BudgetShare {
    let of_variance = if all > 0.0 { share.relative / all } else { 0.0 };
    BudgetShare {
        cause: share.cause.clone(),
        percent: 100.0 * share.relative,
        of_variance_percent: 100.0 * of_variance * of_variance,
    }
}

/// How a dimension lies.
pub fn lie(d: &Dimension) -> Lie {
    Lie { along: d.flow == Flow::Along, vertical: d.stands == Stands::Vertical }
}

/// The factors of the directions of a scenario.
pub fn directions(s: &Scenario) -> Directions {
    Directions { along: s.sizes.along_factor, vertical: s.sizes.vertical_factor }
}

/// The sizes of a dimension whose mean is the nominal size.
pub(super) fn chain_to(d: &Dimension, s: &Scenario, [over_green, over_final]: [f64; 2]) -> Chain {
    Chain::to(d.size, lie(d), directions(s), over_green, over_final)
}

fn dimension(d: &Dimension, s: &Scenario, over: [f64; 2], relative: f64, wanted: f64) -> DimensionPlan {
    let [over_green, over_final] = over;
    let to_cut = chain_to(d, s, over);
    let chain =
        d.cavity.map_or(to_cut, |cavity| Chain::from(cavity, lie(d), directions(s), over_green, over_final));
    let scatter = relative * chain.sintered;
    let capability = Capability::of(d.size, d.tolerance, chain.sintered, scatter);
    DimensionPlan {
        name: d.name.clone(),
        nominal_mm: d.size,
        tolerance_mm: d.tolerance,
        tolerance_percent: 100.0 * d.tolerance / d.size,
        cavity_mm: chain.cavity,
        cut: d.cavity.is_some(),
        green_mm: chain.green,
        mean_mm: chain.sintered,
        open_by_mm: to_cut.cavity - chain.cavity,
        scatter_mm: scatter,
        cp: capability.cp,
        cpk: capability.cpk,
        capable: capability.cpk >= wanted,
    }
}

/// Cause of the loading in [`FromMould::scatter`].
pub const LOADING: &str = "solids loading";

/// Greatest standard deviation of the loading that leaves every dimension its wanted Cpk:
/// 3 Cpk σ_L = t − |mean − nominal| for the dimension that bears least.
fn loading_room(s: &Scenario, dimensions: &[DimensionPlan], shares: &[Share<String>]) -> Option<LoadingRoom> {
    // What the mean leaves of the tolerance, relative to the mean.
    let left = |d: &DimensionPlan| (d.tolerance_mm - (d.mean_mm - d.nominal_mm).abs()) / d.mean_mm;
    let (left, of) = dimensions.iter().map(|d| (left(d), &d.name)).min_by(|a, b| a.0.total_cmp(&b.0))?;
    let dimension = of.clone();
    if left <= 0.0 {
        return Some(LoadingRoom::MeanOutside { dimension });
    }
    let others = shares
        .iter()
        .filter(|share| share.cause != LOADING)
        .map(|share| share.relative)
        .fold(0.0, Elementary::hypotenuse);
    let sigma = s.scatter.solids_loading;
    let by_loading = shares.iter().find(|share| share.cause == LOADING).map_or(0.0, |share| share.relative);
    let per_unit = if sigma > 0.0 { by_loading / sigma } else { 0.0 };
    Some(match room(s.sizes.capability, left, others, per_unit) {
        Some(vol_percent) if per_unit > 0.0 => LoadingRoom::UpTo { vol_percent, dimension },
        Some(_) => LoadingRoom::NoScatter,
        None => LoadingRoom::OthersTooMuch { dimension },
    })
}
