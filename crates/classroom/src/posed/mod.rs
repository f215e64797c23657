//! An exercise that a lecturer makes from a scenario: a task and hints in words, inputs that each student has numbers of
//! their own for, and results of the solver that are asked for.
//!
//! The way of it: a [`Document`] is what a file or a link holds, and may hold anything. [`Posed::of`] checks it. With a
//! [`StudentId`](crate::draw::StudentId) it gives the student's own scenario (`numbers.rs`), which the solver of the rest of the program
//! computes (`solved.rs`). Slips, the key and the check of a class stand in `slips.rs`.

mod check;
mod code;
mod math;
mod numbers;
mod shown;
mod slips;
mod solved;
#[cfg(test)]
mod tests;

pub use check::Posed;
pub use code::{PREFIX, link, read, scenario_link};
pub use math::{Piece, pieces};
pub use shown::{PosedChoice, PosedInput, PosedResult, PosedShown, PosedSpan, PosedTask, choices};
pub(crate) use slips::NAME;
pub use slips::{PosedAnswers, PosedClass};

use serde::{Deserialize, Serialize};

/// Version of the document.
pub const VERSION: u32 = 1;

/// An exercise as a file holds it. It may hold anything until [`Posed::of`] has checked it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "typescript", ts(rename = "PosedDocument"))]
pub struct Document {
    /// Version of the document, 1.
    pub gatefrost_exercise: u32,
    /// Title.
    pub title: String,
    /// What is to be done, in plain text. A formula stands between two `$`.
    pub task: String,
    /// Hints, in the order in which they unfold.
    #[serde(default)]
    pub hints: Vec<String>,
    /// The scenario, as the text behind `#` in a link of the window.
    pub scenario: String,
    /// Inputs that the student sees. Every other input is locked and not shown.
    #[serde(default)]
    pub inputs: Vec<Input>,
    /// Results that are asked for.
    pub asked: Vec<Wanted>,
    /// Whether the student is offered the own scenario in the window, where every input can be changed.
    #[serde(default)]
    pub window: bool,
}

/// An input that the student sees. It is locked unless it is open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "typescript", ts(rename = "PosedInputDocument"))]
pub struct Input {
    /// Path of the number: one of the scenario, `cavity.wall_thickness`, `cavity.gate_depth` or `setup.flow_rate`.
    pub path: String,
    /// The values that are drawn from; without them every student has the value of the scenario.
    #[serde(default)]
    pub drawn: Option<Drawn>,
    /// Whether the student may change it in the model on the page. The answers stay those of the own numbers.
    #[serde(default)]
    pub open: bool,
}

/// Values that are drawn from: `from`, `from + step` and so on, up to `to`. All are in the unit of the input.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "typescript", ts(rename = "PosedDrawn"))]
pub struct Drawn {
    /// Least value.
    pub from: f64,
    /// Greatest value.
    pub to: f64,
    /// Step between two.
    pub step: f64,
}

/// A result that is asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "typescript", ts(rename = "PosedWanted"))]
pub struct Wanted {
    /// Its path in the report.
    pub path: String,
    /// How far an answer may be off \[% of it\].
    pub tolerance_percent: f64,
    /// Least and greatest number of significant figures.
    pub figures: [u32; 2],
    /// Points.
    pub points: u32,
}
