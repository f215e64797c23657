//! What stands behind a result, and the inputs that move it.

use gatefrost_core::scenario::Scenario;
use gatefrost_core::units::Units;
use gatefrost_explain::{Moves, Unexplained, View};
use gatefrost_plot::{GateDetail, Style, svg};
use gatefrost_web::values::{args_of, document_to_js, failed, read, scenario_of, thrown};
use serde::Deserialize;
use std::cell::RefCell;
use wasm_bindgen::prelude::*;

/// Named arguments: the scenario as the text of its document, the result's path, the reader's units.
#[derive(Deserialize)]
struct ExplainArgs {
    scenario: String,
    key: String,
    units: Units,
}

thread_local! {
    /// The evaluations of the scenario that was last asked about, with its text.
    static KEPT: RefCell<Option<(String, Moves)>> = const { RefCell::new(None) };
}

/// Explains a result: `{scenario, key, units}`. `null` if the report has no such result.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn explained(args: JsValue) -> Result<JsValue, JsValue> {
    let ExplainArgs { scenario, key, units } = args_of(&args)?;
    let scenario = read(&scenario)?;
    match gatefrost_explain::explain(&scenario, &key, &View { units }) {
        Ok(told) => document_to_js(&told),
        Err(Unexplained::NoSuchResult(_)) => Ok(JsValue::NULL),
        Err(Unexplained::Scenario(error)) => Err(thrown(error)),
    }
}

/// The inputs that move a result most: `{scenario, key, units}`. The evaluations are kept for the next result.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn moves(args: JsValue) -> Result<JsValue, JsValue> {
    let ExplainArgs { scenario: text, key, units } = args_of(&args)?;
    let known =
        KEPT.with_borrow(|kept| kept.as_ref().is_some_and(|(of, moves)| *of == text && moves.tell(&key)));
    if !known {
        let scenario: Scenario = read(&text)?;
        let moves = Moves::of(&scenario, &key).map_err(thrown)?;
        KEPT.set(Some((text, moves)));
    }
    let strongest = |moves: &Moves| moves.strongest(&key, &View { units });
    document_to_js(
        &KEPT.with_borrow(|kept| kept.as_ref().map_or_else(Vec::new, |(_, moves)| strongest(moves))),
    )
}

/// What the toolmaker cuts, a list of sizes in the cavity and in the sintered part: `{scenario}`. It stands here because the
/// module of the window need not hold it.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn cavity_sizes(args: JsValue) -> Result<JsValue, JsValue> {
    let scenario = scenario_of(args)?;
    let report = gatefrost_report::evaluate(&scenario).map_err(thrown)?;
    document_to_js(&gatefrost_report::cavity_sizes(&scenario, &report))
}

#[derive(Deserialize)]
struct GateArgs {
    scenario: String,
    units: Units,
}

/// The first gate of a cavity as a detail with its dimension lines, as SVG for print; nothing for a cavity without a gate:
/// `{scenario, units}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn gate_detail(args: JsValue) -> Result<JsValue, JsValue> {
    let GateArgs { scenario, units } = args_of(&args)?;
    let scenario = read(&scenario)?;
    let cavity = gatefrost_report::cavity_of(&scenario).map_err(thrown)?;
    let Some(detail) = GateDetail::of(&scenario.name, &cavity.passages) else {
        return Ok(JsValue::UNDEFINED);
    };
    let style = Style { print: true, units, ..Style::default() };
    Ok(svg(&detail, 210, 200, &style).map_err(failed)?.into())
}
