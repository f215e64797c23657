//! The full fill against solutions that share no code with it.

mod limits;
mod machine;
mod projected;
mod reference;
