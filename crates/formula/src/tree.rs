//! The tree of a formula: its parts, how it is written in Rust, and how it is computed.

use crate::unit::{Dimension, Unit};
use gatefrost_numerics::elementary::Elementary;
use std::borrow::Cow;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A quantity of a formula: its letter, what it is, and its value in its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Symbol {
    /// Letter with its index, such as `T_m`. A dot above is U+0307 after the letter, a star stands last: `τ*`.
    pub letter: Cow<'static, str>,
    /// What it is, in words.
    pub words: Cow<'static, str>,
    /// The unit of the value.
    pub unit: Unit,
    /// The value, in the unit.
    pub value: f64,
    /// Significant digits to which the value is shown.
    pub digits: usize,
}

/// What joins two parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operation {
    /// a + b.
    Plus,
    /// a − b.
    Minus,
    /// a b.
    Times,
    /// a/b.
    Over,
    /// aᵇ.
    Power,
    /// The lesser of both.
    Least,
    /// The greater of both.
    Greatest,
}

/// A function of one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Function {
    /// eˣ.
    Exponential,
    /// ln x.
    Logarithm,
    /// √x.
    Root,
    /// −x.
    Negative,
}

/// A formula. `+`, `−`, `·` and `/` join formulas, and plain numbers with them.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    /// A pure number that belongs to the formula.
    Number(f64),
    /// A mathematical constant with its letter: π.
    Constant(&'static str, f64),
    /// A quantity.
    Symbol(Box<Symbol>),
    /// Two parts.
    Two(Operation, Box<Expr>, Box<Expr>),
    /// A function of one part.
    One(Function, Box<Expr>),
}

/// A pure number.
pub fn number(value: f64) -> Expr {
    Expr::Number(value)
}

/// The number π.
pub fn pi() -> Expr {
    constant("π", std::f64::consts::PI)
}

/// A mathematical constant that keeps its letter; only π is shown by its letter where numbers are put in.
pub fn constant(letter: &'static str, value: f64) -> Expr {
    Expr::Constant(letter, value)
}

/// A quantity: letter, words, unit, and value in that unit.
pub fn symbol(
    letter: impl Into<Cow<'static, str>>,
    words: impl Into<Cow<'static, str>>,
    unit: Unit,
    value: f64,
) -> Expr {
    Expr::Symbol(Box::new(Symbol { letter: letter.into(), words: words.into(), unit, value, digits: 4 }))
}

/// The lesser of two.
pub fn least(a: Expr, b: Expr) -> Expr {
    a.with(Operation::Least, b)
}

/// The greater of two.
pub fn greater(a: Expr, b: Expr) -> Expr {
    a.with(Operation::Greatest, b)
}

/// The sum of some parts; `None` without any.
pub fn sum(parts: impl IntoIterator<Item = Expr>) -> Option<Expr> {
    parts.into_iter().reduce(|a, b| a + b)
}

impl From<f64> for Expr {
    fn from(value: f64) -> Self {
        number(value)
    }
}

impl Expr {
    fn with(self, operation: Operation, other: Self) -> Self {
        Self::Two(operation, Box::new(self), Box::new(other))
    }

    fn of(self, function: Function) -> Self {
        Self::One(function, Box::new(self))
    }

    /// This to a power.
    pub fn to(self, exponent: impl Into<Expr>) -> Self {
        self.with(Operation::Power, exponent.into())
    }

    /// Its square.
    pub fn squared(self) -> Self {
        self.to(2.0)
    }

    /// eˣ.
    pub fn exp(self) -> Self {
        self.of(Function::Exponential)
    }

    /// ln x.
    pub fn ln(self) -> Self {
        self.of(Function::Logarithm)
    }

    /// √x.
    pub fn sqrt(self) -> Self {
        self.of(Function::Root)
    }

