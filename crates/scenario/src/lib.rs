//! The scenario as a document: its description, reading, checks and writing.
//!
//! The solvers, in `gatefrost-core`, take a validated [`scenario::Scenario`] and do not call this crate. So this crate can be
//! compiled for size, and the solvers for speed.

pub mod catalogue;
pub mod document;
pub mod format;
mod limit;
pub mod naming;
pub mod scenario;
pub mod uncertainty;
pub mod units;

pub use limit::{Ground, Limit};
