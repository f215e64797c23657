//! The key of an exercise for a list of students, and the slips of a class.

use super::Posed;
use crate::class::{Class, Row};
use crate::draw::StudentId;
use crate::slip::{BadLine, Line, Lines, lines};
use crate::texts::{Said, Texts};
use gatefrost_core::format::{csv_field, number};
use std::collections::BTreeSet;

/// What a slip names an exercise of a lecturer by, before its code.
pub const NAME: &str = "own";

/// The answers of a student, to be handed in.
#[derive(Debug, Clone, PartialEq)]
pub struct PosedAnswers {
    /// Who.
    pub id: StudentId,
    /// Hints that were opened.
    pub hints: usize,
    /// Whether the solution was opened before all answers were right.
    pub solved: bool,
    /// The answers as they were typed.
    pub answers: Vec<String>,
}

/// The slips of a class, to be judged some at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct PosedClass {
    /// The slips. Of two by one student the later counts.
    pub slips: Vec<PosedAnswers>,
    bad: Vec<BadLine>,
}

impl Posed {
    /// The name of the exercise in slips and tables.
    pub fn name(&self) -> String {
        format!("{NAME}/{}", self.code)
    }

    /// The key for one student: lines of CSV.
    pub fn key_of(&self, id: &StudentId) -> String {
        let name = csv_field(id.text());
        let values = match self.solved(id) {
            Ok(values) => values,
            Err(error) => {
                let why = error.problems.first().map_or_else(String::new, |problem| problem.message.clone());
                return format!("{name},{},,,{},\n", self.name(), csv_field(&why));
            }
        };
        let line = |(at, value): (usize, &Option<f64>)| {
            let figures = self.document.asked[at].figures[1] as usize;
            let told = value.map_or_else(String::new, |value| number(value, figures));
            let (title, unit) = (csv_field(self.asked[at].entry.title), self.asked[at].entry.unit);
            format!("{name},{},{},{title},{told},{unit}\n", self.name(), at + 1)
        };
        values.iter().enumerate().map(line).collect()
    }

    /// The head of the key.
    pub fn key_head() -> String {
        Texts::english().word("csv-own-key") + "\n"
    }

    /// The key for some students as CSV: a line for each student and answer.
    pub fn key(&self, ids: &[StudentId]) -> String {
        Self::key_head() + &ids.iter().map(|id| self.key_of(id)).collect::<String>()
    }

    /// The slip of a student, one line.
    pub fn slip(&self, of: &PosedAnswers) -> String {
        let PosedAnswers { id, hints, solved, answers } = of.clone();
        Line { id, named: self.name(), hints, solved, answers }.write()
    }

    /// Finds the slips of this exercise in a text such as some mails pasted together.
    ///
    /// # Errors
    /// A text that is too long, or has too many slips.
    pub fn slips(&self, text: &str) -> Result<PosedClass, Said> {
        let Lines { found, mut bad } = lines(text)?;
        let mut slips = Vec::new();
        for (at, line) in found {
            if line.named != self.name() {
                let own = line.named.starts_with(NAME);
                let said = Said::new(if own { "slip-other-own" } else { "slip-not-own" });
                bad.push(BadLine { line: at, said });
                continue;
            }
            let answers = line.answers.into_iter().take(self.asked.len()).collect();
            slips.push(PosedAnswers { id: line.id, hints: line.hints, solved: line.solved, answers });
        }
        let mut seen = BTreeSet::new();
        slips.reverse();
        slips.retain(|slip| seen.insert(slip.id.text().to_owned()));
        slips.reverse();
        bad.sort_by_key(|bad| bad.line);
        bad.truncate(crate::slip::MOST_PROBLEMS);
        Ok(PosedClass { slips, bad })
    }

    /// A slip, judged anew by the solver.
    pub fn row(&self, slip: &PosedAnswers) -> Row {
        let values = self.solved(&slip.id).unwrap_or_else(|_| vec![None; self.asked.len()]);
        let verdicts = self.judged_against(&values, &slip.answers);
        let typed = |at: usize| slip.answers.get(at).cloned().unwrap_or_default();
        Row {
            id: slip.id.text().to_owned(),
            exercise: self.name(),
            points: self.points(&verdicts),
            hints: slip.hints,
            solved: slip.solved,
            answers: verdicts.into_iter().enumerate().map(|(at, verdict)| (typed(at), verdict)).collect(),
        }
    }
}

impl PosedClass {
    /// The class of rows that were judged.
    pub fn class(&self, rows: Vec<Row>) -> Class {
        Class::in_order(rows, &self.bad, |_| Some(0))
    }
}
