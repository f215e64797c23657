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
    pub fn resolve(thresholds: &scenario::Thresholds) -> Self {
        // A number of the scenario that is forgotten here does not compile.
        let &scenario::Thresholds {
            pressure_use,
            rate_use,
            clamp_use,
            gate_viscosity,
            shear_rate,
            jet_speed,
            air_pressure,
            burn_reserve,
            cold_front_reserve,
            weld_reserve,
            hold_cover,
            residual_pressure,
            shrinkage,
            water_rise,
        } = thresholds;
        Self {
            pressure_use: pressure_use / 100.0,
            rate_use: rate_use / 100.0,
            clamp_use: clamp_use / 100.0,
            gate_viscosity,
            shear_rate,
            jet_speed,
            air_pressure: air_pressure * 1e6,
            burn_reserve,
            cold_front_reserve,
            weld_reserve,
            hold_cover: hold_cover / 100.0,
            residual_pressure: residual_pressure * 1e6,
            shrinkage: shrinkage / 100.0,
            water_rise,
        }
    }
}
