//! A table of readings against solids loading, as text.
//!
//! The same form as that of rheometer readings (`rheometry::read`), with the columns `loading [vol%]`
//! and one or both of `density [g/cm³]` (or kg/m³) and a resistance: `torque \[N·m\]`,
//! `viscosity \[Pa·s\]` at one shear rate and temperature, or `relative viscosity` (a pure number).
//! Cells of either may be empty.

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{self, ParsedRow};
use crate::rheometry::units::Quantity;
use serde::{Deserialize, Serialize};

/// The form of a table in words, for whoever has to write one.
pub const FORM: &[&str] = &[
    "One header line, then one line for each loading; cells may be empty.",
    "loading [vol%], and one or both of density [g/cm³ or kg/m³] and a resistance to flow: torque [N·m], viscosity [Pa·s] at one shear rate and temperature, or relative viscosity.",
    "Separated by commas, semicolons or tabs; decimal commas where the separator is no comma. # begins a comment.",
];

/// A reading at one loading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LoadingReading {
    /// Solids loading [vol%].
    pub loading: f64,
    /// The reading: kg/m³, N·m, Pa·s or a pure number.
    pub value: f64,
    /// Line of the text, from 1.
    pub line: usize,
}

/// What measures the resistance to flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Resistance {
    /// Viscosity of the mixture over that of the binder.
    RelativeViscosity,
    /// Viscosity at one shear rate and temperature \[Pa·s\].
    Viscosity,
    /// Mixing torque \[N·m\].
    Torque,
}

impl Resistance {
    /// Name for people.
    pub fn label(self) -> &'static str {
        match self {
            Self::RelativeViscosity => "relative viscosity",
            Self::Viscosity => "viscosity",
            Self::Torque => "torque",
        }
    }

    /// Unit of the readings; empty for a pure number.
    pub fn unit(self) -> &'static str {
        match self {
            Self::RelativeViscosity => "",
            Self::Viscosity => "Pa·s",
            Self::Torque => "N·m",
        }
    }
}

/// Readings against loading.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LoadingTable {
    /// Densities \[kg/m³\].
    pub density: Vec<LoadingReading>,
    /// Torques or viscosities, all of one kind.
    pub resistance: Vec<(Resistance, LoadingReading)>,
    /// Sentences for the user on how the text was understood.
    pub notes: Vec<String>,
}

const RESISTANCES: [(Quantity, Resistance); 3] = [
    (Quantity::RelativeViscosity, Resistance::RelativeViscosity),
    (Quantity::Viscosity, Resistance::Viscosity),
    (Quantity::Torque, Resistance::Torque),
];

/// Reads the text of a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str) -> Result<LoadingTable, TableError> {
    let wanted = [
        Quantity::Loading,
        Quantity::Density,
        Quantity::Torque,
        Quantity::Viscosity,
        Quantity::RelativeViscosity,
    ];
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &wanted, None, &mut problems) else {
        return Err(problems);
    };
    let mut out = LoadingTable { notes: table.notes(), ..LoadingTable::default() };
    let loading = table.place(Quantity::Loading);
    let density = table.place(Quantity::Density);
    let resistances: Vec<(usize, Resistance)> =
        RESISTANCES.iter().filter_map(|&(quantity, kind)| Some((table.place(quantity)?, kind))).collect();
    let mut missing = Vec::new();
    if loading.is_none() {
        missing.push("loading [vol%]");
    }
    if density.is_none() && resistances.is_empty() {
        missing.push("density [g/cm³], torque [N·m], viscosity [Pa·s] or relative viscosity");
    }
    let Some(loading) = loading.filter(|_| missing.is_empty()) else {
        table.lacks(format!("Columns are missing: {}.", missing.join(", ")), &mut problems);
        return Err(problems);
    };
    if let [(_, kept), (_, other), ..] = resistances[..] {
        out.notes.push(format!("The {} is used, the {} is not.", kept.label(), other.label()));
    }
    for row in &table.rows {
        let Some(value) = row.values[loading] else {
            if !problems.problems.iter().any(|p| p.line == Some(row.line)) {
                problems.push(
                    Some(row.line),
                    Some(&table.columns[loading].header),
                    "The cell is empty; a number is needed.",
                );
            }
            continue;
        };
        if !(0.0..0.95).contains(&value) {
            problems.push(
                Some(row.line),
                Some(&table.columns[loading].header),
                "It must lie between 0 and 95 vol%; a share by weight has to be converted first.",
            );
            continue;
        }
        let mut take = |place: usize, row: &ParsedRow| {
            let found = row.values[place]?;
            if found <= 0.0 {
                problems.push(Some(row.line), Some(&table.columns[place].header), "It must be above zero.");
                return None;
            }
            Some(LoadingReading { loading: 100.0 * value, value: found, line: row.line })
        };
        out.density.extend(density.and_then(|place| take(place, row)));
        if let Some(&(place, kind)) = resistances.first() {
            out.resistance.extend(take(place, row).map(|reading| (kind, reading)));
        }
    }
    if out.density.is_empty() && out.resistance.is_empty() && problems.problems.is_empty() {
        problems.push(None, None, "Every density, torque and viscosity is empty.");
    }
    problems.or(out)
}
