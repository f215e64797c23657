//! Mixtures: relative viscosity, conductivity, density and shares.

mod loading;
mod mixture;
