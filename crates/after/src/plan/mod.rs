//! What follows the mould, for one scenario, in the units of the trade: debinding, sintering, sizes.
//!
//! The input is a validated scenario, and what the mould hands on where a part comes out of it. It is an outline to plan
//! trials by, no furnace recipe.

mod binder;
mod by_temperature;
mod furnace_run;
mod hardest;
mod parts;
mod remarks;
mod schedule_band;
mod size_table;
mod sizes_cut;
mod steps;
mod walls;
mod way;

pub use by_temperature::TemperaturePlan;
pub use furnace_run::{Deviation, START, SinterPlan, curve, density, schedule};
pub use hardest::{Hardest, PartThere, hardest};
pub use parts::parts_of_a_shot;
pub use size_table::{
    BudgetShare, DimensionPlan, FromMould, LOADING, LoadingRoom, PowderScatter, SizePlan, Weights,
    directions, lie,
};
pub use sizes_cut::{CutSizes, SizesThere};
pub use steps::{SchedulePlan, StepPlan, diffusivity, dissolved_in};
pub use walls::Wall;

use crate::debinding::thermal::STEP;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::{Bath, Scenario};
use schedule_band::COARSE;
use serde::Serialize;
use way::Way;

/// Standard deviations in half of a 95 % interval.
const BAND: f64 = 1.96;

/// A number with its 95 % band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Banded {
    /// The number.
    pub value: f64,
    /// Lower end of the band.
    pub low: f64,
    /// Upper end of the band.
    pub high: f64,
}

impl Banded {
    /// A number whose logarithm has a band of ± `half_width`.
    fn of_logarithm(value: f64, half_width: f64) -> Self {
        let factor = half_width.min(40.0).exponential();
        Self { value, low: value / factor, high: value * factor }
    }
}

/// A place on a curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CurvePoint {
    /// Along the axis.
    pub x: f64,
    /// The value there.
    pub y: f64,
}

/// A place on a curve, with the 95 % band of its value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BandPoint {
    /// Along the axis.
    pub x: f64,
    /// The value there.
    pub y: f64,
    /// Lower end of the band.
    pub low: f64,
    /// Upper end of the band.
    pub high: f64,
}

impl BandPoint {
    /// A value among others that it might be.
    fn among(x: f64, y: f64, others: &[f64]) -> Self {
        let low = others.iter().copied().fold(y, f64::min);
        let high = others.iter().copied().fold(y, f64::max);
        Self { x, y, low, high }
    }
}

/// Mass lost against time, for one wall.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LossCurve {
    /// Distance that the binder has to go.
    pub depth_mm: f64,
    /// Time in h, mass lost in per cent of the green mass.
    pub points: Vec<BandPoint>,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Plan {
    /// The walls of the parts, the one that governs debinding first.
    pub walls: Vec<Wall>,
    /// The steps of debinding for the governing wall.
    pub steps: Vec<StepPlan>,
    /// All steps together. `None` where one does not come to its end.
    pub debinding_hours: Option<Banded>,
    /// Time of all steps, h, against the thickness of the wall, mm, reached as the governing one is. Empty in a draft.
    pub hours_by_wall: Vec<BandPoint>,
    /// Whether the bands of debinding are left out: then the ends of each are the number itself.
    pub draft: bool,
    /// Share of the binder that is left after all steps.
    pub binder_left_percent: f64,
    /// Relative density of the sintered part: by the fitted curve after the run that is set, otherwise as it is set.
    pub sintered_density_percent: f64,
    /// The furnace run; `None` without a run, or where the set density cannot be reached.
    pub sintering: Option<SinterPlan>,
    /// Density and length against the temperature of the last hold; `None` as the furnace run.
    pub by_temperature: Option<TemperaturePlan>,
    /// The sizes; `None` where the mould hands on no part whose size is known.
    pub sizes: Option<SizePlan>,
    /// Remarks on the validity of the results, in sentences.
    pub remarks: Vec<String>,
}

/// Factors on the governing wall at which the time of debinding is told.
const FACTORS: [f64; 9] = [0.25, 0.4, 0.55, 0.7, 0.85, 1.0, 1.3, 1.6, 2.0];

/// The plan of a validated scenario. `mould` is what the mould hands on; without it there are no sizes.
pub fn plan(s: &Scenario, mould: Option<&FromMould>) -> Plan {
    planned(s, mould, false)
}

/// The same without the bands of debinding and without other walls, which take most of the time: for a page, while numbers
/// are being typed.
pub fn draft(s: &Scenario, mould: Option<&FromMould>) -> Plan {
    planned(s, mould, true)
}

