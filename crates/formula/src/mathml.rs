//! A formula as presentation MathML Core: no attribute but `display` and `accent`, so that a policy without inline
//! styles shows it, and a reader of the screen can speak it.

use crate::text::{Bond, OWN_DIGITS, Shown, own};
use crate::tree::{Expr, Function, Operation, Symbol};
use crate::{Line, Writing};

/// Multiplication that is not shown, and the application of a function.
const INVISIBLE_TIMES: &str = "<mo>\u{2062}</mo>";
const APPLIED: &str = "<mo>\u{2061}</mo>";
const DOT: &str = "<mo>·</mo>";

impl Line {
    /// The line in letters, as a block.
    pub fn mathml(&self) -> String {
        block(&format!("{}<mo>=</mo>{}", self.result.mathml(), write(&self.formula, Shown::Letters).0))
    }

    /// The line with the numbers put in, and its value, as a block.
    pub fn mathml_with_numbers(&self, writing: &dyn Writing) -> String {
        let (letter, value) = (self.result.mathml(), quantity(&self.result, writing).0);
        let put_in = write(&self.formula, Shown::Numbers(writing)).0;
        block(&format!("{letter}<mo>=</mo>{put_in}<mo>=</mo>{value}"))
    }
}

impl Symbol {
    /// The letter, to stand in a formula.
    pub fn mathml(&self) -> String {
        letter(&self.letter)
    }
}

/// A formula of its own.
fn block(inside: &str) -> String {
    format!("<math display=\"block\">{inside}</math>")
}

/// A text as it stands in markup.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A letter with its index, its dot and its star.
fn letter(text: &str) -> String {
    let (base, index) = text.split_once('_').map_or((text, None), |(base, index)| (base, Some(index)));
    let (base, star) = base.strip_suffix('*').map_or((base, false), |base| (base, true));
    let set = match (base.strip_suffix('\u{307}'), base.strip_prefix('Δ')) {
        (Some(dotted), _) => format!("<mover accent=\"true\">{}<mo>˙</mo></mover>", identifier(dotted)),
        (_, Some(rest)) if !rest.is_empty() => format!("<mrow><mi>Δ</mi>{}</mrow>", identifier(rest)),
        _ => identifier(base),
    };
    match (index, star) {
        (None, false) => set,
        (Some(index), false) => format!("<msub>{set}{}</msub>", identifier(index)),
        (None, true) => format!("<msup>{set}<mo>*</mo></msup>"),
        (Some(index), true) => format!("<msubsup>{set}{}<mo>*</mo></msubsup>", identifier(index)),
    }
}

fn identifier(text: &str) -> String {
    let of_digits = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    let tag = if of_digits { "mn" } else { "mi" };
    format!("<{tag}>{}</{tag}>", escaped(text))
}

/// A number as it was written. A power of ten is set as one.
fn numeral(text: &str) -> (String, Bond) {
    let (sign, digits) = match text.strip_prefix(['−', '-']) {
        Some(digits) => ("<mo>−</mo>", digits),
        None => ("", text),
    };
    let signed = |set: String, bond| {
        if sign.is_empty() { (set, bond) } else { (format!("<mrow>{sign}{set}</mrow>"), Bond::Signed) }
    };
    match digits.split_once('e') {
        Some((mantissa, power)) => {
            let power = match power.strip_prefix(['−', '-']) {
                Some(power) => format!("<mrow><mo>−</mo><mn>{power}</mn></mrow>"),
                None => format!("<mn>{power}</mn>"),
            };
            let set = format!("<mrow><mn>{mantissa}</mn>{DOT}<msup><mn>10</mn>{power}</msup></mrow>");
            signed(set, Bond::Product)
        }
        None => signed(format!("<mn>{}</mn>", escaped(digits)), Bond::Whole),
    }
}

/// The value of a quantity with its unit.
fn quantity(symbol: &Symbol, writing: &dyn Writing) -> (String, Bond) {
    let (number, unit) = writing.quantity(symbol.value, symbol.unit.sign, symbol.digits);
    let (set, bond) = numeral(&number);
    if unit.is_empty() {
        return (set, bond);
    }
    (format!("<mrow>{set}<mtext>\u{a0}{}</mtext></mrow>", escaped(&unit)), bond.min(Bond::Product))
}