    /// The value in SI. Not a number where a part has no value: the logarithm of a negative number, say.
    pub fn value(&self) -> f64 {
        match self {
            Self::Number(value) | Self::Constant(_, value) => *value,
            Self::Symbol(s) => s.unit.to_si(s.value),
            Self::Two(operation, a, b) => {
                let (a, b) = (a.value(), b.value());
                match operation {
                    Operation::Plus => a + b,
                    Operation::Minus => a - b,
                    Operation::Times => a * b,
                    Operation::Over => a / b,
                    Operation::Power => a.power(b),
                    Operation::Least => a.min(b),
                    Operation::Greatest => a.max(b),
                }
            }
            Self::One(function, a) => {
                let a = a.value();
                match function {
                    Function::Exponential => a.exponential(),
                    Function::Logarithm => a.logarithm(),
                    Function::Root => a.sqrt(),
                    Function::Negative => -a,
                }
            }
        }
    }

    /// The dimension.
    ///
    /// # Errors
    /// Names the operation whose parts do not fit together.
    pub fn dimension(&self) -> Result<Dimension, String> {
        let pure = |part: &Self, what: &str| {
            let found = part.dimension()?;
            let says = || format!("{what} of {} has the dimension {:?}", part.text(), found.0);
            if found.is(Dimension::NONE) { Ok(()) } else { Err(says()) }
        };
        match self {
            Self::Number(_) | Self::Constant(..) => Ok(Dimension::NONE),
            Self::Symbol(s) => Ok(s.unit.dimension),
            Self::Two(operation, a, b) => match operation {
                Operation::Times => Ok(a.dimension()?.times(b.dimension()?, 1.0)),
                Operation::Over => Ok(a.dimension()?.times(b.dimension()?, -1.0)),
                Operation::Power => {
                    pure(b, "the exponent")?;
                    Ok(Dimension::NONE.times(a.dimension()?, b.value()))
                }
                Operation::Plus | Operation::Minus | Operation::Least | Operation::Greatest => {
                    let (left, right) = (a.dimension()?, b.dimension()?);
                    if left.is(right) {
                        return Ok(left);
                    }
                    Err(format!(
                        "{} and {} have the dimensions {:?} and {:?}",
                        a.text(),
                        b.text(),
                        left.0,
                        right.0
                    ))
                }
            },
            Self::One(function, a) => match function {
                Function::Exponential => pure(a, "the exponential").map(|()| Dimension::NONE),
                Function::Logarithm => pure(a, "the logarithm").map(|()| Dimension::NONE),
                Function::Root => Ok(Dimension::NONE.times(a.dimension()?, 0.5)),
                Function::Negative => a.dimension(),
            },
        }
    }

    /// Every quantity in it once, in the order in which they stand.
    pub fn symbols(&self) -> Vec<&Symbol> {
        let mut found: Vec<&Symbol> = Vec::new();
        self.collect(&mut found);
        found
    }

    fn collect<'a>(&'a self, found: &mut Vec<&'a Symbol>) {
        match self {
            Self::Number(_) | Self::Constant(..) => {}
            Self::Symbol(s) => {
                if !found.iter().any(|known| known.letter == s.letter) {
                    found.push(s);
                }
            }
            Self::Two(_, a, b) => {
                a.collect(found);
                b.collect(found);
            }
            Self::One(_, a) => a.collect(found),
        }
    }
}

macro_rules! joined_by {
    ($($trait:ident $method:ident $operation:ident;)*) => {
        $(impl<T: Into<Expr>> $trait<T> for Expr {
            type Output = Expr;

            fn $method(self, other: T) -> Expr {
                self.with(Operation::$operation, other.into())
            }
        }

        impl $trait<Expr> for f64 {
            type Output = Expr;

            fn $method(self, other: Expr) -> Expr {
                number(self).with(Operation::$operation, other)
            }
        })*
    };
}

joined_by! {
    Add add Plus;
    Sub sub Minus;
    Mul mul Times;
    Div div Over;
}

impl Neg for Expr {
    type Output = Self;

    fn neg(self) -> Self {
        self.of(Function::Negative)
    }
}
