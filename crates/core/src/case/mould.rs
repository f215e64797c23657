//! The mould beside its cavity, in SI.

use crate::scenario;

/// The gaps that let air out of the cavity, all taken together as one slit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vents {
    /// Width across the flow of the air \[m\].
    pub width: f64,
    /// Depth of the gap \[m\].
    pub depth: f64,
    /// Length of the gap along the flow \[m\].
    pub land: f64,
}

/// Vents and cooling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mould {
    /// How air gets out.
    pub vents: Vents,
    /// Volume flow of cooling water, all circuits together \[m³/s\].
    pub water_flow: f64,
}

impl Mould {
    /// The mould of a validated scenario.
    pub fn resolve(m: &scenario::Mould) -> Self {
        Self {
            vents: Vents { width: m.vent_width / 1e3, depth: m.vent_depth / 1e3, land: m.vent_land / 1e3 },
            water_flow: m.water_flow / 1e3 / 60.0,
        }
    }
}
