//! The thin boundary between the core and the page: values in, values out, no physics.
//!
//! Scenarios cross as the text of their JSON document, so that a file, a link and the form are read
//! by the same code with the same messages. Evaluations run in a worker and come back as JSON text;
//! the page reads that text for its numbers and hands it on to [`Sheet`], which draws from it.
//! Whatever goes wrong with a scenario is thrown as `{problems: [{path, message}]}`.

mod entry;
mod fault;
mod laboratory;
mod qr;
mod sheet;
mod starts;
mod tracing;
mod units;

pub use entry::{checked_number, format_number};
pub use fault::last_panic;
pub use laboratory::{Laboratory, decode_readings, laboratory_shelf, number_typed};
pub use qr::{QrCode, qr_code};
pub use sheet::Sheet;
pub use starts::{shaped, starts};
pub use tracing::{Tracing, band, margins, missed};
pub use units::{restated, threshold_of, unit_sets, unit_table};

use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::document;
use gatefrost_core::scenario::{
    Axis, FlowLaw, Form, Passage, Problem, PvtLaw, Scenario, ScenarioError, Span, demo, link,
};
use gatefrost_report as report;
use gatefrost_safety::{Best, Tried};
use gatefrost_window::Detail;
use serde::Serialize;
use wasm_bindgen::prelude::*;

/// A catalogue entry with what the page would otherwise have to work out.
#[derive(Serialize)]
struct Entry {
    path: String,
    range: String,
    #[serde(flatten)]
    parameter: &'static Parameter,
}

impl Entry {
    fn of(parameter: &'static Parameter) -> Self {
        Self { path: parameter.path(), range: parameter.range_text(), parameter }
    }
}

/// Every number of a scenario: path, title, symbol, unit, range. Help and source are in the page's own `words`.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen]
pub fn catalogue() -> Result<JsValue, JsValue> {
    let entries: Vec<Entry> = catalogue::all().map(Entry::of).collect();
    to_js(&entries)
}

#[derive(Serialize)]
struct DemoEntry {
    name: &'static str,
    title: String,
}

/// The worked demos: short name and title; the first is the one a new user sees.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen]
pub fn demos() -> Result<JsValue, JsValue> {
    let entries: Vec<DemoEntry> =
        demo::DEMOS.iter().map(|d| DemoEntry { name: d.name, title: d.scenario().name }).collect();
    to_js(&entries)
}

#[derive(Serialize)]
struct AxisEntry {
    axis: Axis,
    #[serde(flatten)]
    entry: Entry,
    logarithmic: bool,
}

/// The settings that may span the window, described as the numbers of the catalogue are.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen]
pub fn axes() -> Result<JsValue, JsValue> {
    let entries: Vec<AxisEntry> = Axis::ALL
        .into_iter()
        .map(|axis| AxisEntry { axis, entry: Entry::of(axis.parameter()), logarithmic: axis.logarithmic() })
        .collect();
    to_js(&entries)
}

/// Where the set point stands on the two sides of the window, in edge units; `null` where a scenario has
/// no such setting.
///
/// # Errors
/// When it is no scenario.
#[wasm_bindgen]
pub fn set_point(scenario: &str) -> Result<JsValue, JsValue> {
    let scenario: Scenario = document::read(scenario).map_err(sheet::failed)?;
    to_js(&scenario.window.place_of(&scenario))
}

/// The numbers that change when the set point is moved to values on the two sides, as `[path, value]`.
///
/// # Errors
/// When it is no scenario.
#[wasm_bindgen]
pub fn moves(scenario: &str, x: f64, y: f64) -> Result<JsValue, JsValue> {
    let scenario: Scenario = document::read(scenario).map_err(sheet::failed)?;
    let window = &scenario.window;
    to_js(&scenario.moves(&[(window.x.axis, x), (window.y.axis, y)]))
}

/// A passage of a shape ("tube", "strip" or "disc") with the catalogue's default sizes, or nothing
/// for a word that is not a shape.
///
/// # Errors
/// Only when the browser cannot hold the passage.
#[wasm_bindgen]
pub fn new_passage(shape: &str) -> Result<JsValue, JsValue> {
    to_js(&passage_of(shape))
}

fn passage_of(shape: &str) -> Option<Passage> {
    Form::named(shape).map(|form| Passage { form, ..Passage::default() })
}

/// A flow law of a kind ("cross_wlf" or "power_law") with the catalogue's default constants, or
/// nothing for a word that is not a kind.
///
/// # Errors
/// Only when the browser cannot hold the law.
#[wasm_bindgen]
pub fn new_flow_law(kind: &str) -> Result<JsValue, JsValue> {
    to_js(&FlowLaw::named(kind))
}

