//! Debinding of the governing wall by hand: walls, times of the steps, and what they take out.

use super::{Hand, one};
use crate::Facts;
use gatefrost_after::debinding::kinetics::GAS;
use gatefrost_after::plan::{Plan, StepPlan, Wall};
use gatefrost_core::scenario::{Bath, Catalytic, DebindingStep, Thermal};
use gatefrost_formula::{Expr, Line, constant, number, pi, sum, symbol, unit};

/// Why there is no wall.
pub(super) const NO_WALL: &str = "No passage has the role of a part, so there is no wall to debind.";

/// Why there is no time by hand.
const TAKEN: &str = "The step finds nothing that it can take out.";

/// Why there is no time by hand after a furnace.
const AFTER_HEAT: &str = "An earlier furnace step has taken out some of it, so there is no estimate by hand.";

pub(super) fn plan<'a>(f: &Facts<'a>) -> Result<&'a Plan, &'static str> {
    f.results().plan().ok_or(NO_WALL)
}

/// The governing wall.
pub(super) fn governing<'a>(f: &Facts<'a>) -> Result<&'a Wall, &'static str> {
    plan(f)?.walls.first().ok_or(NO_WALL)
}

/// A step of the scenario, and what the plan makes of it.
pub(super) fn step<'a>(f: &Facts<'a>, row: usize) -> Result<(&'a DebindingStep, &'a StepPlan), &'static str> {
    let told = plan(f)?.steps.get(row);
    told.and_then(|told| Some((f.scenario.debinding.steps.get(row)?, told))).ok_or(NO_WALL)
}

/// The distance that the binder has to go in a wall.
pub(super) fn way_out(wall: &Wall) -> Expr {
    let words = if wall.rod { "radius of the governing rod" } else { "way out of the governing wall" };
    symbol("a", words, unit::MM, wall.depth_mm)
}

pub(super) fn gas_constant() -> Expr {
    symbol("R", "gas constant", unit::J_MOLK, GAS)
}

/// Greatest distance that the binder has to go in a wall.
pub fn depth(f: &Facts<'_>, row: usize) -> Hand {
    let wall = plan(f)?.walls.get(row).ok_or(NO_WALL)?;
    let half = wall.rod || wall.both_faces == Some(true);
    let words =
        if wall.rod { "diameter of the rod in the cavity" } else { "greatest thickness in the cavity" };
    let thickness = symbol("h", words, unit::MM, wall.thickness_mm);
    let depth = if half { thickness / 2.0 } else { thickness };
    one(Line::new("a", "way out of the wall", unit::MM, depth))
}

/// Time of a step.
pub fn step_time(f: &Facts<'_>, row: usize) -> Hand {
    let (by, told) = step(f, row)?;
    let wall = governing(f)?;
    if told.hours.is_some_and(|hours| hours.value <= 0.0) {
        return Err(TAKEN);
    }
    let heated =
        || f.scenario.debinding.steps.iter().take(row).any(|s| matches!(s, DebindingStep::Thermal(_)));
    match by {
        DebindingStep::Thermal(furnace) => by_heat(furnace),
        _ if heated() => Err(AFTER_HEAT),
        DebindingStep::Bath(bath) => by_bath(f, bath, row, wall),
        DebindingStep::Catalytic(oven) => by_vapour(oven, wall),
    }
}

/// The diffusivity at the bath's temperature.
fn diffusivity(bath: &Bath) -> Line {
    let known = symbol(
        "D_r",
        "diffusivity at the reference temperature; 1e-6 cm²/s is 100 µm²/s",
        unit::UM2_S,
        100.0 * bath.diffusivity,
    );
    let energy = symbol("E", "activation energy of the diffusivity", unit::KJ_MOL, bath.energy);
    let t = symbol("T", "temperature of the bath", unit::CELSIUS, bath.temperature);
    let reference = symbol("T_r", "reference temperature", unit::CELSIUS, bath.reference);
    let d = known * (-(energy / gas_constant() * (number(1.0) / t - number(1.0) / reference))).exp();
    Line::new("D", "diffusivity at the bath’s temperature", unit::UM2_S, d)
}

/// First zero of the Bessel function J₀.
const FIRST_ZERO: f64 = 2.404_825_557_695_773;

/// Share left above which the solution for short times is the better estimate.
const SHORT_ABOVE: f64 = 0.6;

/// D t/a² at which a share is left: by the first term of the series, or by the solution for short times.
fn fourier(rod: bool, left: &Expr) -> Expr {
    let zero = || constant("β_1", FIRST_ZERO);
    match (left.value() > SHORT_ABOVE, rod) {
        (true, false) => pi() / 4.0 * (1.0 - left.clone()).squared(),
        (true, true) => pi() / 16.0 * (1.0 - left.clone()).squared(),
        (false, false) => 4.0 / pi().squared() * (number(8.0) / (pi().squared() * left.clone())).ln(),
        (false, true) => {
            number(1.0) / zero().squared() * (number(4.0) / (zero().squared() * left.clone())).ln()
        }
    }
}

