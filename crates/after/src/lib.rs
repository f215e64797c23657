//! What follows the mould. The input is plain, the green parts and the furnace, and so is the result: this crate knows
//! nothing of how a part was moulded, and nothing before it needs it.
//!
//! The data flows one way: [`Green`] (what the mould hands on) and [`Furnace`] (what is set) → [`Sizes`].

pub mod debinding;
pub mod dimensions;
mod furnace;
pub mod sintering;
mod sizes;

pub use furnace::Furnace;
pub use sizes::{Green, Sizes, cavity_over_green};
