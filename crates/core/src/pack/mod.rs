//! Packing under the hold pressure, gate freeze and cooling, from the state at the end of filling.
//!
//! Each cell cools by conduction; its melt contracts (β) and gives under pressure (κ):
//! V (κ dp/dt − β dT̄/dt) = Q_in − Q_out, with Q between cells from the fluidity of the cooling melt
//! at the stress it last saw. Pressures below zero stand for melt in tension, where a void would open.

#[cfg(test)]
mod laws;
mod network;
mod transient;

pub use transient::{History, Hold, HoldDrive, hold};

/// Temperature of the cold part \[K\]: 23 °C, the standard atmosphere of ISO 291.
pub const ROOM: f64 = 296.15;

use crate::feedstock::Material;

/// Volumetric shrinkage from the sealed melt to the cold part, β(T̄ − T_room) − κp.
pub fn shrinkage(material: &Material, pressure: f64, temperature: f64) -> f64 {
    material.expansion * (temperature - ROOM) - material.compressibility * pressure
}

/// Pressure at sealing that leaves just the shrinkage `allowed` \[Pa\]: the inverse of [`shrinkage`];
/// zero where none is needed.
pub fn needed_pressure(material: &Material, allowed: f64, temperature: f64) -> f64 {
    ((material.expansion * (temperature - ROOM) - allowed) / material.compressibility).max(0.0)
}