fn bracketed(inside: &str) -> String {
    format!("<mrow><mo>(</mo>{inside}<mo>)</mo></mrow>")
}

fn write(expr: &Expr, shown: Shown<'_>) -> (String, Bond) {
    let within = |part: &Expr, least: Bond| {
        let (set, bond) = write(part, shown);
        if bond < least { bracketed(&set) } else { set }
    };
    match expr {
        Expr::Number(value) => numeral(&own(*value)),
        Expr::Constant(sign, value) => match shown {
            Shown::Numbers(writing) if *sign != "π" => numeral(&writing.number(*value, OWN_DIGITS - 1)),
            _ => (letter(sign), Bond::Whole),
        },
        Expr::Symbol(s) => match shown {
            Shown::Letters => (s.mathml(), Bond::Whole),
            Shown::Numbers(writing) => quantity(s, writing),
        },
        Expr::Two(operation, a, b) => two(*operation, (a, b), shown, &within),
        Expr::One(function, a) => {
            let called = |name: &str| {
                (
                    format!("<mrow><mi>{name}</mi>{APPLIED}{}</mrow>", bracketed(&write(a, shown).0)),
                    Bond::Whole,
                )
            };
            match function {
                Function::Negative => {
                    (format!("<mrow><mo>−</mo>{}</mrow>", within(a, Bond::Product)), Bond::Signed)
                }
                Function::Exponential => called("exp"),
                Function::Logarithm => called("ln"),
                Function::Root => (format!("<msqrt>{}</msqrt>", write(a, shown).0), Bond::Whole),
            }
        }
    }
}

fn two(
    operation: Operation,
    (a, b): (&Expr, &Expr),
    shown: Shown<'_>,
    within: &dyn Fn(&Expr, Bond) -> String,
) -> (String, Bond) {
    let chosen = |name: &str| {
        let (a, b) = (write(a, shown).0, write(b, shown).0);
        (
            format!("<mrow><mi>{name}</mi>{APPLIED}{}</mrow>", bracketed(&format!("{a}<mo>,</mo>{b}"))),
            Bond::Whole,
        )
    };
    match operation {
        Operation::Plus => {
            let (a, b) = (within(a, Bond::Signed), within(b, Bond::Sum));
            (format!("<mrow>{a}<mo>+</mo>{b}</mrow>"), Bond::Sum)
        }
        Operation::Minus => {
            let (a, b) = (within(a, Bond::Signed), within(b, Bond::Product));
            (format!("<mrow>{a}<mo>−</mo>{b}</mrow>"), Bond::Sum)
        }
        Operation::Times => {
            let sign = if begins_with_number(b, shown) { DOT } else { INVISIBLE_TIMES };
            let (a, b) = (within(a, Bond::Product), within(b, Bond::Product));
            (format!("<mrow>{a}{sign}{b}</mrow>"), Bond::Product)
        }
        Operation::Over => {
            let (a, b) = (write(a, shown).0, write(b, shown).0);
            (format!("<mfrac>{a}{b}</mfrac>"), Bond::Quotient)
        }
        Operation::Power => {
            let (base, exponent) = (within(a, Bond::Whole), write(b, shown).0);
            (format!("<msup>{base}{exponent}</msup>"), Bond::Power)
        }
        Operation::Least => chosen("min"),
        Operation::Greatest => chosen("max"),
    }
}

/// Whether a part begins with a digit, so that a product with it needs a visible sign.
fn begins_with_number(expr: &Expr, shown: Shown<'_>) -> bool {
    match expr {
        Expr::Number(_) => true,
        Expr::Constant(sign, _) => *sign != "π" && matches!(shown, Shown::Numbers(_)),
        Expr::Symbol(_) => matches!(shown, Shown::Numbers(_)),
        Expr::Two(Operation::Least | Operation::Greatest, ..) => false,
        // A fraction stands by itself between letters; between numbers a sign parts it from what is before.
        Expr::Two(Operation::Over, ..) => matches!(shown, Shown::Numbers(_)),
        Expr::Two(_, a, _) => begins_with_number(a, shown),
        Expr::One(..) => false,
    }
}
