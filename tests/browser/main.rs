//! The page as a person meets it, in headless Chromium; what matters most in Firefox too.
//!
//! `cargo xtask test` builds the site, finds the browser and runs these; a plain `cargo test` lists
//! them as ignored.
#![allow(clippy::unwrap_used, reason = "a test that meets an unexpected error should fail there")]

mod after;
mod bench;
mod beside;
mod calibration;
mod calorimetry;
mod chromium;
mod classroom;
mod course;
mod cross_hair;
mod cycle;
mod deaths;
mod devtools;
mod doubts;
mod driver;
mod editor;
mod everyone;
mod explain;
mod figures;
mod files;
mod firefox;
mod handbook;
#[allow(dead_code, reason = "a tool box: no test needs every tool")]
mod harness;
mod host;
mod hostile;
// The server of `cargo xtask serve`: the page is tested as it is served.
#[path = "../../crates/xtask/src/http.rs"]
mod http;
mod input;
mod laboratory;
mod link;
mod load;
mod numbers;
mod offline;
mod paper;
mod plan;
mod planes;
mod policy;
mod pool;
mod posed;
mod quiet;
mod reading;
mod safety;
mod setpoint;
mod single;
mod units;
mod window;
mod workbench;
