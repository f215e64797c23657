//! A table of the numbers behind a figure: for screen readers, for copying, and as CSV. Each figure fills its own.

use gatefrost_core::format::csv_field;
use gatefrost_core::units::Units;
use serde::Serialize;

/// A figure's numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DataTable {
    /// What the table shows, in a sentence.
    pub caption: String,
    /// The columns.
    pub columns: Vec<DataColumn>,
    /// The rows; each has one cell a column.
    pub rows: Vec<Vec<DataCell>>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DataColumn {
    /// What it holds.
    pub title: String,
    /// In which unit; empty for text and pure numbers.
    pub unit: String,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(untagged)]
pub enum DataCell {
    /// A number.
    Number(f64),
    /// A text, which may come from a stranger's scenario.
    Text(String),
    /// Nothing, where a value does not exist.
    Empty,
}

impl DataCell {
    pub(crate) fn number(value: f64) -> Self {
        if value.is_finite() { Self::Number(value) } else { Self::Empty }
    }

    pub(crate) fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    fn csv(&self) -> String {
        match self {
            Self::Number(value) => value.to_string(),
            Self::Text(text) => csv_field(text),
            Self::Empty => String::new(),
        }
    }
}

impl DataTable {
    /// The same with every column in the units in which a reader sees it.
    #[must_use]
    pub fn shown_in(mut self, units: Units) -> Self {
        for (i, column) in self.columns.iter_mut().enumerate() {
            let view = units.shown(&column.unit);
            for cell in self.rows.iter_mut().filter_map(|row| row.get_mut(i)) {
                if let DataCell::Number(value) = cell {
                    *value = view.of(*value);
                }
            }
            column.unit = view.unit.to_owned();
        }
        self.caption = units.restated(&self.caption);
        self
    }

    /// The table as CSV (RFC 4180) with a head line; numbers in full.
    pub fn to_csv(&self) -> String {
        let head = self.columns.iter().map(|c| {
            csv_field(&if c.unit.is_empty() { c.title.clone() } else { format!("{} [{}]", c.title, c.unit) })
        });
        let mut csv = head.collect::<Vec<_>>().join(",");
        csv.push_str("\r\n");
        for row in &self.rows {
            csv.push_str(&row.iter().map(DataCell::csv).collect::<Vec<_>>().join(","));
            csv.push_str("\r\n");
        }
        csv
    }
}

/// Columns of these titles and units.
pub(crate) fn columns(list: &[(&str, &str)]) -> Vec<DataColumn> {
    list.iter()
        .map(|(title, unit)| DataColumn { title: (*title).to_owned(), unit: (*unit).to_owned() })
        .collect()
}

/// Lists of equal meaning side by side; a shorter list leaves its cells empty.
pub(crate) fn side_by_side(caption: String, heads: &[(&str, &str)], lists: &[&[f64]]) -> DataTable {
    rows_of(caption, columns(heads), lists)
}

/// As [`side_by_side`], with columns that are made already.
pub(crate) fn rows_of(caption: String, columns: Vec<DataColumn>, lists: &[&[f64]]) -> DataTable {
    let longest = lists.iter().map(|l| l.len()).max().unwrap_or(0);
    let cell = |list: &[f64], i: usize| list.get(i).map_or(DataCell::Empty, |v| DataCell::number(*v));
    let rows = (0..longest).map(|i| lists.iter().map(|l| cell(l, i)).collect()).collect();
    DataTable { caption, columns, rows }
}
