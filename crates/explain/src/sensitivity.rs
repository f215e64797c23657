//! Which inputs move a result most: central differences through the whole chain, for a usual step of each input.
//!
//! One pair of evaluations for each input serves all results of the report, of the sizes, or of the furnace.
//!
//! For the sizes, an input of the mould changes how full the parts are. The scatter that the machine makes stays as it is at
//! the set point, because it takes a dozen evaluations; it follows the standard deviations of the settings alone.

use crate::chain::{Chain, values};
use crate::explanation::is_relative;
use crate::results::Root;
use crate::{Results, View, all, at};
use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::document;
use gatefrost_core::scenario::{Cavity, Role, Scenario, ScenarioError};
use gatefrost_formula::Writing;
use gatefrost_report::evaluate;
use serde::Serialize;

/// Inputs that are moved, besides viscosity, flow exponent and the sizes of the passages. Those that a scenario
/// does not have are left out.
const INPUTS: &[&str] = &[
    "setup.melt_temperature",
    "setup.mould_temperature",
    "setup.injection_time",
    "setup.hold_pressure",
    "setup.hold_time",
    "setup.cooling_time",
    "setup.contact_conductance",
    "feedstock.solids_loading",
    "feedstock.critical_loading",
    "feedstock.powder_density",
    "feedstock.binder_density",
    "feedstock.powder_heat_capacity",
    "feedstock.binder_heat_capacity",
    "feedstock.conductivity_factor",
    "feedstock.latent_heat",
    "feedstock.no_flow_temperature",
    "feedstock.ejection_temperature",
    "feedstock.binder_expansion",
    "feedstock.binder_compressibility",
    "feedstock.particle_size",
    "feedstock.sintered_density",
    "feedstock.powder_loss",
    "machine.max_pressure",
    "machine.dosing_rate",
    "machine.idle_time",
    "mould.water_flow",
    "mould.coolant_temperature",
];

