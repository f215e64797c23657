//! The exercises, in the order of the work from powder to finished part.
//!
//! An exercise draws data and says what is asked for, with the formula that gives it by hand and with the core's own
//! function beside it. Its words stand in the table of texts, under keys that begin with its name.

mod cooling;
mod debinding;
mod flow;
mod mixture;
mod pressing;
mod rheometer;
mod sizes;

use crate::draw::Draws;
use crate::task::Task;
use gatefrost_formula::{Expr, Unit, symbol};
use serde::Serialize;

/// How hard an exercise is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// One formula, data put in.
    First,
    /// Several steps, or a formula to be turned round.
    Second,
    /// A model, its limits and a judgement.
    Third,
}

/// An exercise.
#[derive(Debug, Clone, Copy)]
pub struct Exercise {
    /// Its name, in links and slips. It never changes.
    pub name: &'static str,
    /// Version of its data and formulas. Slips name it, and the draw depends on it.
    pub version: u16,
    /// How hard it is.
    pub level: Level,
    /// Number of its hints.
    pub hints: usize,
    /// Number of the answers that it asks for.
    pub answers: usize,
    pub(crate) draw: fn(&mut Draws) -> Task,
}

/// The exercises whose answers are numbers.
pub const ALL: &[Exercise] = &[
    // Name, version, level, hints, answers, data.
    exercise("loading-by-mass", 1, Level::First, 3, 2, mixture::by_mass),
    exercise("densest-mixture", 1, Level::First, 3, 3, mixture::densest),
    exercise("runaway", 1, Level::Second, 3, 2, mixture::runaway),
    exercise("thinning", 1, Level::Third, 3, 3, mixture::thinning),
    exercise("rheometer", 1, Level::Third, 4, 4, rheometer::reduction),
    exercise("runner", 1, Level::Second, 4, 3, flow::runner),
    exercise("gate", 1, Level::First, 2, 2, flow::gate),
    exercise("gate-freeze", 1, Level::Second, 4, 4, cooling::gate_freeze),
    exercise("cooling", 1, Level::Second, 3, 3, cooling::wall),
    exercise("clamp", 1, Level::Second, 3, 2, flow::clamp),
    exercise("cavity-size", 1, Level::Second, 3, 3, sizes::cavity),
    exercise("tolerance", 1, Level::Third, 4, 2, sizes::tolerance),
    exercise("solvent", 1, Level::Second, 3, 2, debinding::solvent),
    exercise("gas", 1, Level::Third, 3, 3, debinding::gas),
    exercise("pressing", 1, Level::First, 2, 2, pressing::pressure),
];

impl PartialEq for Exercise {
    fn eq(&self, other: &Self) -> bool {
        (self.name, self.version) == (other.name, other.version)
    }
}

const fn exercise(
    name: &'static str,
    version: u16,
    level: Level,
    hints: usize,
    answers: usize,
    draw: fn(&mut Draws) -> Task,
) -> Exercise {
    Exercise { name, version, level, hints, answers, draw }
}

/// The exercise of that name.
pub fn find(name: &str) -> Option<&'static Exercise> {
    ALL.iter().find(|exercise| exercise.name == name)
}

/// Halvings that leave no more than the last bits of a root.
const HALVINGS: usize = 60;

/// The number of a quantity of the data, in its unit.
fn told(quantity: &Expr) -> f64 {
    match quantity {
        Expr::Symbol(symbol) => symbol.value,
        other => other.value(),
    }
}

/// A quantity of the data, drawn on a scale (see [`Draws::on_scale`]).
fn drawn(
    draws: &mut Draws,
    letter: &'static str,
    words: &'static str,
    unit: Unit,
    (ends, step, per): ([i32; 2], i32, i32),
) -> Expr {
    symbol(letter, words, unit, draws.on_scale(ends, step, per))
}
