//! A scenario resolved to SI.

mod machine;
mod mould;
mod thresholds;

pub use machine::Machine;
pub use mould::{Mould, Vents};
pub use thresholds::Thresholds;

use crate::cavity::Cavity;
use crate::feedstock::{Material, ZERO_CELSIUS};
use crate::fill::{Drive, Ram};
use crate::pack::{self, HoldDrive};
use crate::scenario::{Scenario, Setup};
use crate::wall::{Contact, Steel};
use gatefrost_after::plan::{SizesThere, debinding_hours};
use gatefrost_scenario::Limit;
use std::sync::Arc;

/// A validated scenario in SI.
#[derive(Debug, Clone)]
pub struct Case {
    /// The feedstock.
    pub material: Arc<Material>,
    /// The flow path.
    pub cavity: Arc<Cavity>,
    /// Solids loading and critical loading, as shares of the volume.
    pub loading: [f64; 2],
    /// What drives the fill.
    pub drive: Drive,
    /// What drives the hold.
    pub hold: HoldDrive,
    /// Vents and cooling water.
    pub mould: Mould,
    /// The machine.
    pub machine: Machine,
    /// What the limits allow.
    pub thresholds: Thresholds,
    /// The toleranced sizes, where their cavities and their scatter are known: see [`Case::with_sizes`].
    pub sizes: Option<SizesThere>,
    /// Debinding, where the scenario says how long it may take.
    pub debinding: Option<Debinding>,
    /// Limits that do not apply.
    pub ignored: Vec<Limit>,
}

/// How long debinding takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Debinding {
    /// Time of all steps for the wall that governs them \[s\]; `None` if one does not come to its end.
    pub time: Option<f64>,
    /// Longest that it may take \[s\].
    pub longest: f64,
}

impl Debinding {
    /// `None` where the scenario does not say how long it may take, or has no steps.
    fn resolve(s: &Scenario) -> Option<Self> {
        const HOUR: f64 = 3600.0;
        let longest = s.debinding.longest.filter(|_| !s.debinding.steps.is_empty())? * HOUR;
        Some(Self { time: debinding_hours(s).map(|hours| hours * HOUR), longest })
    }
}

impl Case {
    /// Resolves a scenario that has passed its validation.
    pub fn resolve(s: &Scenario) -> Self {
        let material = Material::resolve(&s.feedstock);
        let cavity = Cavity::resolve(&s.cavity, &s.model, material.flowing());
        Self { debinding: Debinding::resolve(s), ..Self::driven(Arc::new(material), Arc::new(cavity), s) }
    }

    /// The same feedstock and flow path, driven as another scenario has it.
    pub fn at(&self, s: &Scenario) -> Self {
        let driven = Self::driven(Arc::clone(&self.material), Arc::clone(&self.cavity), s);
        Self { debinding: self.debinding, ..driven }
    }

    /// The same with toleranced sizes: only then the limit of sizes applies.
    pub fn with_sizes(&self, sizes: Option<SizesThere>) -> Self {
        Self { sizes, ..self.clone() }
    }

    fn driven(material: Arc<Material>, cavity: Arc<Cavity>, s: &Scenario) -> Self {
        let wall = s.setup.mould_temperature + ZERO_CELSIUS;
        let contact = Contact {
            conductance: s.setup.contact_conductance,
            released: s.setup.released_conductance,
            steel: s.model.warming_steel.then_some(Steel {
                conductivity: s.mould.steel_conductivity,
                volumetric_heat: s.mould.steel_heat * 1e6,
                depth: (s.mould.drilling_depth - 0.5 * s.mould.drilling_bore) / 1e3,
            }),
        };
        let steps = hold_steps(&s.setup);
        let held = steps.last().map_or(0.0, |step| step.0);
        let machine = Machine::resolve(&s.machine);
        Self {
            loading: [s.feedstock.solids_loading, s.feedstock.critical_loading].map(|v| v / 100.0),
            drive: Drive {
                melt: s.setup.melt_temperature + ZERO_CELSIUS,
                wall,
                contact,
                rate: cavity.volume / s.setup.injection_time,
                ram: Ram::resolve(&s.setup.ram),
                max_pressure: machine.max_pressure,
                switch_over: s.setup.switch_over / 100.0,
                hold_pressure: s.setup.hold_pressure * 1e6,
                heating: s.model.viscous_heating,
            },
            hold: HoldDrive {
                opens: s.setup.cooling_time.map(|time| held + time),
                steps,
                melt: s.setup.melt_temperature + ZERO_CELSIUS,
                wall,
                contact,
                heating: s.model.viscous_heating,
                shut: pack::SHUT,
                convection: true,
            },
            mould: Mould::resolve(&s.mould),
            machine,
            thresholds: Thresholds::resolve(&s.limits),
            sizes: None,
            debinding: None,
            ignored: s.ignored.clone(),
            material,
            cavity,
        }
    }
}

