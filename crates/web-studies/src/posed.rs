//! Exercises that a lecturer makes. They stand in this module because their answers are results of the solver.
//!
//! Every function is for a worker and takes the text of the exercise's link or file, which may hold anything. What is wrong
//! with it is thrown as `{problems: [{path, message}]}`.

use gatefrost_classroom::class::{Class, Row};
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::posed::{self, Document, Posed, PosedAnswers, PosedClass, PosedSpan};
use gatefrost_classroom::shown::Verdict;
use gatefrost_classroom::texts::{Said, Texts};
use gatefrost_core::document;
use gatefrost_core::scenario::{ScenarioError, demo};
use gatefrost_web::values::{args_of, document_to_js, failed, thrown};
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;

thread_local! {
    /// The exercise that was last asked about, with its text.
    static KEPT: RefCell<Option<(String, Posed)>> = const { RefCell::new(None) };
    /// The class that is being judged, with its text.
    static CLASS: RefCell<Option<Judged>> = const { RefCell::new(None) };
}

/// Slips that are being judged.
struct Judged {
    exercise: String,
    slips: String,
    found: PosedClass,
    rows: Vec<Row>,
}

/// What is thrown for a sentence of the table.
fn refused(said: &Said) -> JsValue {
    thrown(ScenarioError::saying([Texts::english().say(said)]))
}

fn student(typed: &str) -> Result<StudentId, JsValue> {
    StudentId::read(typed).map_err(|said| refused(&said))
}

/// Does something with the exercise of a text.
fn with<T>(text: &str, act: impl FnOnce(&Posed) -> Result<T, ScenarioError>) -> Result<T, JsValue> {
    let known = KEPT.with_borrow(|kept| kept.as_ref().is_some_and(|(of, _)| of == text));
    if !known {
        let posed = Posed::read(text).map_err(thrown)?;
        KEPT.set(Some((text.to_owned(), posed)));
    }
    KEPT.with_borrow(|kept| match kept {
        Some((_, posed)) => act(posed).map_err(thrown),
        None => Err(failed("there is no exercise")),
    })
}

/// A text, and perhaps of whom.
#[derive(Deserialize)]
struct TextArgs {
    text: String,
}

/// What a lecturer can choose from, of a scenario's link or file: `{text}`.
///
/// # Errors
/// Throws the scenario's problems.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedShown")]
pub fn posed_choices(args: JsValue) -> Result<JsValue, JsValue> {
    let TextArgs { text } = args_of(&args)?;
    let link = posed::scenario_link(&text).map_err(thrown)?;
    document_to_js(&posed::choices(&link).map_err(thrown)?)
}

/// The title of an exercise: `{text}`.
///
/// # Errors
/// Throws what is wrong with it.
#[wasm_bindgen]
pub fn posed_title(args: JsValue) -> Result<String, JsValue> {
    let TextArgs { text } = args_of(&args)?;
    with(&text, |posed| Ok(posed.document.title.clone()))
}

/// A demo to begin with.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct PosedDemo {
    /// The scenario as the text of a link.
    link: String,
    /// Its name.
    name: String,
}

/// The demos: `{}`.
///
/// # Errors
/// Only when the browser cannot hold them.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedDemo[]")]
pub fn posed_demos(_args: JsValue) -> Result<JsValue, JsValue> {
    let shown =
        |demo: &demo::Demo| PosedDemo { link: format!("2;d={}", demo.name), name: demo.scenario().name };
    document_to_js(&demo::DEMOS.iter().map(shown).collect::<Vec<_>>())
}

/// An exercise that has been made.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct PosedMade {
    /// Its document.
    document: Document,
    /// The same as the text of a file.
    file: String,
    /// The part of its link behind `#`.
    link: String,
    /// Its name in slips.
    name: String,
    /// What each answer comes to.
    spans: Vec<PosedSpan>,
}

/// Checks an exercise: `{text}`.
///
/// # Errors
/// Throws all that is wrong with it.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedMade")]
pub fn posed_made(args: JsValue) -> Result<JsValue, JsValue> {
    let TextArgs { text } = args_of(&args)?;
    let made = with(&text, |posed| {
        Ok(PosedMade {
            document: posed.document.clone(),
            file: document::pretty(&posed.document).unwrap_or_default(),
            link: posed::link(&posed.document),
            name: posed.name(),
            spans: posed.spans()?,
        })
    })?;
    document_to_js(&made)
}

/// A text, of whom, and what the student did.
#[derive(Deserialize)]
struct StudentArgs {
    text: String,
    id: String,
    #[serde(default)]
    answers: Vec<String>,
    #[serde(default)]
    hints: usize,
    #[serde(default)]
    solved: bool,
    #[serde(default)]
    changed: Vec<(String, f64)>,
}

/// What a student sees: `{text, id}`.
///
/// # Errors
/// Throws what is wrong with exercise, id or numbers.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedTask")]
pub fn posed_task(args: JsValue) -> Result<JsValue, JsValue> {
    let StudentArgs { text, id, .. } = args_of(&args)?;
    let id = student(&id)?;
    document_to_js(&with(&text, |posed| posed.task(&id))?)
}

