//! A scenario resolved to SI, and the chain of stages run on it.

use crate::cavity::Cavity;
use crate::feedstock::{Material, ZERO_CELSIUS};
use crate::fill::{self, Drive, Fill};
use crate::limits::Limit;
use crate::pack::{self, Hold, HoldDrive};
use crate::scenario::{Machine, Mould, Scenario, Setup, Thresholds};
use std::sync::Arc;

/// A validated scenario in SI.
#[derive(Debug, Clone)]
pub struct Case {
    /// The feedstock.
    pub material: Arc<Material>,
    /// The flow path.
    pub cavity: Arc<Cavity>,
    /// What drives the fill.
    pub drive: Drive,
    /// What drives the hold.
    pub hold: HoldDrive,
    /// Vents and cooling water, in edge units.
    pub mould: Mould,
    /// The machine, in edge units.
    pub machine: Machine,
    /// Where the limits lie, in edge units.
    pub thresholds: Thresholds,
    /// Limits that do not count.
    pub ignored: Vec<Limit>,
}

/// One set point, evaluated: what this machine does there.
#[derive(Debug, Clone)]
pub struct Point<'a> {
    /// What was evaluated.
    pub case: &'a Case,
    /// The fill, as the machine does it.
    pub fill: Fill<'a>,
    /// The hold that follows; none where the path is not full.
    pub hold: Option<Hold>,
}

impl Case {
    /// Resolves a scenario that has passed its validation.
    pub fn resolve(s: &Scenario) -> Self {
        let material = Material::resolve(&s.feedstock);
        let cavity = Cavity::resolve(&s.cavity, &s.model, material.viscosity.exponent());
        Self::driven(Arc::new(material), Arc::new(cavity), s)
    }

    /// The same feedstock and flow path, driven as another scenario has it.
    pub fn at(&self, s: &Scenario) -> Self {
        Self::driven(Arc::clone(&self.material), Arc::clone(&self.cavity), s)
    }

    fn driven(material: Arc<Material>, cavity: Arc<Cavity>, s: &Scenario) -> Self {
        let wall = s.setup.mould_temperature + ZERO_CELSIUS;
        let contact = s.setup.contact_conductance;
        let steps = hold_steps(&s.setup);
        let held = steps.last().map_or(0.0, |step| step.0);
        Self {
            drive: Drive {
                melt: s.setup.melt_temperature + ZERO_CELSIUS,
                wall,
                contact,
                rate: cavity.volume / s.setup.injection_time,
                max_pressure: s.machine.max_pressure * 1e6,
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
            mould: s.mould.clone(),
            machine: s.machine.clone(),
            thresholds: s.limits.clone(),
            ignored: s.ignored.clone(),
            material,
            cavity,
        }
    }

    /// Runs the stages.
    pub fn evaluate(&self) -> Point<'_> {
        let fill = fill::actual(&self.material, &self.cavity, self.drive);
        let hold = fill.full.then(|| self.hold_after(&fill));
        Point { case: self, fill, hold }
    }

    /// The hold after a fill. Where the path is not full, the hold of [`Fill::whole`]: no such part is moulded,
    /// and only margins are taken from it, so that they are continuous where the fill stops short.
    pub fn hold_after(&self, fill: &Fill<'_>) -> Hold {
        pack::hold(&self.material, &self.cavity, fill.whole(), &self.hold)
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
