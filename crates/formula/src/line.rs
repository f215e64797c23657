//! A line of a calculation: a quantity and the formula that gives it.

use crate::tree::{Expr, Symbol};
use crate::unit::{Dimension, Unit};
use std::borrow::Cow;

/// A quantity and the formula that gives it. Later lines may use it.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The quantity, with the value that the formula gives.
    pub result: Symbol,
    /// The formula.
    pub formula: Expr,
}

impl Line {
    /// Computes a formula, and tells its value in a unit.
    pub fn new(
        letter: impl Into<Cow<'static, str>>,
        words: impl Into<Cow<'static, str>>,
        unit: Unit,
        formula: Expr,
    ) -> Self {
        let value = unit.of_si(formula.value());
        Self {
            result: Symbol { letter: letter.into(), words: words.into(), unit, value, digits: 4 },
            formula,
        }
    }

    /// The same with its value shown to so many digits.
    pub fn digits(mut self, digits: usize) -> Self {
        self.result.digits = digits;
        self
    }

    /// The value, in the unit of the result.
    pub fn value(&self) -> f64 {
        self.result.value
    }

    /// The result as a quantity of a further formula.
    pub fn symbol(&self) -> Expr {
        Expr::Symbol(Box::new(self.result.clone()))
    }

    /// Whether the formula has the dimension of the result's unit.
    ///
    /// # Errors
    /// Says which dimensions do not fit.
    pub fn check(&self) -> Result<(), String> {
        let (found, wanted) = (self.formula.dimension()?, self.result.unit.dimension);
        if found.is(wanted) {
            return Ok(());
        }
        let Dimension(found) = found;
        Err(format!("{} has the dimension {found:?}, not that of {}", self.text(), self.result.unit.sign))
    }
}
