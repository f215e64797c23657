//! What stands behind a result.

use crate::args::ExplainCall;
use crate::failure::Failure;
use crate::output::{harmless, json, print};
use gatefrost_core::case::Case;
use gatefrost_core::format::quoted;
use gatefrost_core::scenario::Scenario;
use gatefrost_explain::{
    Explanation, Facts, Move, Moves, Planned, Results, View, all, at, explain_of, named,
};
use gatefrost_formula::Writing;
use gatefrost_report::report_of;
use serde::Serialize;

/// A result of the list.
#[derive(Serialize)]
struct Listed {
    name: String,
    title: String,
    value: Option<f64>,
    unit: &'static str,
}

/// An explanation with what moves the result most.
#[derive(Serialize)]
struct Explained {
    #[serde(flatten)]
    explanation: Explanation,
    moves: Vec<Move>,
}

/// Explains a result, or lists the results that can be explained.
pub(crate) fn explain(call: &ExplainCall) -> Result<(), Failure> {
    let (name, source) = call.parts();
    let scenario = source.scenario()?;
    let case = Case::resolve(&scenario);
    let point = case.evaluate();
    let report = report_of(&scenario, &point);
    let planned = Planned::of(&scenario).map_err(|error| Failure::scenario(&source.name(), &error))?;
    let results = Results { report: &report, planned: Some(&planned) };
    let Some(name) = name else { return list(&results, call.json) };
    let paths: Vec<String> = listed(&results).into_iter().map(|listed| listed.name).collect();
    let path = named(&name, &paths).map_err(|several| unclear(&name, &several))?;
    let (entry, row) = at(path).ok_or_else(|| unclear(&name, &[]))?;
    let facts = Facts { scenario: &scenario, point: &point, report: &report, planned: Some(&planned) };
    let explanation = explain_of(&facts, entry, row, &View::default());
    let moves = moves(&scenario, path, &source.name())?;
    if call.json {
        return print(&json(&Explained { explanation, moves })?);
    }
    let text: String = explanation.text(&moves);
    // Names of passages are the user's.
    let text: String = text.chars().map(|c| if c == '\n' { c } else { harmless(c) }).collect();
    print(text.trim_end())
}

fn moves(scenario: &Scenario, path: &str, name: &str) -> Result<Vec<Move>, Failure> {
    let moves = Moves::of(scenario, path).map_err(|error| Failure::scenario(name, &error))?;
    Ok(moves.strongest(path, &View::default()))
}

/// Why a name does not mean one result.
fn unclear(name: &str, several: &[&str]) -> Failure {
    let name = quoted(name);
    Failure::Bad(match several {
        [] => vec![format!("{name} is no result; `gatefrost explain FILE` lists them")],
        several => {
            vec![format!("{name} may mean {}; accepted is the name of one result", several.join(", "))]
        }
    })
}

fn listed(results: &Results<'_>) -> Vec<Listed> {
    let rows = all().flat_map(|entry| (0..entry.count(results)).map(move |row| (entry, row)));
    rows.map(|(entry, row)| Listed {
        name: entry.path(row),
        title: entry.rows.map_or_else(
            || entry.title.to_owned(),
            |rows| format!("{}, {}", entry.title, (rows.name)(results, row)),
        ),
        value: (entry.value)(results, row),
        unit: entry.unit,
    })
    .collect()
}

fn list(results: &Results<'_>, as_json: bool) -> Result<(), Failure> {
    let all = listed(results);
    if as_json {
        return print(&json(&all)?);
    }
    let width = all.iter().map(|listed| listed.name.len()).max().unwrap_or(0);
    let line = |Listed { name, title, value, unit }: &Listed| {
        let value = value.map_or_else(|| "none".to_owned(), |value| View::default().number(value, 4));
        let told = format!("{value} {unit}");
        let title: String = title.chars().map(harmless).collect();
        format!("{name:width$}  {:>14}  {title}", told.trim_end())
    };
    print(&all.iter().map(line).collect::<Vec<_>>().join("\n"))
}
