//! The sintered density by hand: the master curve after the hottest hold alone.

use super::debinding::gas_constant;
use super::volume::sintered;
use super::{Hand, one};
use crate::Facts;
use gatefrost_after::plan::curve;
use gatefrost_after::sintering::MasterCurve;
use gatefrost_core::scenario::FurnaceStretch;
use gatefrost_formula::{Expr, Line, number, symbol, unit};

/// Why there is no curve.
const NO_CURVE: &str = "No sintering curve passes through this density, or no furnace run is set.";

/// Why there is no estimate.
const NOT_HELD: &str = "The furnace is not held at its hottest temperature, so there is no estimate by hand.";

fn known(f: &Facts<'_>) -> Result<MasterCurve, &'static str> {
    curve(f.scenario).ok_or(NO_CURVE)
}

fn hottest<'a>(f: &Facts<'a>) -> Result<&'a FurnaceStretch, &'static str> {
    let run = &f.scenario.sintering.stretches;
    run.iter().max_by(|a, b| a.temperature.total_cmp(&b.temperature)).ok_or(NO_CURVE)
}

fn energy(f: &Facts<'_>) -> Expr {
    symbol("Q", "activation energy of sintering", unit::KJ_MOL, f.scenario.sintering.energy)
}

fn heat(stretch: &FurnaceStretch) -> Expr {
    symbol("T", "hottest temperature of the run", unit::CELSIUS, stretch.temperature)
}

fn debound(curve: &MasterCurve) -> Expr {
    symbol("ρ_0", "relative density of the debound part", unit::PERCENT, 100.0 * curve.green)
}

fn full(curve: &MasterCurve) -> Expr {
    symbol("ρ_∞", "density after a long time", unit::PERCENT, 100.0 * curve.full)
}

fn width(curve: &MasterCurve) -> Expr {
    symbol("w_Θ", "width of the rise of density", unit::PURE, curve.width)
}

/// Density after the hottest hold alone.
pub fn sintered_density(f: &Facts<'_>, _row: usize) -> Hand {
    let curve = known(f)?;
    let stretch = hottest(f)?;
    if stretch.hold <= 0.0 {
        return Err(NOT_HELD);
    }
    let hold = symbol("t", "time at the hottest temperature", unit::SECOND, stretch.hold * 60.0);
    let one_unit = symbol("Θ_1", "unit of the work", unit::S_K, 1.0);
    let work = (hold / (heat(stretch) * one_unit)).ln() - energy(f) / (gas_constant() * heat(stretch));
    let work = Line::new("λ", "logarithm of the work, ln Θ", unit::PURE, work);
    let half = symbol("λ_h", "ln Θ at half of the rise", unit::PURE, curve.log_half);
    let rise = 1.0 + (-((work.symbol() - half) / width(&curve))).exp();
    let density = debound(&curve) + (full(&curve) - debound(&curve)) / rise;
    Ok(vec![work, Line::new("ρ", "relative density of the sintered part", unit::PERCENT, density)])
}

/// Change of the density by a deviation of the run, to first order: the slope of the curve times the change of ln Θ.
pub fn density_change(f: &Facts<'_>, row: usize) -> Hand {
    let curve = known(f)?;
    let work = Line::new("δ", "change of ln Θ", unit::PURE, work_change(f, row)?);
    let slope = (sintered(f) - debound(&curve)) * (full(&curve) - sintered(f))
        / ((full(&curve) - debound(&curve)) * width(&curve));
    let change = slope * work.symbol();
    Ok(vec![work, Line::new("Δρ", "change of the density", unit::PERCENT, change)])
}

/// Change of ln Θ by a deviation, as if the hottest hold were the whole run.
fn work_change(f: &Facts<'_>, row: usize) -> Result<Expr, &'static str> {
    let stretch = hottest(f)?;
    let by = f.scenario.sintering.temperature_scatter;
    let rows = if by > 0.0 { 2 } else { 0 };
    if row >= rows {
        return Ok(number(if row == rows { 1.1 } else { 0.9 }).ln());
    }
    let hotter = symbol("ΔT", "deviation of the furnace", unit::KELVIN, if row == 0 { by } else { -by });
    Ok(energy(f) * hotter / (gas_constant() * heat(stretch).squared()))
}

/// Change of a length by a deviation of the run: a third of that of the volume.
pub fn length_change(f: &Facts<'_>, row: usize) -> Hand {
    let mut lines = density_change(f, row)?;
    let change = lines.last().ok_or(NO_CURVE)?.symbol();
    let change = -(change / (3.0 * sintered(f)));
    lines.push(Line::new("s_f", "change of a length", unit::PERCENT, change));
    Ok(lines)
}

/// How much longer the last hold of a colder furnace takes, from the rates at the two temperatures.
pub fn longer(f: &Facts<'_>, _row: usize) -> Hand {
    let stretch = f.scenario.sintering.stretches.last().ok_or(NO_CURVE)?;
    let colder =
        || symbol("ΔT", "deviation of the furnace", unit::KELVIN, f.scenario.sintering.temperature_scatter);
    let t = || symbol("T", "temperature of the last hold", unit::CELSIUS, stretch.temperature);
    let factor = (energy(f) * colder() / (gas_constant() * t() * (t() - colder()))).exp();
    one(Line::new("q", "time of the colder hold over that of the set one", unit::PURE, factor))
}