/// A pvT law of a kind ("linear" or "tait") with the catalogue's default constants, or nothing for a
/// word that is not a kind.
///
/// # Errors
/// Only when the browser cannot hold the law.
#[wasm_bindgen]
pub fn new_pvt_law(kind: &str) -> Result<JsValue, JsValue> {
    to_js(&PvtLaw::named(kind))
}

#[derive(Serialize)]
struct Opened {
    scenario: Scenario,
    demo: &'static str,
    /// How many entries of the link are in it.
    kept: usize,
    problems: Vec<Problem>,
}

/// Opens the text behind `#` in a link. Always gives a valid scenario, and says what it could not
/// read.
///
/// # Errors
/// Only when the browser cannot hold the scenario.
#[wasm_bindgen]
pub fn open_link(text: &str) -> Result<JsValue, JsValue> {
    let link::Opened { scenario, demo, kept, problems } = link::decode(text);
    to_js(&Opened { scenario, demo, kept, problems })
}

/// The text behind `#` that opens this scenario again.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn link_of(scenario: &str) -> Result<String, JsValue> {
    Ok(link::encode(&read(scenario)?))
}

/// Reads a scenario document.
///
/// # Errors
/// Throws its problems.
#[wasm_bindgen]
pub fn read_json(text: &str) -> Result<JsValue, JsValue> {
    to_js(&read(text)?)
}

/// The scenario as the document that is saved to a file.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn write_json(scenario: &str) -> Result<String, JsValue> {
    Ok(read(scenario)?.to_json())
}

/// All that is wrong with a scenario, as a list of `{path, message}`; empty when it can be computed.
///
/// # Errors
/// Only when the browser cannot hold the list.
#[wasm_bindgen]
pub fn problems_of(scenario: &str) -> Result<JsValue, JsValue> {
    let checked = Scenario::from_json(scenario).and_then(|s| s.validate_plane());
    let problems = checked.err().map_or_else(Vec::new, |e| e.problems);
    to_js(&problems)
}

/// Value at a fraction 0..1 of a side of the window, given as its JSON; NaN for one that cannot be
/// read.
#[wasm_bindgen]
pub fn value_at(span: &str, fraction: f64) -> f64 {
    document::read::<Span>(span).map_or(f64::NAN, |s| s.at(fraction))
}

/// Fraction of a side of the window at which a value lies; NaN for one that cannot be read.
#[wasm_bindgen]
pub fn fraction_of(span: &str, value: f64) -> f64 {
    document::read::<Span>(span).map_or(f64::NAN, |s| s.fraction(value))
}

/// What a worker computed: for scripts as JSON text, and packed for the page's own core, which draws from
/// it; each where it is asked for. Packed, it is a third as long, and what unpacks it is small.
#[wasm_bindgen(getter_with_clone)]
pub struct Answer {
    /// JSON text.
    pub text: String,
    /// The same, packed.
    pub bytes: Vec<u8>,
}

impl Answer {
    /// For the page's core alone.
    fn packed(value: &impl Serialize) -> Result<Self, JsValue> {
        Ok(Self { text: String::new(), bytes: packed(value)? })
    }
}

/// Evaluates a scenario in full: the report.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn evaluate(scenario: &str) -> Result<Answer, JsValue> {
    answer(&gatefrost_report::evaluate(&read(scenario)?).map_err(|e| thrown(&e))?)
}

/// A scenario that is laid over another's window: it comes with that one's plane.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn beside(scenario: &str) -> Result<Answer, JsValue> {
    let scenario = read(scenario)?;
    Answer::packed(
        &gatefrost_window::beside(&scenario, &scenario.window, Detail::Fine).map_err(|e| thrown(&e))?,
    )
}

/// What differs between two scenarios: `[{path, title, unit, here, there}]`.
///
/// # Errors
/// Throws their problems.
#[wasm_bindgen]
pub fn differences(here: &str, there: &str) -> Result<JsValue, JsValue> {
    to_js(&read(here)?.differences(&read(there)?))
}

/// Half of the best set point, in numbers for [`best_of`]: what fails first at the present set point or at
/// the one that a search finds. For a worker.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn tried(scenario: &str, present: bool) -> Result<Vec<f64>, JsValue> {
    let s = read(scenario)?;
    let tried = if present { gatefrost_safety::present(&s) } else { gatefrost_safety::found(&s) };
    Ok(tried.map_err(|e| thrown(&e))?.numbers())
}

