//! The boundary between Gatefrost and the page of the classroom: exercises, answers, slips. Values in, values out.
//!
//! Everything here takes less than a frame, so that it runs on the page. What the solver says beside an answer comes from
//! the window's module in a worker.

mod board;

use gatefrost_classroom::class::{self, Class, Row};
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises::{self, Exercise};
use gatefrost_classroom::own;
use gatefrost_classroom::shown;
use gatefrost_classroom::slip::{self, Found, Slip};
use gatefrost_classroom::texts::{Said, Texts};
use gatefrost_core::scenario::ScenarioError;
use gatefrost_web::values::{failed, from_js, thrown, to_js};
use serde::Deserialize;
use wasm_bindgen::prelude::*;

/// What is thrown for a sentence of the table.
fn refused(said: &Said) -> JsValue {
    thrown(ScenarioError::saying([Texts::english().say(said)]))
}

fn exercise(name: &str) -> Result<&'static Exercise, JsValue> {
    exercises::find(name).ok_or_else(|| failed(format!("there is no exercise {name}")))
}

fn student(typed: &str) -> Result<StudentId, JsValue> {
    StudentId::read(typed).map_err(|said| refused(&said))
}

/// The exercises in order.
///
/// # Errors
/// Only when the browser cannot hold them.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Listed[]")]
pub fn exercise_list() -> Result<JsValue, JsValue> {
    to_js(&shown::list())
}

/// The text of a key, as it stands in the table.
#[wasm_bindgen]
pub fn text_of(key: &str) -> String {
    Texts::english().word(key)
}

/// A result of the solver with its unit, to be shown beside answers.
#[wasm_bindgen]
pub fn told(value: f64, unit: &str) -> String {
    shown::told(value, unit)
}

/// Which task, of whom.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct TaskArgs {
    /// Name of the exercise.
    exercise: String,
    /// The id as it was typed.
    id: String,
}

impl TaskArgs {
    fn of(args: &JsValue) -> Result<(&'static Exercise, StudentId), JsValue> {
        let Self { exercise: name, id } = from_js(args.clone())?;
        Ok((exercise(&name)?, student(&id)?))
    }
}

/// The task of a student: `{exercise, id}`.
///
/// # Errors
/// Throws `{problems}` where the id cannot be one.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.ShownTask")]
pub fn task(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TaskArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let (exercise, id) = TaskArgs::of(&args)?;
    to_js(&exercise.shown(&id))
}

/// The solutions of a student's task: `{exercise, id}`.
///
/// # Errors
/// Throws `{problems}` where the id cannot be one.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.ShownSolution[]")]
pub fn solutions(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.TaskArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let (exercise, id) = TaskArgs::of(&args)?;
    to_js(&exercise.solutions(&id))
}

/// An answer.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct AnswerArgs {
    /// Name of the exercise.
    exercise: String,
    /// The id as it was typed.
    id: String,
    /// Which of the numbers asked for, from 0.
    at: usize,
    /// The answer as it was typed.
    typed: String,
}

/// Judges an answer: `{exercise, id, at, typed}`.
///
/// # Errors
/// Throws `{problems}` where the id cannot be one.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.Verdict")]
pub fn judge(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.AnswerArgs")] args: JsValue,
) -> Result<JsValue, JsValue> {
    let AnswerArgs { exercise: name, id, at, typed } = from_js(args)?;
    let verdict = exercise(&name)?.judged(&student(&id)?, at, &typed);
    to_js(&verdict.ok_or_else(|| failed("there is no such answer"))?)
}

/// What is handed in.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct SlipArgs {
    /// Name of the exercise.
    exercise: String,
    /// The id as it was typed.
    id: String,
    /// Hints that were opened.
    hints: usize,
    /// Whether the solution was opened before all answers were right.
    solved: bool,
    /// The answers as they were typed.
    answers: Vec<String>,
}

/// The slip of an exercise, one line: `{exercise, id, hints, solved, answers}`.
///
/// # Errors
/// Throws `{problems}` where the id cannot be one.
#[wasm_bindgen]
pub fn slip(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.SlipArgs")] args: JsValue,
) -> Result<String, JsValue> {
    let SlipArgs { exercise: name, id, hints, solved, answers } = from_js(args)?;
    Ok(Slip { id: student(&id)?, exercise: exercise(&name)?, hints, solved, answers }.write())
}

