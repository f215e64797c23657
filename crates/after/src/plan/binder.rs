//! The binder in the volume of the part, and what each step leaves of it.

use crate::debinding::kinetics::Reaction;
use crate::debinding::thermal::{CLEAN, Fuel};
use gatefrost_scenario::scenario::{Leaves, Scenario};

/// Least activation energy of a reaction at the end of a band, J/mol.
const LEAST_ENERGY: f64 = 20e3;

/// A part of the binder in the volume of the green part.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct InPart {
    pub(super) name: String,
    /// kg/m³ of green part, at the beginning.
    pub(super) mass: f64,
    /// Share of the green part's volume, at the beginning.
    pub(super) volume: f64,
    pub(super) leaves: Leaves,
    /// K and J/mol.
    pub(super) half: f64,
    pub(super) energy: f64,
    pub(super) energy_error: f64,
    /// Share that is left, from 1 down to 0.
    pub(super) left: f64,
}

/// All parts, and the pores.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Binder {
    pub(super) parts: Vec<InPart>,
    /// Share of the volume that is open before any part has left.
    pub(super) open: f64,
}

impl Binder {
    /// Masses from the binder's density and the shares; volumes in the ratio of share to density, together with the open pores
    /// 1 − φ.
    pub(super) fn of(s: &Scenario) -> Self {
        let binder = 1.0 - s.feedstock.solids_loading / 100.0;
        let parts = &s.debinding.parts;
        let shares: f64 = parts.iter().map(|p| p.share).sum();
        let open = (s.debinding.open_pores / 100.0).min(binder);
        let volumes: f64 = parts.iter().map(|p| p.share / p.density).sum();
        let parts = parts.iter().map(|p| InPart {
            name: p.name.clone(),
            mass: binder * s.feedstock.binder_density * p.share / shares,
            volume: (binder - open) * p.share / p.density / volumes,
            leaves: p.leaves,
            half: p.half_temperature + 273.15,
            energy: p.energy * 1e3,
            energy_error: p.energy_error * 1e3,
            left: 1.0,
        });
        Self { parts: parts.collect(), open }
    }

    /// Leaves the share `left` of every part that leaves by `way`. Returns the mass that went, kg/m³.
    pub(super) fn take(&mut self, way: Leaves, left: f64) -> f64 {
        let mut gone = 0.0;
        for part in self.parts.iter_mut().filter(|part| part.leaves == way) {
            let stays = part.left.min(left);
            gone += part.mass * (part.left - stays);
            part.left = stays;
        }
        gone
    }

    /// Mass that is left, kg/m³.
    pub(super) fn mass(&self) -> f64 {
        self.parts.iter().map(|part| part.mass * part.left).sum()
    }

    /// Share that is left of all that leaves by `way`, from 1 down to 0; 0 where there is none.
    pub(super) fn left_by(&self, way: Leaves) -> f64 {
        let all: f64 = self.parts.iter().filter(|part| part.leaves == way).map(|part| part.mass).sum();
        let left = if all > 0.0 { self.mass_by(way) / all } else { 0.0 };
        // A furnace leaves a trace, which is nothing to take out.
        if left > CLEAN { left.min(1.0) } else { 0.0 }
    }

    /// Mass that leaves by `way`, of what is left, kg/m³.
    pub(super) fn mass_by(&self, way: Leaves) -> f64 {
        self.parts.iter().filter(|part| part.leaves == way).map(|part| part.mass * part.left).sum()
    }

    /// Pores that are open now, as a share of the volume.
    pub(super) fn porosity(&self) -> f64 {
        self.open + self.parts.iter().map(|part| part.volume * (1.0 - part.left)).sum::<f64>()
    }

    /// What is left, as a thermal step finds it, with a change of one part's activation energy \[J/mol\].
    pub(super) fn fuels(&self, changed: Option<(usize, f64)>) -> Vec<Fuel> {
        let parts = self.parts.iter().enumerate();
        let fuel = |(i, part): (usize, &InPart)| {
            let by = changed.filter(|(part, _)| *part == i).map_or(0.0, |(_, by)| by);
            Fuel {
                mass: part.mass * part.left,
                volume: part.volume * part.left,
                reaction: Reaction::with_half_at(part.half, (part.energy + by).max(LEAST_ENERGY)),
            }
        };
        parts.map(fuel).collect()
    }
}
