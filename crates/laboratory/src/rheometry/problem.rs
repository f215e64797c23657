//! Problems of a table of readings, line by line.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Greatest number of problems listed. Of the rest, the number is given.
const MAX_PROBLEMS: usize = 20;

/// One problem of a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TableProblem {
    /// Line number of an editor, from 1; `None` if the whole text is meant.
    pub line: Option<usize>,
    /// Header of the column; `None` if the whole line is meant.
    pub column: Option<String>,
    /// The problem, and what is needed.
    pub message: String,
}

impl fmt::Display for TableProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.line, &self.column) {
            (Some(line), Some(column)) => {
                write!(f, "line {line}, column “{column}”: {}", self.message)
            }
            (Some(line), None) => write!(f, "line {line}: {}", self.message),
            (None, Some(column)) => write!(f, "column “{column}”: {}", self.message),
            (None, None) => f.write_str(&self.message),
        }
    }
}

/// Why a table could not be read: up to 20 problems, and how many more there were.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TableError {
    /// The problems, in the order of the text.
    pub problems: Vec<TableProblem>,
    /// Problems found beyond those listed.
    pub unlisted: usize,
}

impl TableError {
    /// Adds a problem; after twenty it is only counted.
    pub fn push(&mut self, line: Option<usize>, column: Option<&str>, message: impl Into<String>) {
        if self.problems.len() < MAX_PROBLEMS {
            self.problems.push(TableProblem {
                line,
                column: column.map(str::to_owned),
                message: message.into(),
            });
        } else {
            self.unlisted += 1;
        }
    }

    /// A problem of the whole text.
    pub fn whole(message: impl Into<String>) -> Self {
        let mut error = Self::default();
        error.push(None, None, message);
        error
    }

    /// The value, if there is no problem.
    ///
    /// # Errors
    /// These problems.
    pub fn or<T>(self, value: T) -> Result<T, Self> {
        if self.problems.is_empty() { Ok(value) } else { Err(self) }
    }
}

impl fmt::Display for TableError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            if i > 0 {
                f.write_str("\n")?;
            }
            problem.fmt(f)?;
        }
        if self.unlisted > 0 {
            write!(f, "\nand {} more", self.unlisted)?;
        }
        Ok(())
    }
}

impl std::error::Error for TableError {}