/// Whose answers a key has, and of what.
#[derive(Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct KeyArgs {
    /// Names of the exercises; none for all.
    exercises: Vec<String>,
    /// The ids, one a line.
    ids: String,
}

/// The key as CSV: `{exercises, ids}`.
///
/// # Errors
/// Throws `{problems}` where a line is no id.
#[wasm_bindgen]
pub fn key(
    #[wasm_bindgen(unchecked_param_type = "Gatefrost.KeyArgs")] args: JsValue,
) -> Result<String, JsValue> {
    let KeyArgs { exercises: names, ids } = from_js(args)?;
    let chosen: Vec<&Exercise> = if names.is_empty() {
        exercises::ALL.iter().collect()
    } else {
        names.iter().map(|name| exercise(name)).collect::<Result<_, _>>()?
    };
    Ok(class::key(&chosen, &ids_of(&ids)?))
}

fn ids_of(list: &str) -> Result<Vec<StudentId>, JsValue> {
    class::ids(list).map_err(|said| refused(&said))
}

/// The rows of a table of a class's own readings.
///
/// # Errors
/// Throws `{problems}` with the first line that is no row.
#[wasm_bindgen(unchecked_return_type = "number[][]")]
pub fn own_table(text: &str, columns: usize) -> Result<JsValue, JsValue> {
    to_js(&own::table(text, columns).map_err(|said| refused(&said))?)
}

/// The ids of a list, tidied.
///
/// # Errors
/// Throws `{problems}` where a line is no id.
#[wasm_bindgen(unchecked_return_type = "string[]")]
pub fn ids(list: &str) -> Result<JsValue, JsValue> {
    to_js(&ids_of(list)?.iter().map(StudentId::text).collect::<Vec<_>>())
}

/// The slips of a class, judged some at a time, so that the page can show its progress.
#[wasm_bindgen]
pub struct Desk {
    found: Found,
    rows: Vec<Row>,
}

#[wasm_bindgen]
impl Desk {
    /// Reads the slips in a text.
    ///
    /// # Errors
    /// Throws `{problems}` where the text is too long.
    #[wasm_bindgen(constructor)]
    pub fn new(text: &str) -> Result<Self, JsValue> {
        let found = slip::read_all(text).map_err(|said| refused(&said))?;
        Ok(Self { found, rows: Vec::new() })
    }

    /// Slips that were found.
    pub fn count(&self) -> usize {
        self.found.slips.len()
    }

    /// Judges some more, and returns how many have been judged.
    pub fn judge_some(&mut self, more: usize) -> usize {
        let next = self.found.slips.iter().skip(self.rows.len()).take(more);
        let rows: Vec<Row> = next.map(Slip::judged).collect();
        self.rows.extend(rows);
        self.rows.len()
    }

    /// What has been judged.
    ///
    /// # Errors
    /// Only when the browser cannot hold it.
    #[wasm_bindgen(unchecked_return_type = "Gatefrost.Class")]
    pub fn class(&self) -> Result<JsValue, JsValue> {
        to_js(&self.judged())
    }

    /// The same as CSV.
    pub fn csv(&self) -> String {
        self.judged().csv()
    }
}

impl Desk {
    fn judged(&self) -> Class {
        Class::of(self.rows.clone(), &self.found)
    }
}

/// The types of what crosses this boundary.
#[cfg(feature = "typescript")]
pub fn declarations() -> gatefrost_web::typescript::Declarations {
    use ts_rs::TypeVisitor;
    let mut declarations = gatefrost_web::typescript::Declarations::shared();
    declarations.visit::<TaskArgs>();
    declarations.visit::<AnswerArgs>();
    declarations.visit::<SlipArgs>();
    declarations.visit::<KeyArgs>();
    declarations.visit::<shown::Listed>();
    declarations.visit::<shown::ShownTask>();
    declarations.visit::<shown::ShownSolution>();
    declarations.visit::<shown::Verdict>();
    declarations.visit::<Class>();
    declarations.visit::<gatefrost_plot::Chart>();
    declarations.visit::<board::GasShown>();
    // A lecturer's exercises are computed by the module of studies, and their link is drawn there.
    gatefrost_web_studies::posed::declare(&mut declarations);
    gatefrost_web_studies::declare_code(&mut declarations);
    declarations
}