/// How a size of all passages of a role is multiplied, the role, and what the size is called.
type Size = (fn(&mut Cavity, Role, f64), Role, &'static str);

/// Sizes that are moved.
const SIZES: [Size; 7] = [
    (Cavity::scale_depth, Role::Runner, "thickness of the runners"),
    (Cavity::scale_depth, Role::Gate, "thickness of the gates"),
    (Cavity::scale_depth, Role::Part, "wall thickness of the parts"),
    (Cavity::scale_length, Role::Sprue, "length of the sprue"),
    (Cavity::scale_length, Role::Runner, "length of the runners"),
    (Cavity::scale_length, Role::Gate, "length of the gates"),
    (Cavity::scale_length, Role::Part, "length of the parts"),
];

/// Numbers that say where others hold. Alone they are moved by nobody.
const REFERENCES: [&str; 2] = ["reference", "fitted_at"];

/// How many entries of a list are moved.
const MOST_ENTRIES: usize = 24;

/// How many inputs are told of each result.
const TOLD: usize = 5;
/// Changes below this, relative to the result or in its unit, are noise of the computation.
const NOISE: f64 = 2e-5;

/// A usual step by the unit of an input: 1 K, 0.1 vol%, else 1 % of the value. Standard deviations are moved by 1 %.
fn step(parameter: &Parameter, value: f64) -> (f64, &'static str) {
    match parameter.unit {
        _ if parameter.group == "scatter" || parameter.field.ends_with("_scatter") => {
            (0.01 * value.abs(), "%")
        }
        "°C" | "K" => (1.0, "K"),
        "vol%" => (0.1, "vol%"),
        _ => (0.01 * value.abs(), "%"),
    }
}

/// An input that is moved.
#[derive(Debug, Clone)]
enum Input {
    /// A number of the document.
    Number(&'static Parameter, String),
    /// A number of an entry in a list, with what the entry is called.
    Entry(&'static Parameter, String, String),
    /// A size of all passages of a role, in proportion.
    Size(Size),
    /// The viscosity at every shear rate: the constants that scale it. Single constants of a fit move each other.
    Viscosity,
}

/// One input, its step, and what the results come to with it.
#[derive(Debug, Clone)]
struct Moved {
    input: Input,
    /// The step, in the unit of the input; for sizes a share.
    step: f64,
    /// The unit in which the step is told.
    told: &'static str,
    /// Standard error of the input, in steps, and how it is told; absent if none is stated.
    error: Option<(f64, f64, bool)>,
    /// Results after a step down and up, with how many steps each was: 0 where it could not be made.
    results: [(f64, Vec<Option<f64>>); 2],
}

/// Evaluations of a scenario with each input moved.
#[derive(Debug, Clone)]
pub struct Moves {
    root: Root,
    paths: Vec<String>,
    base: Vec<Option<f64>>,
    moved: Vec<Moved>,
}

/// How far an input moves a result.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Move {
    /// The step and the input in words: “+1 K melt temperature”.
    pub input: String,
    /// Path of the input in the scenario; empty for sizes of passages and viscosity.
    pub path: String,
    /// What the result changes by: “−0.4 %”.
    pub change: String,
    /// The same as a number: a share of the result, or in its unit where that is a temperature or a per cent.
    pub size: f64,
    /// The standard error of the input, and what it changes the result by, to first order: “±7 K: ∓12 %”.
    pub by_error: Option<String>,
}

impl Moves {
    /// Evaluates a scenario with each input moved down and up, for the results that are computed as that at a path is.
    ///
    /// # Errors
    /// Whatever [`Scenario::validate`] finds.
    pub fn of(scenario: &Scenario, path: &str) -> Result<Self, ScenarioError> {
        let root = Root::of(path);
        let report = evaluate(scenario)?;
        let planned = root.planned(scenario);
        let results = Results { report: &report, planned: planned.as_ref() };
        let rows = |entry: &'static crate::Entry| (0..entry.count(&results)).map(move |row| (entry, row));
        let of_root = all().filter(|entry| Root::of(entry.key) == root);
        let paths: Vec<String> = of_root.flat_map(rows).map(|(entry, row)| entry.path(row)).collect();
        let base = values(&results, &paths);
        let chain = Chain {
            root,
            paths: &paths,
            report: &report,
            mould: planned.as_ref().and_then(|p| p.mould.as_ref()),
        };
        let moved =
            inputs(scenario, root).into_iter().filter_map(|input| moved(scenario, input, &chain)).collect();
        Ok(Self { root, paths, base, moved })
    }

    /// Whether the result at a path is among those that were evaluated.
    pub fn tell(&self, path: &str) -> bool {
        self.root == Root::of(path)
    }

    /// The inputs that move the result at a path most, the strongest first. Empty if there is no such result, or none
    /// has a value.
    pub fn strongest(&self, path: &str, view: &View) -> Vec<Move> {
        let Some(place) = self.paths.iter().position(|known| known == path) else { return Vec::new() };
        let (Some((entry, _)), Some(value)) = (at(path), self.base[place]) else { return Vec::new() };
        let relative = is_relative(entry.unit) && value != 0.0;
        let scale = if relative { value.abs() } else { 1.0 };
        let mut all: Vec<(f64, &Moved)> = self
            .moved
            .iter()
            .filter_map(|moved| Some((moved.slope(place, value)? / scale, moved)))
            .filter(|(change, _)| change.abs() > NOISE && change.is_finite())
            .collect();
        all.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
        all.truncate(TOLD);
        all.into_iter().map(|(change, moved)| moved.told(change, relative, entry.unit, view)).collect()
    }
}

impl Moved {
    /// Change of a result for one step up.
    fn slope(&self, place: usize, base: f64) -> Option<f64> {
        let of = |side: usize| {
            let (steps, results) = &self.results[side];
            results.get(place).copied().flatten().filter(|_| *steps > 0.0).map(|value| (*steps, value))
        };
        match (of(0), of(1)) {
            (Some((down, low)), Some((up, high))) => Some((high - low) / (down + up)),
            (Some((down, low)), None) => Some((base - low) / down),
            (None, Some((up, high))) => Some((high - base) / up),
            (None, None) => None,
        }
    }

    fn told(&self, change: f64, relative: bool, unit: &str, view: &View) -> Move {
        let (words, path) = match &self.input {
            Input::Number(parameter, path) => (lower(parameter.title), path.clone()),
            Input::Entry(parameter, path, whose) => {
                (format!("{} ({whose})", lower(parameter.title)), path.clone())
            }
            Input::Size((_, _, words)) => ((*words).to_owned(), String::new()),
            Input::Viscosity => ("viscosity at every shear rate".to_owned(), String::new()),
        };
        let step = match self.told {
            "%" => "+1 %".to_owned(),
            unit => view.change(self.step, unit, 2),
        };
        let size = |change: f64| match relative {
            true => format!("{} %", view.number(100.0 * change.abs(), 2)),
            false if unit == "%" => format!("{} points", view.number(change.abs(), 2)),
            false => view.told(change.abs(), if unit == "°C" { "K" } else { unit }, 2),
        };
        let sign = |change: f64| if change < 0.0 { "−" } else { "+" };
        let by_error = self.error.map(|(steps, error, logarithmic)| {
            let error = match logarithmic {
                true => format!("±{} %", view.number(100.0 * error, 2)),
                false => {
                    format!("±{}", view.told(error, if self.told == "K" { "K" } else { self.unit() }, 2))
                }
            };
            let way = if change < 0.0 { "∓" } else { "±" };
            format!("{error}: {way}{}", size(change * steps))
        });
        Move {
            input: format!("{step} {words}"),
            path,
            change: format!("{}{}", sign(change), size(change)),
            size: change,
            by_error,
        }
    }

    fn unit(&self) -> &'static str {
        match &self.input {
            Input::Number(parameter, _) | Input::Entry(parameter, ..) => parameter.unit,
            Input::Size(_) | Input::Viscosity => "",
        }
    }
}

/// A title within a sentence: its first letter small, unless it begins with an abbreviation.
fn lower(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => title.to_owned(),
    }
}

