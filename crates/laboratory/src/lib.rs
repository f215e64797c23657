//! The laboratory: from powder, binder and rheometer data to a material that can be moulded, and from readings after the mould
//! to the constants of debinding and sintering.

pub mod critical;
pub mod dsc;
pub mod readings;
pub mod recipe;
pub mod rheometry;
pub mod torque;
pub mod trials;
pub mod uncertainty;
