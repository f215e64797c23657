//! The governing equations of the solvers, written in `equations.txt`.

#![allow(missing_docs)]

/// An equation as TeX and as MathML.
#[derive(Debug)]
pub struct Equation {
    /// TeX.
    pub tex: &'static str,
    /// MathML, as a block.
    pub mathml: &'static str,
}

include!(concat!(env!("OUT_DIR"), "/equations.rs"));
