//! One input against the window, value by value, and the curves that come of it.

use gatefrost_core::units::Units;
use gatefrost_plot::{DataTable, Drawing, Style, SweepFigure, svg};
use gatefrost_web::values::{args_of, document_to_js, failed, read, thrown};
use gatefrost_window::{Detail, Input, Swept, Unswept};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
struct SweepArgs {
    scenario: String,
    path: String,
    from: f64,
    to: f64,
    count: usize,
}

/// The values of a sweep, or why there is none.
#[derive(Serialize)]
pub struct SweepValues {
    values: Vec<f64>,
    refused: Option<String>,
}

/// The values of an input between two: `{scenario, path, from, to, count}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn sweep_values(args: JsValue) -> Result<JsValue, JsValue> {
    let SweepArgs { scenario, path, from, to, count } = args_of(&args)?;
    let scenario = read(&scenario)?;
    scenario.validate_plane().map_err(thrown)?;
    let refused = |why: &str| SweepValues { values: Vec::new(), refused: Some(why.to_owned()) };
    document_to_js(&match Input::of(&scenario, &path) {
        Err(Unswept::Unknown) => refused("This scenario has no such number."),
        Err(Unswept::Spans) => {
            refused("This input spans the window, so the window does not depend on its value.")
        }
        Ok(input) if !input.spans(from, to) => {
            refused(&format!("The range must rise and lie within {}.", input.parameter.range_text()))
        }
        Ok(input) => SweepValues { values: input.values(from, to, count.min(99)), refused: None },
    })
}

#[derive(Deserialize)]
struct SweptArgs {
    scenario: String,
    path: String,
    value: f64,
}

/// The window with an input at a value: `{scenario, path, value}`.
///
/// # Errors
/// Throws the scenario's problems, or says that it has no such input.
#[wasm_bindgen]
pub fn swept(args: JsValue) -> Result<JsValue, JsValue> {
    let SweptArgs { scenario, path, value } = args_of(&args)?;
    let scenario = read(&scenario)?;
    document_to_js(&input_of(&scenario, &path)?.swept(&scenario, value, Detail::Fine))
}

fn input_of(scenario: &gatefrost_core::scenario::Scenario, path: &str) -> Result<Input, JsValue> {
    Input::of(scenario, path).map_err(|_| failed("this scenario has no such input"))
}

#[derive(Deserialize)]
struct ShownArgs {
    scenario: String,
    path: String,
    points: Vec<Swept>,
    units: Units,
    dark: bool,
    width: u32,
}

/// A sweep on the page: its curves, the same for a file, its numbers.
#[derive(Serialize)]
pub struct SweepShown {
    /// For the page, as SVG.
    svg: String,
    /// For a file, as SVG.
    file: String,
    table: DataTable,
    csv: String,
}

/// The curves of a sweep: `{scenario, path, points, units, dark, width}`.
///
/// # Errors
/// Throws the scenario's problems, or says that it has no such input.
#[wasm_bindgen]
pub fn sweep_shown(args: JsValue) -> Result<JsValue, JsValue> {
    let ShownArgs { scenario, path, points, units, dark, width } = args_of(&args)?;
    let scenario = read(&scenario)?;
    let input = input_of(&scenario, &path)?;
    let present = input.value(&scenario);
    let figure = SweepFigure {
        name: &scenario.name,
        plane: &scenario.window,
        input: &input,
        present,
        points: &points,
    };
    let page = Style { dark, units, ..Style::default() };
    let file = Style { title: true, units, ..Style::default() };
    let table = figure.table().shown_in(units);
    document_to_js(&SweepShown {
        svg: svg(&figure, width.clamp(240, 1600), 380, &page).map_err(failed)?,
        file: svg(&figure, 900, 560, &file).map_err(failed)?,
        csv: table.to_csv(),
        table,
    })
}