/// The best set point, from its two halves: JSON text.
///
/// # Errors
/// Throws the scenario's problems, or says that these are no such halves.
#[wasm_bindgen]
pub fn best_of(scenario: &str, found: &[f64], present: &[f64]) -> Result<String, JsValue> {
    let s = read(scenario)?;
    let halves = Tried::from_numbers(found).zip(Tried::from_numbers(present));
    let (found, present) = halves.ok_or_else(|| JsError::new("these numbers are no set points"))?;
    json(&Best::of(&s, found, present))
}

/// Usable share of the plane with one change of the levers made, `0` for none; NaN where it cannot be
/// computed. As a list of one number.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn usable_with(scenario: &str, change: usize) -> Result<Vec<f64>, JsValue> {
    Ok(vec![gatefrost_safety::usable(&read(scenario)?, change).unwrap_or(f64::NAN)])
}

/// How many changes there are where the window is open, and where it is closed.
#[wasm_bindgen]
pub fn levers_changed(closed: bool) -> usize {
    if closed { gatefrost_safety::CHANGED } else { gatefrost_safety::LASTING }
}

/// How close a closed window comes to being open with one change made, `0` for none; `null` for a change that does
/// not apply.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn opening(scenario: &str, change: usize) -> Result<Answer, JsValue> {
    let text = json(&gatefrost_safety::opening(&read(scenario)?, change))?;
    Ok(Answer { text, bytes: Vec::new() })
}

/// Works out one part of how safe the set point is: `shots`, `levers` (the yield alone) or `answers`.
///
/// # Errors
/// Throws the scenario's problems, or says that there is no such part.
#[wasm_bindgen]
pub fn safety(scenario: &str, part: &str) -> Result<Answer, JsValue> {
    let s = read(scenario)?;
    let text = match part {
        "shots" => json(&gatefrost_safety::yields(&s).map_err(|e| thrown(&e))?)?,
        "levers" => json(&gatefrost_safety::leverage(&s, &[]).map_err(|e| thrown(&e))?)?,
        "answers" => json(&gatefrost_safety::answers(&s).map_err(|e| thrown(&e))?)?,
        other => return Err(JsError::new(&format!("there is no part {other:.40}")).into()),
    };
    Ok(Answer { text, bytes: Vec::new() })
}

/// Follows one cycle moment by moment.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn moments(scenario: &str) -> Result<Answer, JsValue> {
    Answer::packed(&report::moments(&read(scenario)?).map_err(|e| thrown(&e))?)
}

/// Part mass against hold time, and why the gates freeze when they do.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen]
pub fn hold_study(scenario: &str) -> Result<Answer, JsValue> {
    Answer::packed(&report::hold_study(&read(scenario)?).map_err(|e| thrown(&e))?)
}

fn read(scenario: &str) -> Result<Scenario, JsValue> {
    Scenario::from_json(scenario).map_err(|e| thrown(&e))
}

fn thrown(error: &ScenarioError) -> JsValue {
    to_js(error).unwrap_or_else(|e| e)
}

fn answer(value: &impl Serialize) -> Result<Answer, JsValue> {
    Ok(Answer { text: json(value)?, bytes: packed(value)? })
}

fn packed(value: &impl Serialize) -> Result<Vec<u8>, JsValue> {
    postcard::to_allocvec(value).map_err(|e| JsError::new(&e.to_string()).into())
}

fn unpacked<T: serde::de::DeserializeOwned>(bytes: &[u8]) -> Result<T, JsError> {
    postcard::from_bytes(bytes).map_err(|e| JsError::new(&e.to_string()))
}

fn json(value: &impl Serialize) -> Result<String, JsValue> {
    document::write(value).map_err(|e| JsError::new(&e.to_string()).into())
}

/// Plain objects and arrays, by way of `JSON.parse`.
pub(crate) fn to_js(value: &impl Serialize) -> Result<JsValue, JsValue> {
    // By way of the tree, so that each type is compiled for one serializer only.
    let tree = document::tree(value).map_err(|e| JsError::new(&e.to_string()))?;
    tree.serialize(&serde_wasm_bindgen::Serializer::json_compatible()).map_err(JsValue::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_the_page_offers_is_a_valid_passage() {
        for shape in ["tube", "strip", "disc"] {
            let mut scenario = demo::default_demo().scenario();
            scenario.cavity.passages.push(passage_of(shape).expect(shape));
            assert_eq!(scenario.validate(), Ok(()), "{shape}");
        }
        assert_eq!(passage_of("cube"), None);
    }

    #[test]
    fn a_side_of_the_window_reads_both_ways() {
        let span = r#"{"axis":"injection_time","from":0.05,"to":5}"#;
        assert!((value_at(span, 0.5) - 0.5).abs() < 1e-12);
        assert!((fraction_of(span, 0.5) - 0.5).abs() < 1e-12);
        assert!(value_at("{}", 0.5).is_nan());
    }
}
