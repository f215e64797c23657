//! The results of a scenario with one input moved, as far as they depend on it.

use crate::results::Root;
use crate::{Results, at};
use gatefrost_after::plan::FromMould;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::{Report, evaluate};
use gatefrost_safety::{from_mould, handed_on};

/// The results at some paths.
pub(crate) fn values(results: &Results<'_>, paths: &[String]) -> Vec<Option<f64>> {
    let of = |path: &String| at(path).and_then(|(entry, row)| (entry.value)(results, row));
    paths.iter().map(of).collect()
}

/// What is computed for a moved scenario.
pub(crate) struct Chain<'a> {
    pub(crate) root: Root,
    pub(crate) paths: &'a [String],
    /// The report of the scenario that is not moved.
    pub(crate) report: &'a Report,
    /// What the mould hands on there.
    pub(crate) mould: Option<&'a FromMould>,
}

impl Chain<'_> {
    /// The results with the input at a path moved; the path is empty for depths and viscosity.
    pub(crate) fn values(&self, s: &Scenario, input: &str) -> Option<Vec<Option<f64>>> {
        if self.root == Root::Report {
            let report = evaluate(s).ok()?;
            return Some(values(&Results { report: &report, planned: None }, self.paths));
        }
        s.validate().ok()?;
        let mould = if self.root.of_mould() { self.mould_with(s, input)? } else { None };
        let planned = self.root.planned_with(s, mould);
        Some(values(&Results { report: self.report, planned: Some(&planned) }, self.paths))
    }

    /// What the mould hands on with an input moved.
    fn mould_with(&self, s: &Scenario, input: &str) -> Option<Option<FromMould>> {
        let under = |heads: &[&str]| heads.iter().any(|head| input.starts_with(head));
        if under(&["sizes.", "debinding.", "sintering."]) {
            return Some(self.mould.cloned());
        }
        if under(&["scatter."]) {
            return from_mould(s).ok();
        }
        let scatter = || self.mould.map_or_else(Vec::new, |mould| mould.scatter.clone());
        Some(handed_on(&evaluate(s).ok()?, scatter))
    }
}
