//! Mixtures: relative viscosity, conductivity, density and shares; heat and volume against temperature
//! and pressure.

mod heat;
mod loading;
mod mixture;
mod pvt;