fn planned(s: &Scenario, mould: Option<&FromMould>, draft: bool) -> Plan {
    let walls = walls_of(s);
    let green_density = mould.map_or_else(|| mixture_density(s), |mould| mould.density_kg_m3);
    let way = walls.first().map(way_of);
    let (steps, binder) = match way {
        Some(way) => steps::steps(s, way, green_density, !draft),
        None => (Vec::new(), binder::Binder::of(s)),
    };
    let all = binder::Binder::of(s).mass();
    let brown = 1.0 - steps.iter().map(|step| step.mass_loss_percent).sum::<f64>() / 100.0;
    let all_steps = together(steps.iter().map(|step| step.hours));
    let mut plan = Plan {
        debinding_hours: all_steps,
        draft,
        hours_by_wall: way
            .filter(|_| !draft)
            .map_or_else(Vec::new, |way| hours_by_wall(s, way, walls[0].thickness_mm, all_steps)),
        binder_left_percent: if all > 0.0 { 100.0 * binder.mass() / all } else { 0.0 },
        sintered_density_percent: 100.0 * density(s),
        sintering: furnace_run::plan(s),
        by_temperature: by_temperature::plan(s),
        sizes: mould.and_then(|mould| size_table::plan(s, mould, brown)),
        walls,
        steps,
        remarks: Vec::new(),
    };
    plan.remarks = remarks::remarks(s, &plan, mould);
    plan
}

/// Time of all steps for the governing wall of a scenario, h. `None` without a wall, or where a step does not come to its
/// end. The limit of the window uses it.
pub fn debinding_hours(s: &Scenario) -> Option<f64> {
    steps::hours(s, way_of(walls_of(s).first()?), COARSE)
}

fn way_of(wall: &Wall) -> Way {
    Way { rod: wall.rod, depth_mm: wall.depth_mm }
}

/// The walls of a scenario's parts, the one that takes longest first.
fn walls_of(s: &Scenario) -> Vec<Wall> {
    walls::walls(&s.cavity, |wall| steps::hours(s, way_of(wall), COARSE))
}

/// What a bath can take out, in per cent of the green part's mass.
pub fn soluble_percent(s: &Scenario, bath: &Bath) -> f64 {
    100.0 * binder::Binder::of(s).mass_by(dissolved_in(bath)) / mixture_density(s)
}

/// Density of the mixture, φ ρ_p + (1 − φ) ρ_b, kg/m³.
fn mixture_density(s: &Scenario) -> f64 {
    let phi = s.feedstock.solids_loading / 100.0;
    phi * s.feedstock.powder_density + (1.0 - phi) * s.feedstock.binder_density
}

/// All steps together. Their bands are independent: the variances of the times add up.
fn together(steps: impl Iterator<Item = Option<Banded>>) -> Option<Banded> {
    let hours: Vec<Banded> = steps.collect::<Option<_>>()?;
    // From 0.0, because an empty sum is −0.
    let value = hours.iter().map(|h| h.value).fold(0.0, |sum, h| sum + h);
    let side = |of: &dyn Fn(&Banded) -> f64| hours.iter().map(of).fold(0.0, Elementary::hypotenuse);
    Some(Banded { value, low: value - side(&|h| h.value - h.low), high: value + side(&|h| h.high - h.value) })
}

/// Factors on the governing wall at which a band is computed; `1.0` is the plan itself. Between them its relative width is
/// straight over the logarithm of the wall.
const BANDED: [f64; 3] = [0.25, 1.0, 2.0];

fn hours_by_wall(s: &Scenario, way: Way, thickness_mm: f64, own: Option<Banded>) -> Vec<BandPoint> {
    let there = |factor: f64| Way { depth_mm: way.depth_mm * factor, ..way };
    let widths = |factor: f64| -> Option<[f64; 3]> {
        let computed = || together(steps::banded_hours(s, there(factor)).into_iter());
        let Banded { value, low, high } = if factor == 1.0 { own } else { computed() }?;
        let width = |of: f64| if of > 0.0 { of.logarithm() } else { 0.0 };
        Some([factor.logarithm(), width(value / low), width(high / value)])
    };
    let known: Vec<[f64; 3]> = BANDED.into_iter().filter_map(widths).collect();
    let at = |&factor: &f64| {
        let y = match own {
            Some(own) if factor == 1.0 => own.value,
            _ => steps::hours(s, there(factor), STEP)?,
        };
        let [below, above] = between(&known, factor.logarithm());
        Some(BandPoint {
            x: thickness_mm * factor,
            y,
            low: y * (-below).exponential(),
            high: y * above.exponential(),
        })
    };
    FACTORS.iter().filter_map(at).collect()
}

/// The two numbers that stand beside `x` in a list that rises with it, straight between its rows and constant beyond them.
fn between(rows: &[[f64; 3]], x: f64) -> [f64; 2] {
    let after = rows.partition_point(|row| row[0] <= x);
    match (after.checked_sub(1).and_then(|before| rows.get(before)), rows.get(after)) {
        (Some(a), Some(b)) => {
            let share = (x - a[0]) / (b[0] - a[0]);
            [1, 2].map(|i| a[i] + share * (b[i] - a[i]))
        }
        (Some(row), None) | (None, Some(row)) => [row[1], row[2]],
        (None, None) => [0.0; 2],
    }
}

#[cfg(test)]
mod steps_tests;
#[cfg(test)]
mod tests;
