//! The pressure of the gas in a wall by hand, where it is greatest.

use super::Hand;
use super::debinding::{gas_constant, governing, step, way_out};
use crate::Facts;
use gatefrost_after::plan::{Hardest, hardest};
use gatefrost_core::scenario::{DebindingStep, Thermal};
use gatefrost_formula::{Expr, Line, number, symbol, unit};

/// Greatest pressure of the gas in the governing wall, above that outside.
pub fn gas_pressure(f: &Facts<'_>, row: usize) -> Hand {
    let (by, _) = step(f, row)?;
    let DebindingStep::Thermal(furnace) = by else { return Err("Only a furnace makes gas.") };
    let there = hardest(f.scenario, row).ok_or("The step makes no gas.")?;
    let mut lines = source(&there)?;
    let open = permeability(f, &there);
    let made = lines.last().ok_or("The step makes no gas.")?.symbol();
    let outside = symbol("p_0", "pressure in the furnace", unit::KPA, furnace.outside_pressure);
    let drop = resistance(f, furnace, &there, &open)? * made;
    let pressure = (outside.clone().squared() + drop).sqrt() - outside;
    lines.extend([open, Line::new("p", "pressure in the middle, above that outside", unit::KPA, pressure)]);
    Ok(lines)
}

/// Temperature at which the pressure is greatest.
fn temperature(there: &Hardest) -> Expr {
    symbol(
        "T",
        "temperature at which the pressure is greatest, as computed",
        unit::CELSIUS,
        there.temperature_c,
    )
}

/// Share of the gas below which the other parts are not told.
const NOTHING: f64 = 1e-10;

/// Gas that is made in the volume of the part: that of the part of the binder which makes most of it, and the rest.
fn source(there: &Hardest) -> Hand {
    let most =
        there.parts.iter().max_by(|a, b| a.source.total_cmp(&b.source)).ok_or("There is no binder.")?;
    let factor = symbol("A", "frequency factor", unit::PER_SECOND, most.factor);
    let energy = symbol("E", format!("activation energy of {}", most.name), unit::KJ_MOL, most.energy_kj_mol);
    let rate = factor * (-(energy / (gas_constant() * temperature(there)))).exp();
    let rate = Line::new("k", format!("rate of decomposition of {}", most.name), unit::PER_SECOND, rate);
    let mass = symbol("c", format!("mass of {} that is left then", most.name), unit::KG_M3, most.left);
    let others: f64 = there.parts.iter().filter(|part| part.name != most.name).map(|part| part.source).sum();
    let mut made = mass * rate.symbol();
    if others > NOTHING * most.source {
        made = made + symbol("Γ_o", "gas of the other parts, as computed", unit::KG_M3S, others);
    }
    Ok(vec![rate, Line::new("Γ", "gas made in the volume of the part", unit::KG_M3S, made)])
}

/// Permeability after Carman and Kozeny.
fn permeability(f: &Facts<'_>, there: &Hardest) -> Line {
    let pores = || symbol("ε", "open pores then", unit::VOLUME_PERCENT, there.pores_percent);
    let grain = symbol("d", "median particle size", unit::MICROMETRE, f.scenario.feedstock.particle_size);
    let k = pores().to(3.0) * grain.squared() / (180.0 * (1.0 - pores()).squared());
    Line::new("K", "permeability", unit::UM2, k)
}

/// μ R T a²/(s K M).
fn resistance(f: &Facts<'_>, furnace: &Thermal, there: &Hardest, open: &Line) -> Result<Expr, &'static str> {
    let wall = governing(f)?;
    let viscosity = symbol("μ", "viscosity of the gas", unit::UPA_S, furnace.gas_viscosity);
    let molar = symbol("M", "molar mass of the gas", unit::G_MOL, furnace.gas_molar_mass);
    let shape = number(if wall.rod { 2.0 } else { 1.0 });
    let across = if wall.rod { shape * open.symbol() } else { open.symbol() };
    Ok(viscosity * gas_constant() * temperature(there) * way_out(wall).squared() / (across * molar))
}
