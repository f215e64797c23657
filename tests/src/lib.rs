//! What the checks share: scenarios built from JSON, elementary numerics, random scenarios.
//!
//! Nothing here calls the solvers; the closed forms and series are written out again on purpose, so
//! that a check compares two independent computations.

pub mod build;
pub mod numeric;
pub mod random;
