//! Formulas as trees. One tree is computed, set with its symbols, set with the numbers put in, and checked for its units.
//! So the formula that a reader sees is the one that was computed.
//!
//! ```
//! use gatefrost_formula::{Line, Plain, number, symbol, unit};
//!
//! let q = symbol("Q", "flow rate", unit::CM3_S, 10.0);
//! let w = symbol("w", "width", unit::MM, 20.0);
//! let h = symbol("h", "thickness", unit::MM, 2.0);
//! let rate = Line::new("γ̇_a", "apparent shear rate", unit::PER_SECOND, number(6.0) * q / (w * h.squared()));
//! assert!((rate.value() - 750.0).abs() < 1e-9);
//! assert_eq!(rate.text(), "γ̇_a = 6·Q/(w·h²)");
//! assert_eq!(rate.text_with_numbers(&Plain), "γ̇_a = 6·10 cm³/s/(20 mm·(2 mm)²) = 750 1/s");
//! assert_eq!(rate.check(), Ok(()));
//! ```
//!
//! **Units.** A symbol has a value in a unit of the trade. It is computed in SI, and the result is told in its own unit.
//! So no factor of conversion stands in a formula.

mod line;
mod mathml;
mod text;
mod tree;
pub mod unit;

pub use line::Line;
pub use tree::{Expr, Function, Operation, Symbol, constant, greater, least, number, pi, sum, symbol};
pub use unit::{Dimension, Unit};

/// How numbers and units are written. The program's own formatter stands behind it.
pub trait Writing {
    /// A pure number, to so many significant digits.
    fn number(&self, value: f64, digits: usize) -> String;

    /// A quantity in the units of the reader: its number and the sign of its unit.
    fn quantity(&self, value: f64, unit: &str, digits: usize) -> (String, String) {
        (self.number(value, digits), unit.to_owned())
    }
}

/// Numbers as the standard library writes them, rounded to so many significant digits; for tests and examples.
#[derive(Debug, Clone, Copy)]
pub struct Plain;

impl Writing for Plain {
    fn number(&self, value: f64, digits: usize) -> String {
        let rounded = format!("{value:.*e}", digits.saturating_sub(1));
        rounded.parse::<f64>().map_or(rounded, |value| value.to_string())
    }
}

#[cfg(test)]
mod tests;
