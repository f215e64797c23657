//! Debinding: solvent, water, catalytic and thermal steps.

pub mod diffusion;
pub mod diffusivity;
pub mod gas;
pub mod kinetics;
pub mod thermal;
