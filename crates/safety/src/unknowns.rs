//! Which uncertain number matters most at the set point.

use super::{ROUGH, at_most, counting};
use gatefrost_core::catalogue;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_numerics::order;
use gatefrost_window::{Margins, margins_here};
use serde::Serialize;
use std::borrow::Cow;

/// What one standard error of an uncertain number does to the set point.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Unknown {
    /// Path of the number.
    pub path: Cow<'static, str>,
    /// What it is called.
    pub title: Cow<'static, str>,
    /// The least margin of the limits that apply, as set.
    pub least: f64,
    /// The lower of the least margins with the number one standard error up and down; absent where neither can be computed.
    pub least_then: Option<f64>,
    /// The limit that has that margin.
    pub limit: Option<Limit>,
    /// Its name; empty where there is none.
    pub label: Cow<'static, str>,
}

/// The uncertain numbers, the one that lowers the least margin most first. Each is moved by one standard error up and
/// down, the others stay as set; correlation is left out. On a model good enough for differences.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn unknowns(scenario: &Scenario) -> Result<Vec<Unknown>, ScenarioError> {
    scenario.validate()?;
    let scenario = &at_most(scenario, ROUGH);
    let Some(uncertainty) = &scenario.feedstock.uncertainty else { return Ok(Vec::new()) };
    let limits = counting(scenario);
    let least_of = |margins: &Margins| {
        limits.iter().map(|&k| (margins[k], Limit::ALL[k])).min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let Some((least, _)) = least_of(&margins_here(scenario)) else { return Ok(Vec::new()) };
    let mut found = Vec::new();
    for doubt in &uncertainty.numbers {
        let Some(parameter) = catalogue::at(&doubt.path) else { continue };
        let alone = uncertainty.alone(doubt);
        let moved = |normal: f64| {
            let drawn = alone.draw(scenario, &[normal]);
            if drawn.validate().is_ok() { least_of(&margins_here(&drawn)) } else { None }
        };
        let then = [1.0, -1.0].into_iter().filter_map(moved).min_by(|a, b| a.0.total_cmp(&b.0));
        found.push(Unknown {
            path: doubt.path.clone().into(),
            title: parameter.title.into(),
            least,
            least_then: then.map(|(g, _)| g),
            limit: then.map(|(_, limit)| limit),
            label: then.map_or("", |(_, limit)| limit.label()).into(),
        });
    }
    order::sort_by(&mut found, |unknown| unknown.least_then.unwrap_or(f64::NEG_INFINITY));
    Ok(found)
}
