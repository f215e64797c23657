//! The set point of a fill.

use super::ram::Ram;
use crate::wall::Contact;

/// The set point of a fill, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Melt temperature at the nozzle \[K\].
    pub melt: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
    /// Contact between melt and steel.
    pub contact: Contact,
    /// Set flow rate: mean over the volume injected at it \[m³/s\].
    pub rate: f64,
    /// Steps of the rate.
    pub ram: Ram,
    /// Greatest nozzle pressure \[Pa\].
    pub max_pressure: f64,
    /// Share of the volume filled at the set rate.
    pub switch_over: f64,
    /// Nozzle pressure that fills the rest \[Pa\].
    pub hold_pressure: f64,
    /// Whether dissipation heats the melt.
    pub heating: bool,
}

impl Drive {
    /// Set rate at a share of the volume \[m³/s\].
    pub fn rate_at(&self, filled: f64) -> f64 {
        self.rate * self.ram.at(filled)[0]
    }

    /// Share of the volume at which the set rate changes next.
    pub fn rate_until(&self, filled: f64) -> f64 {
        self.ram.at(filled)[1]
    }

    /// Greatest set rate \[m³/s\].
    pub fn greatest_rate(&self) -> f64 {
        self.rate * self.ram.greatest()
    }
}