/// Steps of the nozzle pressure: until when, and how much, in SI.
fn hold_steps(setup: &Setup) -> Vec<(f64, f64)> {
    let mut until = 0.0;
    let further = setup.further_hold.iter().map(|step| (step.time, step.pressure));
    std::iter::once((setup.hold_time, setup.hold_pressure))
        .chain(further)
        .map(|(time, pressure)| {
            until += time;
            (until, pressure * 1e6)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document;
    use crate::scenario::{Axis, demo};

    /// Numbers of the trade, by hand in SI.
    #[test]
    fn machine_mould_and_thresholds_are_in_si() {
        let mut s = demo::default_demo().scenario();
        (s.machine.max_pressure, s.machine.clamp_force) = (150.0, 400.0);
        (s.machine.max_rate, s.machine.shot_volume, s.machine.dosing_rate) = (80.0, 25.0, 5.0);
        (s.mould.vent_width, s.mould.vent_depth, s.mould.vent_land) = (40.0, 0.02, 1.5);
        s.mould.water_flow = 6.0;
        (s.limits.air_pressure, s.limits.residual_pressure) = (0.3, 12.0);
        (s.limits.clamp_use, s.limits.soft_loss, s.limits.hold_cover) = (85.0, 2.0, 115.0);
        let Case { machine, mould, thresholds, .. } = Case::resolve(&s);
        for (found, expected) in [
            (machine.max_pressure, 1.5e8),
            (machine.clamp_force, 4e5),
            (machine.max_rate, 8e-5),
            (machine.shot_volume, 2.5e-5),
            (machine.dosing_rate, 5e-6),
            (mould.vents.width, 0.04),
            (mould.vents.depth, 2e-5),
            (mould.vents.land, 1.5e-3),
            (mould.water_flow, 1e-4),
            (thresholds.air_pressure, 3e5),
            (thresholds.residual_pressure, 1.2e7),
            (thresholds.clamp_use, 0.85),
            (thresholds.soft_loss, 0.02),
            (thresholds.hold_cover, 1.15),
        ] {
            assert!((found / expected - 1.0).abs() < 1e-12, "{found} against {expected}");
        }
    }

    #[test]
    fn a_flow_rate_is_volume_over_injection_time() {
        for d in demo::DEMOS {
            let mut s = d.scenario();
            let rate = |s: &Scenario| Case::resolve(s).drive.rate * 1e6;
            assert!((s.get(Axis::FlowRate) / rate(&s) - 1.0).abs() < 1e-12, "{}", d.name);
            s.set(Axis::FlowRate, 7.5);
            assert!((rate(&s) / 7.5 - 1.0).abs() < 1e-12, "{}", d.name);
            // The rate is of the volume that the gate then has, whichever side it stands on.
            let deep = 2.0 * s.get(Axis::GateDepth);
            for settings in [
                [(Axis::FlowRate, 3.0), (Axis::GateDepth, deep)],
                [(Axis::GateDepth, deep), (Axis::FlowRate, 3.0)],
            ] {
                let mut both = s.clone();
                both.set_all(&settings);
                assert!((rate(&both) / 3.0 - 1.0).abs() < 1e-12, "{}", d.name);
                assert!((both.get(Axis::GateDepth) / deep - 1.0).abs() < 1e-12, "{}", d.name);
                let mut moved = document::tree(&s).expect("a document");
                for (path, value) in s.moves(&settings) {
                    let place = format!("/{}", path.replace('.', "/"));
                    *moved.pointer_mut(&place).expect("is there") = value.into();
                }
                assert_eq!(document::tree(&both).expect("a document"), moved, "{}", d.name);
            }
        }
    }
}
