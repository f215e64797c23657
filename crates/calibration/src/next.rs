//! The next shots: settings whose readings would narrow what matters most.
//!
//! Linear about the present state: a shot with readings j (rows J, errors σ) takes the covariance C of the unknowns to
//! C' = (C⁻¹ + Jᵀ Σ⁻¹ J)⁻¹. What matters are margins g of the limits near the set point, or the mass and so the size of the part:
//! the shot that lowers Σ w gᵀC'g / gᵀCg most is taken, then the next one with C' in the place of C.

use crate::forward::{self, COARSE};
use crate::prior::{Prior, Shots};
use crate::quantity::Read;
use crate::result::{ReadBand, band, variance};
use crate::search::slopes;
use crate::solve::{Model, identity, information, inverse};
use gatefrost_core::case::Case;
use gatefrost_core::limits::{COUNT, Limit, is_of_machine, margins};
use gatefrost_core::scenario::{Scenario, Shot};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::points::spread;
use serde::{Deserialize, Serialize};

/// Settings that are looked at.
const CANDIDATES: usize = 40;
/// Settings that a shot changes.
const CHANGED: usize = 5;
/// A limit matters with half of the weight at this margin.
const NEAR: f64 = 0.3;
/// Most shots of a plan.
const MOST: usize = 5;

/// A shot that is proposed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PlannedShot {
    /// Its settings.
    pub shot: Shot,
    /// What it will read, with 95 % bands.
    pub expected: Vec<(Read, ReadBand)>,
    /// Standard deviation of what matters after it over that before the plan: the mean over what matters.
    pub left: f64,
}

/// The next shots.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShotPlan {
    /// In the order in which they are to be made.
    pub shots: Vec<PlannedShot>,
    /// What the plan narrows, in words.
    pub narrows: String,
    /// What is to be said.
    pub remarks: Vec<String>,
}

/// Proposes up to five shots for a scenario with its uncertainty. With `size`, they narrow the mass of the part at the set
/// point, else the margins of the limits near it.
///
/// # Errors
/// Sentences, where the scenario is not valid.
pub fn plan(scenario: &Scenario, count: usize, size: bool) -> Result<ShotPlan, Vec<String>> {
    scenario
        .validate()
        .map_err(|e| e.problems.iter().map(|p| format!("{}.", p.message)).collect::<Vec<_>>())?;
    let prior = Prior::of(scenario, &[]);
    let asked = asked(scenario);
    let (shots, mut remarks) = candidates(&prior, scenario);
    let aims = aims(&prior, size);
    let steps = Steps::of(&prior, &shots, &asked);
    let mut covariance: Vec<Vec<f64>> = identity(prior.names.len());
    let begin: Vec<f64> = aims.rows.iter().map(|row| variance(row, &covariance)).collect();
    let mut planned = Vec::new();
    for _ in 0..count.clamp(1, MOST) {
        let after = |i: usize| steps.after(i, &covariance, scenario, &asked);
        let left = |c: &[Vec<f64>]| -> f64 {
            let one = |((row, weight), begin): ((&Vec<f64>, &f64), &f64)| {
                weight * variance(row, c) / begin.max(1e-12)
            };
            let sum: f64 = aims.rows.iter().zip(&aims.weights).zip(&begin).map(one).sum();
            sum / aims.weights.iter().sum::<f64>().max(1e-12)
        };
        let scored = (0..shots.len()).map(|i| (i, left(&after(i))));
        let Some((best, square)) = scored.min_by(|a, b| a.1.total_cmp(&b.1)) else { break };
        let expected = steps.expected(best, &covariance, scenario, &asked);
        covariance = after(best);
        planned.push(PlannedShot { shot: shots[best].clone(), expected, left: square.max(0.0).sqrt() });
    }
    if planned.is_empty() {
        remarks.push(
            "No setting near the set point lies within the machine: look at the set point first.".to_owned(),
        );
    }
    Ok(ShotPlan { shots: planned, narrows: aims.told, remarks })
}

/// What a shot is to read: the quantities of the log, else peak pressure and part mass.
fn asked(scenario: &Scenario) -> Vec<Read> {
    let has = |read: &Read| scenario.shots.iter().any(|shot| read.of(shot).is_some());
    let logged: Vec<Read> =
        [Read::PeakPressure, Read::PartMass, Read::PartTemperature].into_iter().filter(has).collect();
    if logged.len() < 2 { vec![Read::PeakPressure, Read::PartMass] } else { logged }
}

fn coarse(mut s: Scenario) -> Scenario {
    s.model = s.model.at_most(COARSE[0], COARSE[1]);
    s
}

