//! The classroom: exercises with each student's own numbers, hints, feedback, and solutions.
//!
//! The way of an exercise: [`exercises::Exercise`] and a [`draw::StudentId`] give a [`task::Task`]; [`judge::judge`] judges
//! what was typed; [`shown`] makes of it what a page shows, [`slip`] what a student hands in, and [`class`] what a lecturer
//! sees of it. Every text stands in the table of [`texts`]. None of these runs the solver: a task names the scenario
//! and the path in its report, and whoever shows it runs the solver. The exercises that a lecturer makes stand in
//! [`posed`]; their answers are results of the solver, so it is run there.

pub mod class;
pub mod draw;
pub mod exercises;
pub mod figure;
pub mod judge;
pub mod own;
pub mod posed;
pub mod shown;
pub mod slip;
pub mod task;
pub mod texts;
pub mod typed;
pub mod units;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod texts_tests;
