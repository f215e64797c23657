//! What each limit allows, in SI.

use crate::scenario;

/// The numbers that limits compare with. Shares are from 0 to 1; each has the name of its number in the scenario.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds {
    /// Share of the machine's greatest pressure that filling may need.
    pub pressure_use: f64,
    /// Share of the machine's greatest rate that filling may need.
    pub rate_use: f64,
    /// Share of the clamp force that the opening force may reach.
    pub clamp_use: f64,
    /// Greatest viscosity at the gate \[Pa s\].
    pub gate_viscosity: f64,
    /// Greatest apparent wall shear rate \[1/s\].
    pub shear_rate: f64,
    /// Greatest velocity of a strand, weighed by the depth that it leaves open \[m/s\].
    pub jet_speed: f64,
    /// Greatest absolute pressure of the air in the cavity \[Pa\].
    pub air_pressure: f64,
    /// Least distance from the hottest melt up to the onset of decomposition \[K\].
    pub burn_reserve: f64,
    /// Least distance from the no-flow temperature up to the flow front \[K\].
    pub cold_front_reserve: f64,
    /// Least distance from the no-flow temperature up to the colder of two fronts that meet \[K\].
    pub weld_reserve: f64,
    /// Shortest hold as a share of the time in which the last gate freezes; it may exceed 1.
    pub hold_cover: f64,
    /// Greatest mean pressure left in the part when the mould opens \[Pa\].
    pub residual_pressure: f64,
    /// Greatest volumetric shrinkage from the sealed cavity to the cold part, as a share.
    pub shrinkage: f64,
    /// Greatest rise of the cooling water's temperature \[K\].
    pub water_rise: f64,
}

impl Thresholds {
    /// The thresholds of a validated scenario.
    pub fn resolve(t: &scenario::Thresholds) -> Self {
        Self {
            pressure_use: t.pressure_use / 100.0,
            rate_use: t.rate_use / 100.0,
            clamp_use: t.clamp_use / 100.0,
            gate_viscosity: t.gate_viscosity,
            shear_rate: t.shear_rate,
            jet_speed: t.jet_speed,
            air_pressure: t.air_pressure * 1e6,
            burn_reserve: t.burn_reserve,
            cold_front_reserve: t.cold_front_reserve,
            weld_reserve: t.weld_reserve,
            hold_cover: t.hold_cover / 100.0,
            residual_pressure: t.residual_pressure * 1e6,
            shrinkage: t.shrinkage / 100.0,
            water_rise: t.water_rise,
        }
    }
}
