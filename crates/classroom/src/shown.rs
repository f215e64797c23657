//! What a page or a terminal shows of a task: texts, formulas, and what became of answers.

use crate::draw::StudentId;
use crate::exercises::{ALL, Exercise, Level};
use crate::figure::exercises::{self as figure, With};
use crate::judge::{self, Judgement, Part};
use crate::task::{Asked, Task};
use crate::texts::{Said, Texts};
use gatefrost_core::format;
use gatefrost_formula::{Line, Symbol, Writing};
use gatefrost_plot::Chart;
use serde::Serialize;

/// Numbers as the program writes them.
#[derive(Debug, Clone, Copy)]
struct Numbers;

impl Writing for Numbers {
    fn number(&self, value: f64, digits: usize) -> String {
        format::number(value, digits).replace('-', "−")
    }
}

/// Digits to which data are shown: as many as they were drawn with.
const DATA_DIGITS: usize = 6;
/// Digits to which a result of the solver is shown.
const RESULT_DIGITS: usize = 4;

/// An exercise in a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Listed {
    /// Its name, in links and slips.
    pub name: String,
    /// Its version.
    pub version: u16,
    /// How hard it is.
    pub level: Level,
    /// Its title.
    pub title: String,
    /// What is learned.
    pub aim: String,
    /// Answers that it asks for.
    pub answers: usize,
}

/// A quantity of the data.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Given {
    /// Its letter as MathML.
    pub mathml: String,
    /// Its letter as text.
    pub letter: String,
    /// What it is.
    pub words: String,
    /// The value with its unit.
    pub value: String,
}

/// A table of readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownTable {
    /// Heads of the columns.
    pub heads: Vec<String>,
    /// Cells, row by row.
    pub rows: Vec<Vec<String>>,
}

/// A number that is asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownAsked {
    /// Its letter as MathML.
    pub mathml: String,
    /// Its letter as text.
    pub letter: String,
    /// What it is.
    pub words: String,
    /// The unit that is expected; others are taken, too.
    pub unit: String,
}

/// A task as it is shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownTask {
    /// The exercise.
    pub listed: Listed,
    /// The id that the numbers were drawn for.
    pub id: String,
    /// What is to be done.
    pub task: String,
    /// The data.
    pub given: Vec<Given>,
    /// Readings among the data.
    pub table: Option<ShownTable>,
    /// What is asked for.
    pub asked: Vec<ShownAsked>,
    /// The hints, to be opened one by one.
    pub hints: Vec<String>,
    /// What the solver says of the same.
    pub beside: Option<ShownBeside>,
    /// The data as a figure.
    pub figure: Option<Chart>,
    /// The figure of the solution.
    pub solved_figure: Option<Chart>,
}

/// A result of the solver to be shown beside the answers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownBeside {
    /// Name of the demo that the scenario begins as.
    pub demo: String,
    /// What is changed in its document: path, and the value as JSON.
    pub changes: Vec<(String, String)>,
    /// Flow rate at which the cavity is filled \[cm³/s\], if it is not the demo's.
    pub rate: Option<f64>,
    /// Path of the result in the report.
    pub path: String,
    /// Unit of the result.
    pub unit: String,
    /// Why it differs.
    pub why: String,
}

/// A line of a solution.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownLine {
    /// What it gives.
    pub words: String,
    /// The formula.
    pub mathml: String,
    /// The same with the student's numbers put in.
    pub with_numbers: String,
    /// The formula as text.
    pub text: String,
    /// The same with numbers as text.
    pub text_with_numbers: String,
}

/// The solution of one answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShownSolution {
    /// The lines, the answer in the last one.
    pub lines: Vec<ShownLine>,
    /// The answer by hand.
    pub by_hand: String,
    /// The answer by the function of the core.
    pub by_core: String,
}

/// What became of an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Verdict {
    /// Parts that are right.
    pub right: Vec<Part>,
    /// Points, of a hundred.
    pub points: u32,
    /// Sentences for the student.
    pub feedback: Vec<String>,
    /// Keys of these sentences, to be counted over a class.
    pub keys: Vec<String>,
}

impl Verdict {
    pub(crate) fn of(judgement: &Judgement) -> Self {
        let parts = [
            (Part::Value, judgement.value),
            (Part::Unit, judgement.unit),
            (Part::Figures, judgement.figures),
        ];
        Self {
            right: parts.into_iter().filter(|(_, right)| *right).map(|(part, _)| part).collect(),
            points: judgement.points(),
            feedback: judgement.feedback.iter().map(|said| Texts::english().say(said)).collect(),
            keys: judgement.feedback.iter().map(|said| said.key().to_owned()).collect(),
        }
    }
}

fn word(key: &str) -> String {
    Texts::english().word(key)
}

/// A result of the solver with its unit.
pub fn told(value: f64, unit: &str) -> String {
    let number = Numbers.number(value, RESULT_DIGITS);
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}

