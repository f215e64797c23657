//! What the machine can do, in SI.

use crate::scenario;

/// The injection machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Greatest melt pressure at the nozzle \[Pa\].
    pub max_pressure: f64,
    /// Greatest volume flow of the injection unit \[m³/s\].
    pub max_rate: f64,
    /// Force that keeps the mould shut \[N\].
    pub clamp_force: f64,
    /// Greatest melt volume of one shot \[m³\].
    pub shot_volume: f64,
    /// Melt between hopper and nozzle, in greatest shots.
    pub barrel_shots: f64,
    /// Volume that the screw melts and meters in a second \[m³/s\].
    pub dosing_rate: f64,
    /// Time to close, open and eject \[s\].
    pub idle_time: f64,
}

impl Machine {
    /// The machine of a validated scenario.
    pub fn resolve(m: &scenario::Machine) -> Self {
        Self {
            max_pressure: m.max_pressure * 1e6,
            max_rate: m.max_rate / 1e6,
            clamp_force: m.clamp_force * 1e3,
            shot_volume: m.shot_volume / 1e6,
            barrel_shots: m.barrel_shots,
            dosing_rate: m.dosing_rate / 1e6,
            idle_time: m.idle_time,
        }
    }
}
