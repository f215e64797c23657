//! Conduction across the gap against the series of Carslaw and Jaeger (Conduction of Heat in Solids,
//! §3.11 slab and §7.7 cylinder with heat transfer at the surface, §11.2 Neumann's solution with latent
//! heat; section numbers from memory).

mod bar;
mod freeze;
mod hold;
mod neumann;
mod peaks;
mod series;
mod steel;
mod step;
