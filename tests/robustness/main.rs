//! Balances, bounds and boundaries over many scenarios.

mod closures;
mod laws;
mod window;
