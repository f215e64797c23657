//! The mould beside its cavity, in SI.

use crate::cool::steel::Circuits;
use crate::feedstock::ZERO_CELSIUS;
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
    /// The drillings, where the coolant's set point is given.
    pub circuits: Option<Circuits>,
}

impl Mould {
    /// The mould of a validated scenario.
    pub fn resolve(m: &scenario::Mould) -> Self {
        let water_flow = m.water_flow / 1e3 / 60.0;
        let circuits = m.coolant_temperature.map(|coolant| Circuits {
            coolant: coolant + ZERO_CELSIUS,
            flow: water_flow,
            count: f64::from(m.circuits),
            bore: m.drilling_bore / 1e3,
            pitch: m.drilling_pitch / 1e3,
            depth: m.drilling_depth / 1e3,
            length: m.drilling_length / 1e3,
            conductivity: m.steel_conductivity,
        });
        Self {
            vents: Vents { width: m.vent_width / 1e3, depth: m.vent_depth / 1e3, land: m.vent_land / 1e3 },
            water_flow,
            circuits,
        }
    }
}