/// Settings about the set point that lie inside the window, as far as it is known, or at least within the machine.
fn candidates(prior: &Prior, scenario: &Scenario) -> (Vec<Shot>, Vec<String>) {
    let base = coarse(prior.scenario.clone());
    let (setup, flow) = (&scenario.setup, scenario.feedstock.no_flow_temperature);
    let lost = scenario.trials.pressure_loss;
    let unit = |u: f64, most: f64| (most.logarithm() * (2.0 * u - 1.0)).exponential();
    let rounded = |value: f64, digits: i32| {
        let scale = 10.0_f64.powi(digits - 1 - value.abs().max(1e-9).log10().floor() as i32);
        (value * scale).round() / scale
    };
    let of = |u: [f64; CHANGED]| Shot {
        melt_temperature: (setup.melt_temperature + 30.0 * (u[0] - 0.5)).round().max(flow + 5.0),
        mould_temperature: (setup.mould_temperature + 20.0 * (u[1] - 0.5)).round().max(0.0),
        injection_time: rounded(setup.injection_time * unit(u[2], 3.0), 2),
        hold_pressure: rounded((setup.hold_pressure * unit(u[3], 1.6) + lost).max(0.0), 2),
        hold_time: rounded(setup.hold_time * unit(u[4], 2.5), 2),
        cooling_time: setup.cooling_time,
        ..Shot::default()
    };
    let own = of([0.5; CHANGED]);
    let all: Vec<Shot> =
        std::iter::once(own).chain(spread::<CHANGED>(CANDIDATES, 0.3).into_iter().map(of)).collect();
    let shared = Case::resolve(&base);
    let valid: Vec<(Shot, [f64; COUNT])> = all
        .into_iter()
        .filter_map(|shot| {
            let s = forward::at(&base, &shot);
            s.validate().ok()?;
            let found = margins(&shared.at(&s).evaluate());
            Some((shot, found))
        })
        .collect();
    let applies = |limit: &Limit| !scenario.ignored.contains(limit);
    let meets = |found: &[f64; COUNT], of: &dyn Fn(Limit) -> bool| {
        Limit::ALL.iter().filter(|l| applies(l) && of(**l)).all(|limit| found[*limit as usize] >= 0.0)
    };
    let chosen = |of: &dyn Fn(Limit) -> bool| -> Vec<Shot> {
        valid.iter().filter(|(_, found)| meets(found, of)).map(|(shot, _)| shot.clone()).collect()
    };
    let inside = chosen(&|_| true);
    if inside.len() >= 3 {
        return (inside, Vec::new());
    }
    let told = "Fewer than three of the settings near the set point lie inside the window, as far as it is known. These shots are within the machine, but may make bad parts.";
    (chosen(&is_of_machine), vec![told.to_owned()])
}

/// What the plan is to narrow: derivatives by the unknowns, weights, and words.
struct Aims {
    rows: Vec<Vec<f64>>,
    weights: Vec<f64>,
    told: String,
}

/// What the plan is to narrow, as a model of the unknowns at the set point: margins, or the logarithm of the mass.
struct Aimed<'a> {
    prior: &'a Prior,
    size: bool,
}

impl Model for Aimed<'_> {
    /// Coarsely in any case: only derivatives and weights are made of it.
    fn predict(&self, z: &[f64], _coarse: bool) -> Vec<f64> {
        let case = Case::resolve(&coarse(self.prior.at(z)));
        let point = case.evaluate();
        if self.size {
            return vec![point.hold.as_ref().map_or(0.0, |hold| hold.part_mass.logarithm())];
        }
        margins(&point).to_vec()
    }
}

fn aims(prior: &Prior, size: bool) -> Aims {
    let (aimed, none) = (Aimed { prior, size }, vec![0.0; prior.names.len()]);
    let rows = slopes(&aimed, &none);
    if size {
        return Aims { rows, weights: vec![1.0], told: "the mass of the part at the set point".to_owned() };
    }
    let here = aimed.predict(&none, true);
    let matters = |i: &usize| {
        let moves: f64 = rows[*i].iter().map(|g| g * g).sum();
        moves > 1e-8 && !prior.scenario.ignored.contains(&Limit::ALL[*i])
    };
    let places: Vec<usize> = (0..COUNT).filter(matters).collect();
    let weight = |i: usize| 1.0 / (1.0 + (here[i] / NEAR).powi(2));
    let mut near = places.clone();
    near.sort_by(|a, b| weight(*b).total_cmp(&weight(*a)));
    let names: Vec<String> = near.iter().take(3).map(|i| Limit::ALL[*i].label().to_lowercase()).collect();
    Aims {
        rows: places.iter().map(|&i| rows[i].clone()).collect(),
        weights: places.iter().map(|&i| weight(i)).collect(),
        told: format!("the limits near the set point, first {}", names.join(", ")),
    }
}

/// Readings of the candidates and their derivatives: for each candidate, one for each quantity.
struct Steps {
    values: Vec<Vec<f64>>,
    rows: Vec<Vec<Vec<f64>>>,
}

impl Steps {
    fn of(prior: &Prior, shots: &[Shot], asked: &[Read]) -> Self {
        let model = Shots { prior, asked: shots.iter().map(|shot| (shot.clone(), asked.to_vec())).collect() };
        let none = vec![0.0; prior.names.len()];
        let (values, mut rows) = (model.predict(&none, true), slopes(&model, &none));
        rows.iter_mut().flatten().filter(|slope| !slope.is_finite()).for_each(|slope| *slope = 0.0);
        let of_shot = asked.len();
        Self {
            values: values.chunks(of_shot).map(<[f64]>::to_vec).collect(),
            rows: rows.chunks(of_shot).map(<[Vec<f64>]>::to_vec).collect(),
        }
    }

    /// The covariance after the readings of a candidate.
    fn after(&self, i: usize, covariance: &[Vec<f64>], scenario: &Scenario, asked: &[Read]) -> Vec<Vec<f64>> {
        let weights: Vec<f64> = asked.iter().map(|read| read.spread(&scenario.trials, 1).powi(-2)).collect();
        inverse(information(inverse(covariance.to_vec()), &self.rows[i], &weights))
    }

    fn expected(
        &self,
        i: usize,
        covariance: &[Vec<f64>],
        scenario: &Scenario,
        asked: &[Read],
    ) -> Vec<(Read, ReadBand)> {
        let one = |(j, read): (usize, &Read)| {
            let known = variance(&self.rows[i][j], covariance).sqrt();
            (
                *read,
                band(
                    *read,
                    self.values[i][j],
                    known.hypotenuse(read.spread(&scenario.trials, 1)),
                    f64::INFINITY,
                ),
            )
        };
        asked.iter().enumerate().map(one).collect()
    }
}
