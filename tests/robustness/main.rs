//! Balances, bounds and boundaries over many scenarios.

mod bands;
mod bounds;
mod closures;
mod cooled;
mod hold_laws;
mod laws;
mod safety;
mod window;