/// The exercises in order.
pub fn list() -> Vec<Listed> {
    ALL.iter().map(Exercise::listed).collect()
}

impl Exercise {
    /// The exercise as it stands in a list.
    pub fn listed(&self) -> Listed {
        Listed {
            name: self.name.to_owned(),
            version: self.version,
            level: self.level,
            title: word(&format!("{}-title", self.name)),
            aim: word(&format!("{}-aim", self.name)),
            answers: self.answers,
        }
    }

    /// The task of a student, to be shown.
    pub fn shown(&self, id: &StudentId) -> ShownTask {
        let task = self.task(id);
        let said = task
            .names
            .iter()
            .fold(Said::new(format!("{}-task", self.name)), |said, (name, key)| said.with(name, word(key)));
        ShownTask {
            listed: self.listed(),
            id: id.text().to_owned(),
            task: capitalised(&Texts::english().say(&said)),
            given: task.given.iter().map(given).collect(),
            table: task.readings.as_ref().map(|readings| ShownTable {
                heads: readings
                    .columns
                    .iter()
                    .map(|(letter, key, unit)| format!("{} {letter} [{unit}]", word(key)))
                    .collect(),
                rows: readings
                    .rows
                    .iter()
                    .map(|row| row.iter().map(|&value| Numbers.number(value, DATA_DIGITS)).collect())
                    .collect(),
            }),
            asked: task.asked.iter().map(asked).collect(),
            figure: figure::of(self.name, &task, With::Task),
            solved_figure: figure::of(self.name, &task, With::Solution),
            hints: (1..=self.hints).map(|k| word(&format!("{}-hint-{k}", self.name))).collect(),
            beside: task.beside.as_ref().map(|beside| ShownBeside {
                demo: beside.demo.to_owned(),
                changes: beside
                    .changes
                    .iter()
                    .map(|(path, value)| ((*path).to_owned(), value.clone()))
                    .collect(),
                rate: beside.rate,
                path: beside.path.to_owned(),
                unit: beside.unit.sign.to_owned(),
                why: word(beside.why),
            }),
        }
    }

    /// Judges the answer at a place of the task. `None` where nothing is asked for.
    pub fn judged(&self, id: &StudentId, at: usize, typed: &str) -> Option<Verdict> {
        let task = self.task(id);
        task.asked.get(at).map(|asked| Verdict::of(&judge::judge(asked, asked.by_hand(), typed)))
    }

    /// Judges all answers; one that is missing counts as empty.
    pub fn all_judged(&self, id: &StudentId, typed: &[String]) -> Vec<Verdict> {
        let judged = |(at, asked): (usize, &Asked)| {
            Verdict::of(&judge::judge(asked, asked.by_hand(), typed.get(at).map_or("", String::as_str)))
        };
        self.task(id).asked.iter().enumerate().map(judged).collect()
    }

    /// The solutions with the numbers of a student.
    pub fn solutions(&self, id: &StudentId) -> Vec<ShownSolution> {
        self.task(id).asked.iter().map(solution).collect()
    }

    /// The answers of a student as the key has them: number, then unit.
    pub fn key(&self, id: &StudentId) -> Vec<(String, String)> {
        let told = |asked: &Asked| {
            let result = &asked.line.result;
            (format::number(result.value, asked.figures[1] as usize), result.unit.sign.to_owned())
        };
        let Task { asked, .. } = self.task(id);
        asked.iter().map(told).collect()
    }
}

pub(crate) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn given(symbol: &Symbol) -> Given {
    Given {
        mathml: inline(symbol),
        letter: symbol.letter.to_string(),
        words: word(&symbol.words),
        value: Symbol { digits: DATA_DIGITS, ..symbol.clone() }.told(&Numbers),
    }
}

pub(crate) fn inline(symbol: &Symbol) -> String {
    format!("<math>{}</math>", symbol.mathml())
}

fn asked(asked: &Asked) -> ShownAsked {
    let result = &asked.line.result;
    ShownAsked {
        mathml: inline(result),
        letter: result.letter.to_string(),
        words: word(&result.words),
        unit: result.unit.sign.to_owned(),
    }
}

fn solution(asked: &Asked) -> ShownSolution {
    let result = &asked.line.result;
    let told = |si: f64| {
        Symbol { value: result.unit.of_si(si), digits: result.digits.max(4), ..result.clone() }.told(&Numbers)
    };
    ShownSolution {
        lines: asked.steps.iter().chain([&asked.line]).map(line).collect(),
        by_hand: told(asked.by_hand()),
        by_core: told(asked.model),
    }
}

fn line(line: &Line) -> ShownLine {
    ShownLine {
        words: word(&line.result.words),
        mathml: line.mathml(),
        with_numbers: line.mathml_with_numbers(&Numbers),
        text: line.text(),
        text_with_numbers: line.text_with_numbers(&Numbers),
    }
}
