//! Powder injection moulding, computed: feedstock viscosity, filling, packing, gate freeze and the
//! window of settings in which a part comes out whole.
//!
//! The data flows one way: [`scenario::Scenario`] (what the user set, in the units of the trade) →
//! [`case`] (the same in SI: [`feedstock`], [`cavity`], machine, mould, thresholds) → [`fill`] → [`pack`] → [`limits`].
//! [`stages`] is the chain that runs them.

pub mod case;
pub mod cavity;
pub mod cool;
pub mod cycle;
pub mod feedstock;
pub mod fill;
pub mod limits;
pub mod pack;
pub mod sizes;
pub mod stages;
pub mod start;
pub mod wall;

pub use gatefrost_scenario::{catalogue, document, format, naming, scenario, uncertainty, units};
