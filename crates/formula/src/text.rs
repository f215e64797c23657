//! A formula as plain text, for a terminal.

use crate::tree::{Expr, Function, Operation, Symbol};
use crate::{Line, Writing};

/// How tightly a piece holds together. A part that holds less tightly than its place asks for gets brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Bond {
    /// Begins with a sign.
    Signed,
    /// A sum.
    Sum,
    /// A product, or a number with its unit.
    Product,
    /// A quotient on one line.
    Quotient,
    /// A power.
    Power,
    /// A letter, a number, something in brackets.
    Whole,
}

/// What the symbols become: their letters, or their numbers.
#[derive(Clone, Copy)]
pub(crate) enum Shown<'a> {
    Letters,
    Numbers(&'a dyn Writing),
}

/// Digits of the numbers that belong to a formula.
pub(crate) const OWN_DIGITS: usize = 6;

/// A sign and a superscript of whole exponents from 2 to 9.
const SUPERSCRIPTS: [char; 8] = ['²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];

impl Expr {
    /// The formula in letters: `6·Q/(w·h²)`.
    pub fn text(&self) -> String {
        write(self, Shown::Letters).0
    }

    /// The formula with the numbers put in: `6·10 cm³/s/(20 mm·(2 mm)²)`.
    pub fn text_with_numbers(&self, writing: &dyn Writing) -> String {
        write(self, Shown::Numbers(writing)).0
    }
}

impl Line {
    /// The line in letters.
    pub fn text(&self) -> String {
        format!("{} = {}", self.result.letter, self.formula.text())
    }

    /// The line with the numbers put in, and its value.
    pub fn text_with_numbers(&self, writing: &dyn Writing) -> String {
        let value = self.result.told(writing);
        format!("{} = {} = {value}", self.result.letter, self.formula.text_with_numbers(writing))
    }
}

impl Symbol {
    /// The value with its unit.
    pub fn told(&self, writing: &dyn Writing) -> String {
        let (number, unit) = writing.quantity(self.value, self.unit.sign, self.digits);
        if unit.is_empty() { number } else { format!("{number} {unit}") }
    }
}

/// A number that belongs to a formula, without a formatter.
pub(crate) fn own(value: f64) -> String {
    let text = format!("{value:.OWN_DIGITS$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    text.replace('-', "−")
}

/// Whether a power is written with a raised digit.
pub(crate) fn raised(exponent: &Expr) -> Option<usize> {
    let Expr::Number(value) = exponent else { return None };
    (2..=9).find(|digit| *value == *digit as f64)
}

fn write(expr: &Expr, shown: Shown<'_>) -> (String, Bond) {
    let within = |part: &Expr, least: Bond| {
        let (text, bond) = write(part, shown);
        if bond < least { format!("({text})") } else { text }
    };
    match expr {
        Expr::Number(value) => (own(*value), if *value < 0.0 { Bond::Signed } else { Bond::Whole }),
        Expr::Constant(letter, value) => match shown {
            Shown::Numbers(writing) if *letter != "π" => {
                (writing.number(*value, OWN_DIGITS - 1), Bond::Whole)
            }
            _ => ((*letter).to_owned(), Bond::Whole),
        },
        Expr::Symbol(s) => match shown {
            Shown::Letters => (s.letter.to_string(), Bond::Whole),
            Shown::Numbers(writing) => {
                let text = s.told(writing);
                let bond = bond_of(&text);
                (text, bond)
            }
        },
        Expr::Two(operation, a, b) => match operation {
            Operation::Plus => (format!("{} + {}", within(a, Bond::Signed), within(b, Bond::Sum)), Bond::Sum),
            Operation::Minus => {
                (format!("{} − {}", within(a, Bond::Signed), within(b, Bond::Product)), Bond::Sum)
            }
            Operation::Times => {
                (format!("{}·{}", within(a, Bond::Product), within(b, Bond::Product)), Bond::Product)
            }
            Operation::Over => {
                (format!("{}/{}", within(a, Bond::Product), within(b, Bond::Power)), Bond::Quotient)
            }
            Operation::Power => {
                let base = within(a, Bond::Whole);
                let power = raised(b).map_or_else(
                    || format!("^{}", within(b, Bond::Whole)),
                    |digit| SUPERSCRIPTS[digit - 2].to_string(),
                );
                (format!("{base}{power}"), Bond::Power)
            }
            Operation::Least => (format!("min({}, {})", write(a, shown).0, write(b, shown).0), Bond::Whole),
            Operation::Greatest => {
                (format!("max({}, {})", write(a, shown).0, write(b, shown).0), Bond::Whole)
            }
        },
        Expr::One(function, a) => match function {
            Function::Negative => (format!("−{}", within(a, Bond::Product)), Bond::Signed),
            Function::Exponential => (format!("exp({})", write(a, shown).0), Bond::Whole),
            Function::Logarithm => (format!("ln({})", write(a, shown).0), Bond::Whole),
            Function::Root => (format!("√({})", write(a, shown).0), Bond::Whole),
        },
    }
}

/// How tightly a quantity that is put in holds together.
pub(crate) fn bond_of(told: &str) -> Bond {
    if told.starts_with(['−', '-']) {
        Bond::Signed
    } else if told.contains([' ', 'e']) {
        Bond::Product
    } else {
        Bond::Whole
    }
}
