//! Sizes, their scatter and the weights by hand.

use super::volume::{kept, oversize_line, sintered, third};
use super::{Hand, one, part_mass};
use crate::Facts;
use gatefrost_after::dimensions::capability::MOST;
use gatefrost_after::plan::{DimensionPlan, LOADING, LoadingRoom, SizePlan, Weights, lie};
use gatefrost_core::scenario::Dimension;
use gatefrost_formula::{Expr, Line, greater, least, sum, symbol, unit};

/// Why there are no sizes.
const NO_SIZE: &str = "No part of a known size comes out of the mould.";

fn sizes<'a>(f: &Facts<'a>) -> Result<&'a SizePlan, &'static str> {
    f.results().plan().and_then(|plan| plan.sizes.as_ref()).ok_or(NO_SIZE)
}

/// A named dimension, and what the plan makes of it.
fn dimension<'a>(f: &Facts<'a>, row: usize) -> Result<(&'a Dimension, &'a DimensionPlan), &'static str> {
    let told = sizes(f)?.dimensions.get(row);
    told.and_then(|told| Some((f.scenario.sizes.dimensions.get(row)?, told))).ok_or(NO_SIZE)
}

/// f_a^(α − 1/3).
fn in_mould(f: &Facts<'_>, d: &Dimension) -> Expr {
    let along = symbol("f_a", "factor along the flow", unit::PURE, f.scenario.sizes.along_factor);
    let lies = symbol("α", "1 along the flow, 0 across it", unit::PURE, f64::from(lie(d).along));
    along.to(lies - third())
}

/// f_a^(α − 1/3) f_v^(υ − 1/3).
fn turned(f: &Facts<'_>, d: &Dimension) -> Expr {
    let upright =
        symbol("f_v", "factor of an upright dimension", unit::PURE, f.scenario.sizes.vertical_factor);
    let stands = symbol("υ", "1 upright in the furnace, 0 lying", unit::PURE, f64::from(lie(d).vertical));
    in_mould(f, d) * upright.to(stands - third())
}

fn nominal(d: &Dimension) -> Expr {
    symbol("L", "nominal size of the sintered part", unit::MM, d.size)
}

fn cut(told: &DimensionPlan) -> Expr {
    length("L_c", "size of the cavity", told.cavity_mm)
}

fn mean(told: &DimensionPlan) -> Expr {
    length("L_m", "mean size of the sintered part", told.mean_mm)
}

/// A length to the digits that a toolmaker reads.
fn length(letter: &'static str, words: &'static str, mm: f64) -> Expr {
    match symbol(letter, words, unit::MM, mm) {
        Expr::Symbol(mut length) => {
            length.digits = 6;
            Expr::Symbol(length)
        }
        other => other,
    }
}

/// Size of the cavity: the one that is typed, or the one to cut.
pub fn cavity_size(f: &Facts<'_>, row: usize) -> Hand {
    let (d, _) = dimension(f, row)?;
    let line = |size| Line::new("L_c", "size of the cavity", unit::MM, size).digits(6);
    match d.cavity {
        Some(typed) => one(line(symbol("L_t", "size that is cut, as typed", unit::MM, typed))),
        None => {
            let factor = oversize_line(f)?;
            let size = nominal(d) * factor.symbol() * turned(f, d);
            Ok(vec![factor, line(size)])
        }
    }
}

/// Size of the cold green part.
pub fn green_size(f: &Facts<'_>, row: usize) -> Hand {
    let (d, told) = dimension(f, row)?;
    let filled = f.filled_of_sizes().ok_or(NO_SIZE)?;
    let size = cut(told) * filled.to(third()) / in_mould(f, d);
    one(Line::new("L_g", "size of the cold green part", unit::MM, size).digits(6))
}

/// Mean size of the sintered part.
pub fn mean_size(f: &Facts<'_>, row: usize) -> Hand {
    let (d, told) = dimension(f, row)?;
    let factor = oversize_line(f)?;
    let size = cut(told) / (factor.symbol() * turned(f, d));
    Ok(vec![factor, Line::new("L_m", "mean size of the sintered part", unit::MM, size).digits(6)])
}

/// By how much to open a cavity that is cut.
pub fn open_by(f: &Facts<'_>, row: usize) -> Hand {
    let (d, told) = dimension(f, row)?;
    let factor = oversize_line(f)?;
    let more = nominal(d) * factor.symbol() * turned(f, d) - cut(told);
    Ok(vec![factor, Line::new("ΔL_c", "by how much to open the cavity", unit::MM, more)])
}

