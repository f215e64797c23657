//! What is said of a result, as data.

use crate::equations::Equation;
use crate::hand::Hand;
use crate::{Facts, Results};
use gatefrost_after::plan::{DimensionPlan, Plan, SinterPlan, SizePlan, StepPlan};
use gatefrost_core::limits::Limit;
use gatefrost_report::FillReport;

/// A result that can be opened.
pub struct Entry {
    /// Its path, with `*` for a place in a list.
    pub key: &'static str,
    /// Its name.
    pub title: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Significant digits to which it is shown.
    pub digits: usize,
    /// Whether it depends on the constants of the flow law.
    pub rheology: bool,
    /// Where the list is, if it is one of a list.
    pub rows: Option<&'static Rows>,
    /// The value; `None` if there is none.
    pub value: fn(&Results<'_>, usize) -> Option<f64>,
    /// What it means: one or two sentences.
    pub meaning: &'static str,
    /// The equation that the solver solves for it.
    pub equation: &'static Equation,
    /// The estimate by hand.
    pub hand: fn(&Facts<'_>, usize) -> Hand,
    /// What the estimate is.
    pub stands: Stands,
    /// Why the estimate and the result differ.
    pub why: &'static str,
    /// How the difference is taken apart by computation.
    pub causes: Causes,
    /// The limit that it belongs to.
    pub limit: Option<Limit>,
    /// What the estimate rests on.
    pub source: &'static str,
    /// Chapter and anchor of the handbook at which the model is described.
    pub chapter: (&'static str, &'static str),
}

/// A list of the report or of the plan.
pub struct Rows {
    /// How many rows it has.
    pub count: fn(&Results<'_>) -> usize,
    /// Name of a row.
    pub name: fn(&Results<'_>, usize) -> String,
}

/// What an estimate by hand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// The result's own formula: the values are the same.
    Same,
    /// An estimate.
    Estimate,
    /// An upper bound.
    AtMost,
    /// A lower bound.
    AtLeast,
}

/// How the difference between result and estimate is taken apart: one cause after another is left out of the model.
pub enum Causes {
    /// It is not.
    None,
    /// Causes of the fill, for a number of its report.
    Fill(fn(&FillReport) -> f64),
    /// Causes of the freeze time of a gate; that of the last one without a row.
    Gate,
    /// Causes of a cooling time.
    Cooling,
    /// Causes of the time of a furnace step.
    Furnace,
    /// Causes of the pores that a step leaves.
    Pores,
    /// Causes of what the run of the sintering furnace does.
    Run,
}

/// The gates.
pub static GATES: Rows = Rows {
    count: |r| r.report.hold.as_ref().map_or(0, |hold| hold.gates.len()),
    name: |r, row| r.report.hold.as_ref().map_or_else(String::new, |hold| hold.gates[row].name.clone()),
};

/// The ends of flow.
pub static ENDS: Rows = Rows {
    count: |r| r.report.hold.as_ref().map_or(0, |hold| hold.ends.len()),
    name: |r, row| r.report.hold.as_ref().map_or_else(String::new, |hold| hold.ends[row].name.clone()),
};

/// The weld lines.
pub static WELDS: Rows = Rows {
    count: |r| r.report.fill.weld_lines.len(),
    name: |r, row| format!("weld line in {}", r.report.fill.weld_lines[row].passage),
};

/// The passages.
pub static PASSAGES: Rows =
    Rows { count: |r| r.report.fill.passages.len(), name: |r, row| r.report.fill.passages[row].name.clone() };

/// The plan of what follows the mould.
pub(crate) fn plan<'a>(r: &Results<'a>) -> Option<&'a Plan> {
    r.plan()
}

/// The sizes of the plan.
pub(crate) fn sizes<'a>(r: &Results<'a>) -> Option<&'a SizePlan> {
    plan(r)?.sizes.as_ref()
}

/// A named dimension of the plan.
pub(crate) fn dimension<'a>(r: &Results<'a>, row: usize) -> Option<&'a DimensionPlan> {
    sizes(r)?.dimensions.get(row)
}

/// A step of the plan.
pub(crate) fn step<'a>(r: &Results<'a>, row: usize) -> Option<&'a StepPlan> {
    plan(r)?.steps.get(row)
}

/// The furnace run of the plan.
pub(crate) fn run<'a>(r: &Results<'a>) -> Option<&'a SinterPlan> {
    plan(r)?.sintering.as_ref()
}

/// The named dimensions.
pub static DIMENSIONS: Rows = Rows {
    count: |r| sizes(r).map_or(0, |sizes| sizes.dimensions.len()),
    name: |r, row| dimension(r, row).map_or_else(String::new, |d| d.name.clone()),
};

/// The walls of the parts.
pub static WALLS: Rows = Rows {
    count: |r| plan(r).map_or(0, |plan| plan.walls.len()),
    name: |r, row| {
        plan(r).and_then(|plan| plan.walls.get(row)).map_or_else(String::new, |wall| wall.name.clone())
    },
};

/// The steps of debinding.
pub static STEPS: Rows = Rows {
    count: |r| plan(r).map_or(0, |plan| plan.steps.len()),
    name: |r, row| step(r, row).map_or_else(String::new, |step| format!("step {}, {}", row + 1, step.name)),
};

/// The deviations of the furnace run.
pub static DEVIATIONS: Rows = Rows {
    count: |r| run(r).map_or(0, |run| run.deviations.len()),
    name: |r, row| {
        run(r).and_then(|run| run.deviations.get(row)).map_or_else(String::new, |by| by.what.clone())
    },
};

impl Entry {
    /// How many rows it has; 1 if it is not one of a list.
    pub fn count(&self, results: &Results<'_>) -> usize {
        self.rows.map_or(1, |rows| (rows.count)(results))
    }

    /// Its path, with a place in its list.
    pub fn path(&self, row: usize) -> String {
        self.key.replace('*', &row.to_string())
    }
}
