//! Balances, bounds and boundaries over many scenarios.

mod answers;
mod bands;
mod bounds;
mod closed;
mod closures;
mod cooled;
mod hold_laws;
mod laws;
mod safety;
mod shares;
mod window;