/// Numbers under some heads that a scenario has. Standard errors and the sizes of the drawing move nothing.
fn numbers_under(scenario: &Scenario, heads: &[&str]) -> Vec<Input> {
    let Ok(tree) = document::tree(scenario) else { return Vec::new() };
    let moves = |p: &&Parameter| {
        heads.iter().any(|head| p.path().starts_with(head))
            && !p.field.ends_with("_error")
            && !REFERENCES.contains(&p.field)
            && p.group != "sizes.dimensions.*"
    };
    let there = |path: &String| tree.pointer(&pointer(path)).is_some_and(|value| value.as_f64().is_some());
    let of = |p: &'static Parameter| -> Vec<Input> {
        let path = p.path();
        if !path.contains('*') {
            return Some(path).filter(there).map(|path| Input::Number(p, path)).into_iter().collect();
        }
        let entries = (0..MOST_ENTRIES).map(|i| (i, path.replace('*', &i.to_string())));
        entries
            .filter(|(_, path)| there(path))
            .map(|(i, path)| Input::Entry(p, path, entry_name(scenario, p.group, i)))
            .collect()
    };
    catalogue::all().filter(moves).flat_map(of).collect()
}

/// What an entry of a list is called.
fn entry_name(scenario: &Scenario, group: &str, i: usize) -> String {
    match group {
        "debinding.parts.*" => scenario.debinding.parts[i].name.clone(),
        group if group.starts_with("debinding.steps") => format!("step {}", i + 1),
        _ => format!("stretch {}", i + 1),
    }
}

/// What is moved in a scenario.
fn inputs(scenario: &Scenario, root: Root) -> Vec<Input> {
    let after = numbers_under(scenario, root.heads());
    let mut all = inputs_of_mould(scenario);
    if root != Root::Report && !root.of_mould() {
        all.retain(|input| match input {
            Input::Number(_, path) => path.starts_with("feedstock."),
            Input::Size((_, role, _)) => *role == Role::Part,
            _ => false,
        });
    }
    all.into_iter().chain(after).collect()
}