/// Standard deviation of a size.
pub fn size_scatter(f: &Facts<'_>, row: usize) -> Hand {
    let (_, told) = dimension(f, row)?;
    let share = symbol("s", "scatter of a length", unit::PERCENT, sizes(f)?.scatter_percent);
    one(Line::new("σ_L", "standard deviation of the sintered size", unit::MM, share * mean(told)))
}

fn tolerance(d: &Dimension) -> Expr {
    symbol("t", "tolerance to either side", unit::MM, d.tolerance)
}

fn deviation(told: &DimensionPlan) -> Result<Expr, &'static str> {
    if told.scatter_mm <= 0.0 {
        return Err("Nothing scatters, so the capability has no end.");
    }
    Ok(symbol("σ_L", "standard deviation of the sintered size", unit::MM, told.scatter_mm))
}

/// A capability, no larger than the greatest that is told.
fn capability(letter: &'static str, words: &'static str, room: Expr, deviation: Expr) -> Hand {
    let value = room / (3.0 * deviation);
    let most = || symbol("C_max", "greatest capability that is told", unit::PURE, MOST);
    let told = match value.value() {
        above if above > MOST => least(value, most()),
        below if below < -MOST => greater(value, -most()),
        _ => value,
    };
    one(Line::new(letter, words, unit::PURE, told))
}

/// Cp.
pub fn cp(f: &Facts<'_>, row: usize) -> Hand {
    let (d, told) = dimension(f, row)?;
    capability("C_p", "capability of the scatter", tolerance(d), deviation(told)?)
}

/// Cpk.
pub fn cpk(f: &Facts<'_>, row: usize) -> Hand {
    let (d, told) = dimension(f, row)?;
    let off = greater(mean(told) - nominal(d), nominal(d) - mean(told));
    capability("C_pk", "capability with the mean where it is", tolerance(d) - off, deviation(told)?)
}

/// Scatter of a length by all causes.
pub fn scatter(f: &Facts<'_>, _row: usize) -> Hand {
    sizes(f)?;
    let mould = f.planned.and_then(|planned| planned.mould.as_ref()).ok_or(NO_SIZE)?;
    let mut lines = Vec::new();
    let causes = mould.scatter.iter().enumerate().map(|(i, by)| {
        let words = format!("change of the powder in a part by one standard deviation of {}", by.cause);
        symbol(format!("δ_{}", i + 1), words, unit::PERCENT, 100.0 * by.relative).squared()
    });
    if let Some(squares) = sum(causes) {
        lines.push(Line::new("s_m", "scatter by mould and mixing", unit::PERCENT, squares.sqrt() / 3.0));
    }
    let density =
        symbol("σ_ρ", "scatter of the sintered density", unit::PERCENT, f.scenario.sizes.density_scatter);
    lines.push(Line::new(
        "s_ρ",
        "scatter by the sintered density",
        unit::PERCENT,
        density / (3.0 * sintered(f)),
    ));
    let other = symbol("s_o", "other scatter of a length", unit::PERCENT, f.scenario.sizes.measuring_scatter);
    let all = lines.iter().map(|line| line.symbol().squared()).chain([other.squared()]);
    let all = sum(all).ok_or(NO_SIZE)?.sqrt();
    lines.push(Line::new("s", "scatter of a length", unit::PERCENT, all));
    Ok(lines)
}

/// Difference of a length inside one part.
pub fn spread_inside(f: &Facts<'_>, _row: usize) -> Hand {
    let hold = f.report.hold.as_ref().ok_or(NO_SIZE)?;
    let [least, greatest] = hold.shrinkage_spread_percent;
    let least = symbol("S_1", "least shrinkage by volume inside the parts", unit::PERCENT, least);
    let greatest = symbol("S_2", "greatest shrinkage by volume inside the parts", unit::PERCENT, greatest);
    one(Line::new("s_i", "difference of a length inside a part", unit::PERCENT, (greatest - least) / 3.0))
}

