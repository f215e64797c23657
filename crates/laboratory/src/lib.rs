//! The feedstock laboratory: from powder, binder and rheometer data to a material that can be moulded.

pub mod critical;
pub mod dsc;
pub mod recipe;
pub mod rheometry;
pub mod uncertainty;