/// What is moved of feedstock, cavity, mould, machine and set point.
fn inputs_of_mould(scenario: &Scenario) -> Vec<Input> {
    let exponent = scenario.feedstock.flow_law.kind().exponent();
    let exponent = exponent.map(|field| format!("{}.{field}", law_path(scenario)));
    let exponent = exponent.and_then(|path| Some(Input::Number(catalogue::at(&path)?, path)));
    let numbers =
        INPUTS.iter().filter_map(|path| Some(Input::Number(catalogue::at(path)?, (*path).to_owned())));
    let has = |role: Role| scenario.cavity.passages.iter().any(|p| p.role == role);
    let sizes = SIZES.into_iter().filter(|(_, role, _)| has(*role)).map(Input::Size);
    numbers.chain(exponent).chain([Input::Viscosity]).chain(sizes).collect()
}

/// Path of the constants of the flow law.
fn law_path(scenario: &Scenario) -> String {
    format!("feedstock.flow_law.{}", scenario.feedstock.flow_law.kind().name())
}

/// Moves an input down and up. `None` if the scenario does not have it, or a share of nothing would be its step.
fn moved(scenario: &Scenario, input: Input, chain: &Chain<'_>) -> Option<Moved> {
    let at = match &input {
        Input::Number(_, path) | Input::Entry(_, path, _) => path.clone(),
        Input::Size(_) | Input::Viscosity => String::new(),
    };
    let evaluated = |s: Option<Scenario>| s.and_then(|s| chain.values(&s, &at));
    let (step, told, error) = match &input {
        Input::Size(_) | Input::Viscosity => (0.01, "%", None),
        Input::Number(parameter, path) | Input::Entry(parameter, path, _) => {
            let value = number_at(scenario, path)?;
            let (step, told) = step(parameter, value);
            if step == 0.0 {
                return None;
            }
            (step, told, error_of(scenario, path, value, step))
        }
    };
    let to = |sign: f64| -> (f64, Vec<Option<f64>>) {
        let changed = match &input {
            Input::Size((scale, role, _)) => {
                let mut s = scenario.clone();
                scale(&mut s.cavity, *role, 1.0 + sign * step);
                Some(s)
            }
            Input::Viscosity => {
                let fields = scenario.feedstock.flow_law.kind().scales().iter();
                fields.map(|field| format!("{}.{field}", law_path(scenario))).try_fold(
                    scenario.clone(),
                    |s, path| {
                        let value = number_at(&s, &path)? * (1.0 + sign * step);
                        with_number(&s, &path, value)
                    },
                )
            }
            Input::Number(parameter, path) | Input::Entry(parameter, path, _) => number_at(scenario, path)
                .map(|value| value + sign * step)
                .filter(|value| parameter.accepts(*value))
                .and_then(|value| with_number(scenario, path, value)),
        };
        evaluated(changed).map_or((0.0, Vec::new()), |values| (1.0, values))
    };
    let results = [to(-1.0), to(1.0)];
    Some(Moved { input, step, told, error, results })
}

/// The standard error of a number in steps, the error itself, and whether it is that of the logarithm.
fn error_of(scenario: &Scenario, path: &str, value: f64, step: f64) -> Option<(f64, f64, bool)> {
    let numbers = &scenario.feedstock.uncertainty.as_ref()?.numbers;
    let doubt = numbers.iter().find(|doubt| doubt.path == path && doubt.standard_error > 0.0)?;
    let absolute = if doubt.logarithmic { doubt.standard_error * value.abs() } else { doubt.standard_error };
    Some((absolute / step, doubt.standard_error, doubt.logarithmic))
}

fn number_at(scenario: &Scenario, path: &str) -> Option<f64> {
    let tree = document::tree(scenario).ok()?;
    tree.pointer(&pointer(path))?.as_f64()
}

fn with_number(scenario: &Scenario, path: &str, value: f64) -> Option<Scenario> {
    let mut tree = document::tree(scenario).ok()?;
    *tree.pointer_mut(&pointer(path))? = value.into();
    document::read(&tree.to_string()).ok()
}

fn pointer(path: &str) -> String {
    format!("/{}", path.replace('.', "/"))
}
