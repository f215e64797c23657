//! The governing equations of the solvers, written in `equations.txt`.

#![allow(missing_docs)]

/// An equation as TeX and as MathML.
#[derive(Debug)]
pub struct Equation {
    /// TeX.
    pub tex: &'static str,
    /// MathML, as a block.
    pub mathml: &'static str,
    /// Its letters, in the order in which they are told.
    pub letters: &'static [Letter],
}

/// A letter of an equation.
#[derive(Debug)]
pub struct Letter {
    /// TeX.
    pub tex: &'static str,
    /// MathML.
    pub mathml: &'static str,
    /// What it is.
    pub words: &'static str,
}

include!(concat!(env!("OUT_DIR"), "/equations.rs"));
