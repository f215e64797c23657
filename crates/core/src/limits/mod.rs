//! The limits that bound the window: signed, continuous margins of one evaluated set point.
//!
//! Each limit is one file with one `Definition`: how it is measured in SI, what happens beyond it and what helps. Its
//! name, label, place in the list and threshold are a line of the list in `gatefrost_scenario`, with what it rests on. A
//! margin g is positive inside, zero on the line and negative outside. It is ln(allowed/found), at most 5, for pressures,
//! stresses, rates, speeds, forces, viscosities, volumes, depths, times in the barrel, losses of binder, migration, the
//! rise of the water and the time of debinding; the distance in tens of kelvin for temperatures, in units of 5 MPa for residual pressure, in per
//! cent for what shrinks while soft, in vol% for the loading and in Cpk for sizes.

mod burning;
mod cold_front;
mod cooling_water;
mod debinding;
mod definition;
mod edge;
mod ejection;
mod flash;
mod gate_powder;
mod gate_wall;
mod hold_cover;
mod jetting;
mod loading;
mod margin;
mod melted;
mod migration;
mod rate;
mod residence;
mod residual;
mod separation;
mod short_shot;
mod shot;
mod sink;
mod size;
mod small_shot;
mod stiff_gate;
mod switch_over;
mod venting;
mod wall_stress;
mod weld;

pub use definition::UNBROKEN;
pub use gatefrost_scenario::{Ground, Limit};
pub use margin::Margin;
pub use size::size_margin;

use crate::scenario::Scenario;
use crate::sizes;
use crate::stages::{Point, Reached, Stage};
use definition::{Definition, Measure};

/// How many limits there are.
pub const COUNT: usize = Limit::COUNT;

/// The definition of a limit: a limit of the list without a file of its own does not compile.
fn definition(limit: Limit) -> &'static Definition {
    match limit {
        Limit::ShortShot => &short_shot::DEFINITION,
        Limit::SwitchOver => &switch_over::DEFINITION,
        Limit::Melted => &melted::DEFINITION,
        Limit::StiffGate => &stiff_gate::DEFINITION,
        Limit::Loading => &loading::DEFINITION,
        Limit::GatePowder => &gate_powder::DEFINITION,
        Limit::GateWall => &gate_wall::DEFINITION,
        Limit::Jetting => &jetting::DEFINITION,
        Limit::WallStress => &wall_stress::DEFINITION,
        Limit::Separation => &separation::DEFINITION,
        Limit::Migration => &migration::DEFINITION,
        Limit::Burning => &burning::DEFINITION,
        Limit::Residence => &residence::DEFINITION,
        Limit::Venting => &venting::DEFINITION,
        Limit::ColdFront => &cold_front::DEFINITION,
        Limit::Weld => &weld::DEFINITION,
        Limit::Flash => &flash::DEFINITION,
        Limit::Sink => &sink::DEFINITION,
        Limit::HoldCover => &hold_cover::DEFINITION,
        Limit::Residual => &residual::DEFINITION,
        Limit::Ejection => &ejection::DEFINITION,
        Limit::CoolingWater => &cooling_water::DEFINITION,
        Limit::Shot => &shot::DEFINITION,
        Limit::SmallShot => &small_shot::DEFINITION,
        Limit::Rate => &rate::DEFINITION,
        Limit::Size => &size::DEFINITION,
        Limit::Debinding => &debinding::DEFINITION,
    }
}

/// What is said of a limit that nothing its own setting may be would meet at a set point, and what helps then.
fn out_of_reach(limit: Limit) -> [&'static str; 2] {
    match limit {
        Limit::HoldCover => hold_cover::OUT_OF_REACH,
        _ => [definition(limit).found, definition(limit).remedy],
    }
}

/// Whether a limit is one of the machine itself: it applies to any number of cavities, even if the present ones do not
/// meet it.
pub fn is_of_machine(limit: Limit) -> bool {
    match limit {
        Limit::ShortShot | Limit::SwitchOver | Limit::Flash | Limit::Shot | Limit::Rate => true,
        Limit::Melted
        | Limit::StiffGate
        | Limit::Loading
        | Limit::GatePowder
        | Limit::GateWall
        | Limit::Jetting
        | Limit::WallStress
        | Limit::Separation
        | Limit::Migration
        | Limit::SmallShot
        | Limit::Burning
        | Limit::Residence
        | Limit::Venting
        | Limit::ColdFront
        | Limit::Weld
        | Limit::Sink
        | Limit::HoldCover
        | Limit::Residual
        | Limit::Ejection
        | Limit::CoolingWater
        | Limit::Size
        | Limit::Debinding => false,
    }
}

/// The last stage that a limit needs.
pub fn stage(limit: Limit) -> Stage {
    definition(limit).measure.stage()
}

/// What is said about a limit, without a scenario: for documents.
pub struct About {
    /// Unit of what is found and of what is allowed.
    pub unit: &'static str,
    /// What is measured, as the beginning of a sentence.
    pub found: &'static str,
    /// What happens beyond the limit, as a clause.
    pub beyond: &'static str,
    /// What helps.
    pub remedy: &'static str,
}

/// What is said about a limit.
pub fn about(limit: Limit) -> About {
    let Definition { unit, found, beyond, remedy, .. } = definition(limit);
    About { unit: unit.sign, found, beyond, remedy }
}

/// Margins g of every limit, in the order of [`Limit::ALL`]; all are numbers, after a short shot too.
pub fn margins(point: &Point<'_>) -> [f64; COUNT] {
    point.carried_on(margins_so_far)
}

/// Margins g as far as the stages have been run; NaN for limits that need a later one.
pub fn margins_so_far(reached: Reached<'_>) -> [f64; COUNT] {
    Limit::ALL.map(|limit| {
        let Definition { unit, measure, .. } = definition(limit);
        measure.of(reached).map_or(f64::NAN, |m: Measure| m.margin(unit))
    })
}

/// Every limit that the scenario could break, with its sentence. After a short shot, limits that only a full path has
/// are left out.
pub fn explain(point: &Point<'_>) -> Vec<Margin> {
    explained(point.reached(), |m, _| !m.absent)
}

/// The same of a scenario, with its toleranced sizes: their scatter takes further evaluations.
pub fn explain_sized(scenario: &Scenario, point: &Point<'_>) -> Vec<Margin> {
    let sized = point.case.with_sizes(sizes::here(scenario, point));
    explained(Reached { case: &sized, ..point.reached() }, |m, _| !m.absent)
}

/// Every limit that the scenario could break, those of a full path after a short shot too: the margins of [`margins`],
/// with what is found and allowed. For comparing places of a plane, some of which end in a short shot.
pub fn explain_all(point: &Point<'_>) -> Vec<Margin> {
    point.carried_on(|reached| explained(reached, |m, g| !m.absent || g < 0.0))
}

fn explained(reached: Reached<'_>, told: fn(&Measure, f64) -> bool) -> Vec<Margin> {
    let explained = |limit: Limit| {
        let definition = definition(limit);
        let measure = definition.measure.of(reached).filter(|m| told(m, m.margin(&definition.unit)))?;
        Some(Margin::of(limit, definition, measure, reached.case.ignored.contains(&limit)))
    };
    Limit::ALL.into_iter().filter_map(explained).collect()
}
