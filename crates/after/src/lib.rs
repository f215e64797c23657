//! What follows the mould: debinding, sintering, sizes. The input is plain, the scenario and what the mould hands on, and so
//! is the result: this crate knows nothing of how a part was moulded.
//!
//! - [`debinding`], [`sintering`] and [`dimensions`] hold the models, in SI.
//! - [`plan`] runs them for a scenario, in the units of the trade.
//! - [`Green`] (what the mould hands on) and [`Furnace`] (what is set) → [`Sizes`]: the oversize factor of the report.

pub mod debinding;
pub mod dimensions;
mod furnace;
pub mod plan;
pub mod sintering;
mod sizes;

pub use furnace::{Furnace, debound_density};
pub use sizes::{Green, Sizes, cavity_over_green, share_filled};
