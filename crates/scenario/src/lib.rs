//! What waits for people: the scenario as a document, described, read, checked and written.
//!
//! The solvers, in `gatefrost-core`, take a [`scenario::Scenario`] that has passed its validation and never
//! come back here; so this crate can be compiled for size and they for speed.

pub mod catalogue;
pub mod document;
pub mod format;
mod limit;
pub mod naming;
pub mod scenario;
pub mod uncertainty;
pub mod units;

pub use limit::Limit;
