//! Numerical methods that know nothing of moulding.
//!
//! What the solvers call gives the same bits on every machine; see [`elementary`]. [`curves`] and [`statistics`] take
//! some functions from the platform, which may differ in the last bit.

pub mod curves;
pub mod decimal;
pub mod elementary;
pub mod hermite;
mod interval;
pub mod lanes;
pub mod least_squares;
pub mod marquardt;
pub mod matrix;
pub mod order;
pub mod points;
pub mod search;
pub mod shares;
pub mod statistics;

pub use interval::{interval, intervals};
