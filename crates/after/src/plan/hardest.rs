//! The moment of a furnace step at which the pressure of the gas is greatest.

use super::binder::Binder;
use super::schedule_band::brown;
use super::steps::done;
use super::{walls_of, way_of};
use crate::debinding::thermal::STEP;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::Scenario;

/// What the gas in the governing wall comes from when its pressure is greatest.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardest {
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Open pores, in per cent of the part's volume.
    pub pores_percent: f64,
    /// The parts of the binder that make gas.
    pub parts: Vec<PartThere>,
}

/// A part of the binder at that moment.
#[derive(Debug, Clone, PartialEq)]
pub struct PartThere {
    /// Its name.
    pub name: String,
    /// Mass that is left in the volume of the part, kg/m³.
    pub left: f64,
    /// Frequency factor A of its decomposition, 1/s.
    pub factor: f64,
    /// Activation energy, kJ/mol.
    pub energy_kj_mol: f64,
    /// Gas that it makes, kg/m³s.
    pub source: f64,
}

/// The moment of greatest pressure in a furnace step of a valid scenario. `None` for another step, without a wall, and
/// without gas.
pub fn hardest(s: &Scenario, step: usize) -> Option<Hardest> {
    let way = way_of(walls_of(s).first()?);
    let mut binder = Binder::of(s);
    for earlier in s.debinding.steps.get(..step)? {
        done(earlier, s, way, &mut binder, STEP);
    }
    let before = binder.clone();
    let schedule = done(s.debinding.steps.get(step)?, s, way, &mut binder, STEP).schedule?;
    let greatest = |a: &(usize, &f64), b: &(usize, &f64)| a.1.total_cmp(b.1);
    let (at, _) = schedule.pressure.iter().enumerate().filter(|(_, p)| **p > 0.0).max_by(greatest)?;
    let temperature = schedule.temperature[at];
    let brown = brown(s, way, &before, Default::default());
    let left: Vec<f64> = schedule.left.iter().map(|left| left[at]).collect();
    let gone = brown.fuels.iter().zip(&left).map(|(fuel, left)| fuel.volume * (1.0 - left));
    let parts = before.parts.iter().zip(&brown.fuels).zip(&left).map(|((part, fuel), left)| PartThere {
        name: part.name.clone(),
        left: fuel.mass * left,
        factor: fuel.reaction.log_factor.exponential(),
        energy_kj_mol: fuel.reaction.energy * 1e-3,
        source: fuel.mass * left * fuel.reaction.rate(temperature),
    });
    Some(Hardest {
        temperature_c: temperature - 273.15,
        pores_percent: 100.0 * (brown.porosity + gone.sum::<f64>()),
        parts: parts.collect(),
    })
}
