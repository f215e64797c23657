//! What can go wrong, sorted by exit code.

use gatefrost_core::scenario::{Problem, ScenarioError};
use gatefrost_laboratory::rheometry::TableError;
use std::io;

/// Why a command did not end well.
#[derive(Debug, PartialEq)]
pub(crate) enum Failure {
    /// The command line itself is wrong; what to print, in whole lines.
    Usage(String),
    /// Not a failure: what the command line asks to be shown, in whole lines.
    Shown(String),
    /// Input or output is bad; one line for each problem.
    Bad(Vec<String>),
    /// Whoever reads our output has stopped reading.
    ReaderGone,
}

impl Failure {
    /// A failed read or write of something named.
    pub(crate) fn io(name: &str, error: &io::Error) -> Self {
        Self::Bad(vec![format!("{name}: {error}")])
    }

    /// Problems found in something named.
    pub(crate) fn problems(name: &str, problems: &[Problem]) -> Self {
        Self::Bad(problems.iter().map(|p| format!("{name}: {p}")).collect())
    }

    /// Problems of the scenario read from something named.
    pub(crate) fn scenario(name: &str, error: &ScenarioError) -> Self {
        Self::problems(name, &error.problems)
    }

    /// Problems of the table read from something named.
    pub(crate) fn table(name: &str, error: &TableError) -> Self {
        let mut lines: Vec<String> = error.problems.iter().map(|p| format!("{name}: {p}")).collect();
        if error.unlisted > 0 {
            lines.push(format!("{name}: and {} more", error.unlisted));
        }
        Self::Bad(lines)
    }
}
