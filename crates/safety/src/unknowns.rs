//! Which uncertain number matters most at the set point.

use super::{ROUGH, at_most, counting};
use gatefrost_core::catalogue;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_numerics::order;
use gatefrost_window::{Margins, margins_here};
use serde::Serialize;
use std::borrow::Cow;

/// A margin that one standard error moves by less than this is not moved: that is rounding.
const STILL: f64 = 1e-6;

/// What an uncertain number does to the set point.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Unknown {
    /// Path of the number.
    pub path: Cow<'static, str>,
    /// What it is called.
    pub title: Cow<'static, str>,
    /// The limit whose line it comes to first; `None` where it moves no margin or cannot be computed.
    pub limit: Option<Limit>,
    /// Its name; empty where there is none.
    pub label: Cow<'static, str>,
    /// The margin of that limit as set.
    pub margin: f64,
    /// The same with the number one standard error towards its line: lower where the limit is met, higher where it is not.
    pub margin_then: f64,
    /// How many standard errors it takes to that line, to first order; `None` where the number moves no margin.
    pub errors: Option<f64>,
    /// Whether neither one standard error up nor down can be computed.
    pub impossible: bool,
}

/// The uncertain numbers, the one that matters most first: that which comes to the line of a limit within the fewest of its
/// standard errors, for then it decides the most shots. A limit that is far from every uncertain number, such as one of
/// the gate's depth, decides nothing here. Each number is moved by one standard error up and down, the others stay as set;
/// correlation is left out. On a model good enough for differences.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn unknowns(scenario: &Scenario) -> Result<Vec<Unknown>, ScenarioError> {
    scenario.validate()?;
    let scenario = &at_most(scenario, ROUGH);
    let Some(uncertainty) = &scenario.feedstock.uncertainty else { return Ok(Vec::new()) };
    if uncertainty.numbers.is_empty() {
        return Ok(Vec::new());
    }
    let (limits, here) = (counting(scenario), margins_here(scenario));
    let mut found = Vec::new();
    for doubt in &uncertainty.numbers {
        let Some(parameter) = catalogue::at(&doubt.path) else { continue };
        let alone = uncertainty.alone(doubt);
        let moved = |normal: f64| {
            let drawn = alone.draw(scenario, &[normal]);
            drawn.validate().is_ok().then(|| margins_here(&drawn))
        };
        let moved: Vec<Margins> = [1.0, -1.0].into_iter().filter_map(moved).collect();
        let nearest = nearest(&limits, &here, &moved);
        found.push(Unknown {
            path: doubt.path.clone().into(),
            title: parameter.title.into(),
            limit: nearest.map(|near| Limit::ALL[near.limit]),
            label: nearest.map_or("", |near| Limit::ALL[near.limit].label()).into(),
            margin: nearest.map_or(0.0, |near| here[near.limit]),
            margin_then: nearest.map_or(0.0, |near| near.then),
            errors: nearest.map(|near| near.errors),
            impossible: moved.is_empty(),
        });
    }
    order::sort_by(&mut found, |unknown| match unknown.errors {
        _ if unknown.impossible => f64::NEG_INFINITY,
        errors => errors.unwrap_or(f64::INFINITY),
    });
    Ok(found)
}

/// A limit that a number comes to.
#[derive(Clone, Copy)]
struct Near {
    limit: usize,
    then: f64,
    errors: f64,
}

/// The limit that is reached within the fewest standard errors.
fn nearest(limits: &[usize], here: &Margins, moved: &[Margins]) -> Option<Near> {
    let near = |&limit: &usize| {
        let g = here[limit];
        let towards = |margins: &Margins| if g < 0.0 { margins[limit] - g } else { g - margins[limit] };
        let then = moved.iter().max_by(|a, b| towards(a).total_cmp(&towards(b)))?;
        let by = towards(then);
        (by > STILL).then(|| Near { limit, then: then[limit], errors: g.abs() / by })
    };
    limits.iter().filter_map(near).min_by(|a, b| a.errors.total_cmp(&b.errors))
}
