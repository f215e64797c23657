//! Conduction across the gap against the series of Carslaw and Jaeger (Conduction of Heat in Solids,
//! §3.11 slab and §7.7 cylinder with heat transfer at the surface; section numbers from memory).

mod freeze;
mod hold;
mod series;
mod step;
