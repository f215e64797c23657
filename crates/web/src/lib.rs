//! What the boundaries between Gatefrost and its pages share: values in, values out, no physics.
//!
//! Each page has a WebAssembly module of its own, a crate beside this one. What all of them export stands
//! here; a module that depends on this crate with the feature `page` exports it, too. A module that only workers load does
//! without that feature, and weighs less.
//!
//! **Values.** Options and arguments come in as plain objects ([`values::from_js`]), results go out as plain
//! objects ([`values::to_js`]). Scenarios cross as the text of their JSON document, so that a file, a link and
//! the form are read by the same code with the same messages. What is wrong with a scenario is thrown as
//! `{problems: [{path, message}]}`.
//!
//! **Workers.** A function that a worker calls takes one object of named arguments.

#[cfg(feature = "page")]
pub mod catalogue;
pub mod fault;
pub mod figures;
#[cfg(feature = "page")]
pub mod link;
#[cfg(feature = "page")]
pub mod numbers;
#[cfg(feature = "typescript")]
pub mod typescript;
#[cfg(feature = "units")]
pub mod units;
pub mod values;
