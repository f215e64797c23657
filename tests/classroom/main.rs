//! The answers of the classroom against formulas written anew, in the units of the data, for a hundred students; and the
//! nominal answers of a lecturer's table.
#![allow(clippy::unwrap_used, reason = "a test that meets an unexpected error should fail there")]

mod answers;
mod readings;
