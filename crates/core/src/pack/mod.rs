//! Packing under the hold pressure, gate freeze and cooling, from the state at the end of filling.
//!
//! Each cell cools by conduction, with the latent heat of its binder, while melt creeps through it. Its mass follows from
//! temperature and pressure (`feedstock::pvt`): d(Vρ)/dt = ρQ_in − ρQ_out, where the flow Q between cells follows from
//! the fluidity of the cooling melt at the stress of the last solution. A gate is shut once hardly anything creeps through
//! it; the mass behind it then stays. Melt takes no tension: where its mass no longer fills the cell, a void opens or the
//! skin sinks.

mod accounts;
mod conduction;
mod convection;
mod density;
mod events;
mod history;
#[cfg(test)]
mod laws;
mod mass;
mod network;
mod outcome;
mod state;
mod transient;
mod unfed;

pub use accounts::{Balance, Effort};
pub use history::History;
pub use outcome::{End, Gate, Hold, Opened, Sink};
pub use transient::{Moment, hold, hold_watched};

use crate::wall::Contact;

/// A gate counts as frozen at this share of its fluidity at the end of filling.
pub const FROZEN: f64 = 1e-3;
/// A gate is shut at this share. Melt that creeps before decides how much is lost where the hold ends just after the gate
/// has frozen: the pressure behind the gate shears it more, so that it flows more easily.
pub const SHUT: f64 = 1e-7;

/// γ of the two-stage, L-stable, second-order Runge–Kutta step (SDIRK2, γ = 1 − 1/√2).
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
/// Distance of the second stage's start from that of the step, in steps of the first stage.
const FURTHER: f64 = (1.0 - GAMMA) / GAMMA;

/// What the hold is driven by, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldDrive {
    /// Steps of the nozzle pressure: end, counted from the end of filling \[s\], and pressure \[Pa\]. After the last step
    /// the pressure is zero.
    pub steps: Vec<(f64, f64)>,
    /// When the mould opens, from the end of filling \[s\]; `None` to wait until everything is cool enough.
    pub opens: Option<f64>,
    /// Temperature of the melt at the nozzle \[K\].
    pub melt: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
    /// Contact between melt and steel.
    pub contact: Contact,
    /// Whether dissipation heats the melt.
    pub heating: bool,
    /// Share of its fluidity at the end of filling at which a gate is shut.
    pub shut: f64,
    /// Whether the flow carries heat; turned off only to show its effect.
    pub convection: bool,
}

impl HoldDrive {
    /// When the last step ends \[s\].
    pub fn time(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.0)
    }

    /// Until when the nozzle presses \[s\]: steps at the end without pressure do not hold anything.
    pub fn held(&self) -> f64 {
        self.steps.iter().rfind(|step| step.1 > 0.0).map_or(0.0, |step| step.0)
    }

    /// Nozzle pressure in a step that starts at `time` \[Pa\].
    fn pressure(&self, time: f64) -> f64 {
        self.steps.iter().find(|step| time < step.0 * (1.0 - 1e-9)).map_or(0.0, |step| step.1)
    }

    /// Time until the nozzle pressure changes next \[s\]; infinite after the last change.
    fn to_change(&self, time: f64) -> f64 {
        self.steps.iter().map(|step| step.0 - time).find(|left| *left > 1e-9 * time).unwrap_or(f64::INFINITY)
    }
}
