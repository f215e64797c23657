//! Balances, bounds and boundaries over many scenarios.

mod bands;
mod closures;
mod cooled;
mod hold_laws;
mod laws;
mod safety;
mod window;
