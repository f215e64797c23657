//! Rows of what is told, and how numbers stand in them.

use gatefrost_scenario::format::number;
use serde::Serialize;

/// One line of a table: what it is, what it is here, and what is usual, allowed or needed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Row {
    /// What is told.
    pub what: String,
    /// Its value here.
    pub here: String,
    /// What it is compared with: allowed, usual or needed.
    pub against: String,
    /// Whether it is met; `None` where there is nothing to meet.
    pub met: Option<bool>,
    /// The result behind the value, as `gatefrost explain` names it; `None` where the value is only of this plan.
    pub explains: Option<&'static str>,
}

impl Row {
    /// A line that compares nothing.
    pub(crate) fn told(what: &str, here: impl Into<String>, against: impl Into<String>) -> Self {
        Self { what: what.to_owned(), here: here.into(), against: against.into(), met: None, explains: None }
    }

    /// A line that is met or not.
    pub(crate) fn judged(what: &str, here: String, against: String, met: bool) -> Self {
        Self { what: what.to_owned(), here, against, met: Some(met), explains: None }
    }

    /// The same line, with the result that its value is or comes from.
    pub(crate) fn explained_by(self, result: &'static str) -> Self {
        Self { explains: Some(result), ..self }
    }
}

/// A number with three digits and its unit.
pub(crate) fn with(value: f64, unit: &str) -> String {
    let text = number(value, 3);
    if unit.is_empty() { text } else { format!("{text} {unit}") }
}

/// A share in per cent.
pub(crate) fn percent(share: f64) -> String {
    with(100.0 * share, "%")
}
