//! Isothermal flow, filling and packing, against closed forms and independent integrals, through the scenario document.
//!
//! Closed forms after Bird, Armstrong and Hassager, Dynamics of Polymeric Liquids 1 (from memory,
//! derived again where used); worked values as given beside each.

mod closed_forms;
mod cross;
mod other_laws;
mod packing;
mod pressure;