fn by_bath(f: &Facts<'_>, bath: &Bath, row: usize, wall: &Wall) -> Hand {
    let earlier = f.scenario.debinding.steps.iter().take(row).filter_map(|step| match step {
        DebindingStep::Bath(other) if other.water == bath.water => Some(other.left),
        _ => None,
    });
    let before = earlier.fold(100.0, f64::min);
    let mut lines = vec![diffusivity(bath)];
    let left = symbol("F", "share of the soluble binder that may be left", unit::PERCENT, bath.left);
    lines.push(Line::new("x", "time over a²/D", unit::PURE, fourier(wall.rod, &left)));
    let mut way = lines[1].symbol();
    if before < 100.0 {
        let left = symbol("F_0", "share that an earlier bath has left", unit::PERCENT, before);
        lines.push(Line::new(
            "x_0",
            "time of the earlier bath over a²/D",
            unit::PURE,
            fourier(wall.rod, &left),
        ));
        way = way - lines[2].symbol();
    }
    let time = way * way_out(wall).squared() / lines[0].symbol();
    lines.push(Line::new("t", "time of the step", unit::HOUR, time));
    Ok(lines)
}

fn by_vapour(oven: &Catalytic, wall: &Wall) -> Hand {
    let speed = symbol("v", "speed of the front", unit::MM_H, oven.speed);
    one(Line::new("t", "time of the step", unit::HOUR, way_out(wall) / speed))
}

fn by_heat(furnace: &Thermal) -> Hand {
    let end = symbol("T_d", "temperature at the end", unit::CELSIUS, furnace.end_temperature);
    let begin = symbol("T_0", "temperature at the beginning", unit::CELSIUS, 23.0);
    let ramp = symbol("β", "greatest ramp", unit::K_MIN, furnace.ramp);
    one(Line::new("t", "time of the ramp alone", unit::HOUR, (end - begin) / ramp))
}

/// Time of all steps.
pub fn all_steps(f: &Facts<'_>, _row: usize) -> Hand {
    let steps = plan(f)?.steps.iter().enumerate().map(|(i, step)| {
        let hours = step.hours.ok_or("A step does not come to its end.")?;
        Ok(symbol(
            format!("t_{}", i + 1),
            format!("time of step {}, {}", i + 1, step.name),
            unit::HOUR,
            hours.value,
        ))
    });
    let steps: Vec<Expr> = steps.collect::<Result<_, &str>>()?;
    let all = sum(steps).ok_or("There is no step.")?;
    one(Line::new("t_D", "time of all steps", unit::HOUR, all))
}

/// What was left of the binder before a step.
fn before(f: &Facts<'_>, row: usize) -> Result<f64, &'static str> {
    let earlier = row.checked_sub(1).map(|i| step(f, i)).transpose()?;
    Ok(earlier.map_or(100.0, |(_, told)| told.binder_left_percent))
}

fn left(told: &StepPlan) -> Expr {
    symbol("B_1", "binder that is left after the step", unit::PERCENT, told.binder_left_percent)
}

/// Mass that a step takes out, of the green mass.
pub fn mass_loss(f: &Facts<'_>, row: usize) -> Hand {
    let (_, told) = step(f, row)?;
    let binder = symbol("ρ_b", "density of the binder", unit::KG_M3, f.scenario.feedstock.binder_density);
    let share = (1.0 - f.loading()) * binder / f.density();
    let share = Line::new("ω_b", "share of the binder in the mass", unit::PERCENT, share);
    let begin = symbol("B_0", "binder that is left before the step", unit::PERCENT, before(f, row)?);
    let lost = share.symbol() * (begin - left(told));
    Ok(vec![share, Line::new("Δ", "mass lost, of the green mass", unit::PERCENT, lost)])
}

/// Binder that is left after a step.
pub fn binder_left(f: &Facts<'_>, row: usize) -> Hand {
    let (by, told) = step(f, row)?;
    let parts = &f.scenario.debinding.parts;
    let leaves = match by {
        DebindingStep::Thermal(_) => {
            let schedule = told.schedule.as_ref().ok_or(NO_WALL)?;
            let each =
                schedule.parts.iter().zip(&schedule.left_percent).enumerate().map(|(i, (name, left))| {
                    let left = left.last().copied().unwrap_or(0.0);
                    symbol(
                        format!("B_{}", i + 1),
                        format!("of it, {name}, at the end of the schedule"),
                        unit::PERCENT,
                        left,
                    )
                });
            let all = sum(each).ok_or("The binder has no parts.")?;
            return one(Line::new("B", "binder that is left", unit::PERCENT, all));
        }
        DebindingStep::Bath(bath) => gatefrost_after::plan::dissolved_in(bath),
        DebindingStep::Catalytic(_) => gatefrost_core::scenario::Leaves::Catalyst,
    };
    let stays = match by {
        DebindingStep::Bath(bath) => bath.left,
        _ => 0.0,
    };
    let each = parts.iter().enumerate().map(|(i, part)| {
        let share = symbol(
            format!("x_{}", i + 1),
            format!("share of {} in the binder", part.name),
            unit::PERCENT,
            part.share,
        );
        if part.leaves == leaves {
            share * symbol("F", "share of what dissolves that is left", unit::PERCENT, stays)
        } else {
            share
        }
    });
    if row > 0 {
        return Err("An earlier step has taken out some of the binder.");
    }
    let all = sum(each).ok_or("The binder has no parts.")?;
    one(Line::new("B", "binder that is left", unit::PERCENT, all))
}

/// Open pores after a step, as if all parts of the binder had one density.
pub fn pores(f: &Facts<'_>, row: usize) -> Hand {
    let (_, told) = step(f, row)?;
    let open = symbol("ε_0", "pores before debinding", unit::VOLUME_PERCENT, f.scenario.debinding.open_pores);
    let pores = open.clone() + (1.0 - f.loading() - open) * (1.0 - left(told));
    one(Line::new("ε", "open pores", unit::VOLUME_PERCENT, pores))
}
