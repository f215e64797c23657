//! The limits that bound the window: signed, continuous margins of one evaluated set point.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A limit of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// Filling at the set rate needs more pressure than the machine has.
    ShortShot,
    /// The melt is too stiff at the gate.
    StiffGate,
    /// Powder and binder part under shear.
    Separation,
    /// The binder begins to decompose.
    Burning,
    /// The flow front is too cold to weld.
    ColdFront,
    /// The opening force lifts the mould.
    Flash,
    /// Packing cannot make up for shrinkage.
    Sink,
    /// The machine cannot inject that fast.
    Rate,
}

/// How clear of one limit a set point is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Margin {
    /// Which limit.
    pub limit: Limit,
    /// Short name, as it stands beside the limit's line.
    pub label: Cow<'static, str>,
    /// Signed margin g on the limit's own scale: positive inside, zero on the line, negative outside.
    pub g: f64,
    /// What was found, in `unit`.
    pub value: f64,
    /// What is allowed, in `unit`.
    pub threshold: f64,
    /// Unit of value and threshold.
    pub unit: Cow<'static, str>,
    /// What happens, and by how much it is cleared or missed, in a sentence.
    pub sentence: String,
    /// What would help most.
    pub remedy: Cow<'static, str>,
}