fn green(f: &Facts<'_>) -> Result<Expr, &'static str> {
    Ok(symbol("m", "mass of the green parts", unit::GRAM, sizes(f)?.weights.green_g))
}

/// Mass of the green parts of a shot.
pub fn green_weight(f: &Facts<'_>, row: usize) -> Hand {
    sizes(f)?;
    part_mass(f, row)
}

/// Mass of the brown parts of a shot.
pub fn brown_weight(f: &Facts<'_>, _row: usize) -> Hand {
    let green = green(f)?;
    let steps = &f.results().plan().ok_or(NO_SIZE)?.steps;
    let lost = steps.iter().enumerate().map(|(i, step)| {
        let words = format!("mass lost in step {}, of the green mass", i + 1);
        symbol(format!("Δ_{}", i + 1), words, unit::PERCENT, step.mass_loss_percent)
    });
    let left = match sum(lost) {
        Some(lost) => green * (1.0 - lost),
        None => green,
    };
    one(Line::new("m_b", "mass of the brown parts", unit::GRAM, left))
}

/// Mass of the sintered parts of a shot.
pub fn sintered_weight(f: &Facts<'_>, _row: usize) -> Hand {
    let powder = symbol("ρ_p", "density of the powder", unit::KG_M3, f.scenario.feedstock.powder_density);
    let share = f.loading() * powder / f.density();
    let share = Line::new("ω", "share of the powder in the mass", unit::PERCENT, share);
    let mass = green(f)? * share.symbol() * kept(f);
    Ok(vec![share, Line::new("m_s", "mass of the sintered parts", unit::GRAM, mass)])
}

/// A weight of the parts of a shot, over their number.
fn of_one(f: &Facts<'_>, words: &'static str, all: fn(&Weights) -> f64) -> Hand {
    let sizes = sizes(f)?;
    let all = symbol("m", "mass of the parts of a shot", unit::GRAM, all(&sizes.weights));
    let parts = symbol("N", "parts of a shot", unit::PURE, sizes.parts);
    one(Line::new("m_1", words, unit::GRAM, all / parts))
}

/// Mass of one green part.
pub fn green_part(f: &Facts<'_>, _row: usize) -> Hand {
    of_one(f, "mass of one green part", |weights| weights.green_g)
}

/// Mass of one brown part.
pub fn brown_part(f: &Facts<'_>, _row: usize) -> Hand {
    of_one(f, "mass of one brown part", |weights| weights.brown_g)
}

/// Mass of one sintered part.
pub fn sintered_part(f: &Facts<'_>, _row: usize) -> Hand {
    of_one(f, "mass of one sintered part", |weights| weights.sintered_g)
}

/// Greatest scatter of the loading that the dimension bears which bears least.
pub fn loading_room(f: &Facts<'_>, _row: usize) -> Hand {
    let sizes = sizes(f)?;
    let name = match sizes.loading_room.as_ref().ok_or("No dimension is named.")? {
        LoadingRoom::UpTo { dimension, .. } => dimension,
        LoadingRoom::OthersTooMuch { .. } => return Err("The other causes alone scatter too much."),
        LoadingRoom::MeanOutside { .. } => return Err("The mean lies outside the tolerance."),
        LoadingRoom::NoScatter => return Err("The loading is set to scatter by nothing."),
    };
    let row = sizes.dimensions.iter().position(|d| d.name == *name).ok_or(NO_SIZE)?;
    let (d, told) = dimension(f, row)?;
    let by_loading = sizes.budget.iter().find(|share| share.cause == LOADING).ok_or(NO_SIZE)?.percent;
    let off = greater(mean(told) - nominal(d), nominal(d) - mean(told));
    let left = (tolerance(d) - off) / mean(told);
    let words = format!("what the mean of {name} leaves of its tolerance, over its size");
    let left = Line::new("t_r", words, unit::PERCENT, left);
    let all = symbol("s", "scatter of a length", unit::PERCENT, sizes.scatter_percent);
    let part = symbol("s_φ", "scatter of a length by that of the loading", unit::PERCENT, by_loading);
    let others = (all.squared() - part.clone().squared()).sqrt();
    let others = Line::new("s_x", "scatter of a length by all other causes", unit::PERCENT, others);
    let wanted = symbol("C_w", "Cpk that is wanted", unit::PURE, f.scenario.sizes.capability);
    let sigma =
        symbol("σ_φ", "scatter of the loading", unit::VOLUME_PERCENT, f.scenario.scatter.solids_loading);
    let room = (left.symbol() / (3.0 * wanted)).squared() - others.symbol().squared();
    let most = room.sqrt() * sigma / part;
    let most = Line::new("σ_max", "greatest scatter of the loading", unit::VOLUME_PERCENT, most);
    Ok(vec![left, others, most])
}