/// What became of answers.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct PosedJudged {
    /// Of each answer.
    verdicts: Vec<Verdict>,
    /// Points of a hundred.
    points: u32,
    /// The slip.
    slip: String,
}

/// Judges the answers of a student: `{text, id, answers, hints, solved}`.
///
/// # Errors
/// Throws what is wrong with exercise, id or numbers.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedJudged")]
pub fn posed_judged(args: JsValue) -> Result<JsValue, JsValue> {
    let StudentArgs { text, id, answers, hints, solved, .. } = args_of(&args)?;
    let id = student(&id)?;
    let judged = with(&text, |posed| {
        let verdicts = posed.judged(&id, &answers)?;
        let points = posed.points(&verdicts);
        let slip = posed.slip(&PosedAnswers { id, hints, solved, answers });
        Ok(PosedJudged { verdicts, points, slip })
    })?;
    document_to_js(&judged)
}

/// The answers of a student as the solver gives them: `{text, id}`.
///
/// # Errors
/// Throws what is wrong with exercise, id or numbers.
#[wasm_bindgen(unchecked_return_type = "string[]")]
pub fn posed_answers(args: JsValue) -> Result<JsValue, JsValue> {
    let StudentArgs { text, id, .. } = args_of(&args)?;
    let id = student(&id)?;
    document_to_js(&with(&text, |posed| posed.answers(&id))?)
}

/// The results with other values of open inputs: `{text, id, changed}`.
///
/// # Errors
/// Throws what is wrong with exercise, id or values, and names an input that is locked.
#[wasm_bindgen(unchecked_return_type = "string[]")]
pub fn posed_tried(args: JsValue) -> Result<JsValue, JsValue> {
    let StudentArgs { text, id, changed, .. } = args_of(&args)?;
    let id = student(&id)?;
    document_to_js(&with(&text, |posed| posed.tried(&id, &changed))?)
}

/// An exercise, and ids or slips.
#[derive(Deserialize)]
struct ClassArgs {
    text: String,
    #[serde(default)]
    ids: Vec<String>,
    #[serde(default)]
    slips: String,
    #[serde(default)]
    more: usize,
}

/// Lines of the key for some students: `{text, ids}`. Without ids its head.
///
/// # Errors
/// Throws what is wrong with exercise or ids.
#[wasm_bindgen]
pub fn posed_key(args: JsValue) -> Result<String, JsValue> {
    let ClassArgs { text, ids, .. } = args_of(&args)?;
    let ids = ids.iter().map(|id| student(id)).collect::<Result<Vec<_>, _>>()?;
    if ids.is_empty() {
        return Ok(Posed::key_head());
    }
    with(&text, |posed| Ok(ids.iter().map(|id| posed.key_of(id)).collect()))
}

/// How far a class has been judged.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct PosedProgress {
    /// Slips that were found.
    count: usize,
    /// Slips that have been judged.
    judged: usize,
    /// All of them, once they have been judged.
    class: Option<Class>,
    /// The same as CSV.
    csv: String,
}

/// Judges `more` slips of a text, after those that were judged before: `{text, slips, more}`.
///
/// # Errors
/// Throws what is wrong with the exercise, and where the text is too long.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.PosedProgress")]
pub fn posed_class(args: JsValue) -> Result<JsValue, JsValue> {
    let ClassArgs { text, slips, more, .. } = args_of(&args)?;
    let begun = CLASS.take().filter(|class| class.exercise == text && class.slips == slips);
    let mut class = match begun {
        Some(class) => class,
        None => {
            let found = with(&text, |posed| Ok(posed.slips(&slips)))?.map_err(|said| refused(&said))?;
            Judged { exercise: text.clone(), slips, found, rows: Vec::new() }
        }
    };
    with(&text, |posed| {
        let next = class.found.slips.iter().skip(class.rows.len()).take(more);
        let rows: Vec<Row> = next.map(|slip| posed.row(slip)).collect();
        class.rows.extend(rows);
        Ok(())
    })?;
    let (count, judged) = (class.found.slips.len(), class.rows.len());
    let mut progress = PosedProgress { count, judged, class: None, csv: String::new() };
    if judged < count {
        CLASS.set(Some(class));
    } else {
        let whole = class.found.class(class.rows);
        progress.csv = whole.csv();
        progress.class = Some(whole);
    }
    document_to_js(&progress)
}

/// Adds the types of what crosses this boundary to those of a page.
#[cfg(feature = "typescript")]
pub fn declare(declarations: &mut gatefrost_web::typescript::Declarations) {
    use ts_rs::TypeVisitor;
    declarations.visit::<posed::PosedShown>();
    declarations.visit::<posed::PosedTask>();
    declarations.visit::<PosedDemo>();
    declarations.visit::<PosedMade>();
    declarations.visit::<PosedJudged>();
    declarations.visit::<PosedProgress>();
}
