//! Powder injection moulding, computed: feedstock viscosity, filling, packing, gate freeze and the
//! window of settings in which a part comes out whole.
//!
//! The data flows one way: [`scenario::Scenario`] (what the user set, in the units of the trade) →
//! feedstock → cavity → fill → pack → limits → window. Inside, everything is SI.

pub mod catalogue;
pub mod scenario;
pub mod limits;
pub mod report;
pub mod window;
