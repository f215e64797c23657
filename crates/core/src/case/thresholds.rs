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
    /// Least volume of a shot as a share of the machine's greatest.
    pub shot_share: f64,
    /// Least distance from the melted binder up to the melt temperature \[K\].
    pub melt_reserve: f64,
    /// Greatest viscosity on the path \[Pa s\].
    pub viscosity: f64,
    /// Least distance from the solids loading up to the critical one, as a share of the volume.
    pub loading_gap: f64,
    /// Least depth of a gate over the particle size d₉₀.
    pub gate_grains: f64,
    /// Greatest depth of a gate over that of the wall behind it; it may exceed 1.
    pub gate_wall: f64,
    /// Greatest apparent wall shear rate \[1/s\].
    pub shear_rate: f64,
    /// Greatest velocity of a strand, weighed by the depth that it leaves open \[m/s\].
    pub jet_speed: f64,
    /// Greatest absolute pressure of the air in the cavity \[Pa\].
    pub air_pressure: f64,
    /// Greatest wall stress in parts \[Pa\].
    pub wall_stress: f64,
    /// Greatest (a/H)² γ̇ t.
    pub migration: f64,
    /// Greatest loss of the binder's mass, as a share.
    pub binder_loss: f64,
    /// Least distance from the no-flow temperature up to the flow front \[K\].
    pub cold_front_reserve: f64,
    /// Least distance from the no-flow temperature up to the colder of two fronts that meet \[K\].
    pub weld_reserve: f64,
    /// Shortest hold as a share of the time in which the last gate freezes; it may exceed 1.
    pub hold_cover: f64,
    /// Greatest mean pressure left in the part when the mould opens \[Pa\].
    pub residual_pressure: f64,
    /// Greatest loss of volume of what is soft and no longer fed, as a share.
    pub soft_loss: f64,
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
            shot_share,
            melt_reserve,
            viscosity,
            loading_gap,
            gate_grains,
            gate_wall,
            shear_rate,
            jet_speed,
            wall_stress,
            migration,
            air_pressure,
            binder_loss,
            cold_front_reserve,
            weld_reserve,
            hold_cover,
            residual_pressure,
            soft_loss,
            water_rise,
        } = thresholds;
        Self {
            pressure_use: pressure_use / 100.0,
            rate_use: rate_use / 100.0,
            clamp_use: clamp_use / 100.0,
            shot_share: shot_share / 100.0,
            melt_reserve,
            viscosity,
            loading_gap: loading_gap / 100.0,
            gate_grains,
            gate_wall: gate_wall / 100.0,
            shear_rate,
            jet_speed,
            wall_stress: wall_stress * 1e6,
            migration,
            air_pressure: air_pressure * 1e6,
            binder_loss: binder_loss / 100.0,
            cold_front_reserve,
            weld_reserve,
            hold_cover: hold_cover / 100.0,
            residual_pressure: residual_pressure * 1e6,
            soft_loss: soft_loss / 100.0,
            water_rise,
        }
    }
}
