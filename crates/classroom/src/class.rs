//! The desk of the lecturer: the key for a list of students, and the slips of a class judged in bulk.

use crate::draw::StudentId;
use crate::exercises::{ALL, Exercise};
use crate::shown::Verdict;
use crate::slip::{BadLine, Found, Slip};
use crate::texts::{Said, Texts};
use gatefrost_core::format::csv_field;
use serde::Serialize;
use std::collections::BTreeMap;

/// Most ids of a key.
const MOST_IDS: usize = 2000;

/// The ids of a list: one a line, or with commas or semicolons between them.
///
/// # Errors
/// Names the first line that is no id. There are 1 to 2000.
pub fn ids(list: &str) -> Result<Vec<StudentId>, Said> {
    let typed = list.split(['\n', ',', ';']).map(str::trim).filter(|id| !id.is_empty());
    let ids: Vec<StudentId> = typed.take(MOST_IDS + 1).map(StudentId::read).collect::<Result<_, _>>()?;
    match ids.len() {
        0 => Err(Said::new("id-none")),
        found if found > MOST_IDS => Err(Said::new("ids-many").with("most", MOST_IDS)),
        _ => Ok(ids),
    }
}

/// The key for some students as CSV: a line for each student and answer.
pub fn key(exercises: &[&Exercise], ids: &[StudentId]) -> String {
    let mut out = Texts::english().word("csv-key") + "\n";
    for id in ids {
        for exercise in exercises {
            for (at, (value, unit)) in exercise.key(id).into_iter().enumerate() {
                let name = csv_field(id.text());
                out += &format!("{name},{},{},{},{value},{unit}\n", exercise.name, exercise.version, at + 1);
            }
        }
    }
    out
}

/// The slip of a student, judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Row {
    /// Who.
    pub id: String,
    /// Name of the exercise.
    pub exercise: String,
    /// Points of all its answers, of a hundred.
    pub points: u32,
    /// Hints that were opened.
    pub hints: usize,
    /// Whether the solution was opened before all answers were right.
    pub solved: bool,
    /// The answers as they were typed, and what became of each.
    pub answers: Vec<(String, Verdict)>,
}

/// What often went wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Common {
    /// Name of the exercise.
    pub exercise: String,
    /// The sentence that the students were told.
    pub feedback: String,
    /// Students to whom it was told.
    pub students: usize,
}

/// A class.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Class {
    /// The slips in the order of the students, then of the exercises.
    pub rows: Vec<Row>,
    /// What often went wrong, the most frequent first.
    pub common: Vec<Common>,
    /// Lines that could not be read: their number and what is wrong.
    pub bad: Vec<(usize, String)>,
}

impl Slip {
    /// The slip, judged anew.
    pub fn judged(&self) -> Row {
        let verdicts = self.exercise.all_judged(&self.id, &self.answers);
        let count = verdicts.len().max(1) as u32;
        let points = verdicts.iter().map(|verdict| verdict.points).sum::<u32>() / count;
        let typed = |at: usize| self.answers.get(at).cloned().unwrap_or_default();
        Row {
            id: self.id.text().to_owned(),
            exercise: self.exercise.name.to_owned(),
            points,
            hints: self.hints,
            solved: self.solved,
            answers: verdicts.into_iter().enumerate().map(|(at, verdict)| (typed(at), verdict)).collect(),
        }
    }
}

impl Class {
    /// A class of slips that were judged.
    pub fn of(rows: Vec<Row>, found: &Found) -> Self {
        Self::in_order(rows, &found.bad, |name| ALL.iter().position(|exercise| exercise.name == name))
    }

    /// The same with the place of each exercise by its name.
    pub(crate) fn in_order(
        mut rows: Vec<Row>,
        bad: &[BadLine],
        place: impl Fn(&str) -> Option<usize>,
    ) -> Self {
        rows.sort_by(|a, b| a.id.cmp(&b.id).then(place(&a.exercise).cmp(&place(&b.exercise))));
        let mut told: BTreeMap<(Option<usize>, &str), (usize, &Row, &str)> = BTreeMap::new();
        for row in &rows {
            let mut of_row: Vec<(&str, &str)> = row
                .answers
                .iter()
                .flat_map(|(_, verdict)| verdict.keys.iter().zip(&verdict.feedback))
                .map(|(key, feedback)| (key.as_str(), feedback.as_str()))
                .filter(|(key, _)| *key != "judge-right")
                .collect();
            of_row.sort_unstable();
            of_row.dedup_by_key(|(key, _)| *key);
            for (key, feedback) in of_row {
                told.entry((place(&row.exercise), key)).or_insert((0, row, feedback)).0 += 1;
            }
        }
        let mut common: Vec<Common> = told
            .into_values()
            .map(|(students, row, feedback)| Common {
                exercise: row.exercise.clone(),
                feedback: feedback.to_owned(),
                students,
            })
            .collect();
        common.sort_by_key(|common| std::cmp::Reverse(common.students));
        let bad = bad.iter().map(|bad| (bad.line, Texts::english().say(&bad.said))).collect();
        Self { rows, common, bad }
    }

    /// The class as CSV: a line for each answer.
    pub fn csv(&self) -> String {
        let texts = Texts::english();
        let mut out = texts.word("csv-class") + "\n";
        for row in &self.rows {
            for (at, (typed, verdict)) in row.answers.iter().enumerate() {
                out += &format!(
                    "{},{},{},{},{},{},{},{},{}\n",
                    csv_field(&row.id),
                    row.exercise,
                    row.points,
                    row.hints,
                    texts.word(if row.solved { "csv-yes" } else { "csv-no" }),
                    at + 1,
                    csv_field(typed),
                    verdict.points,
                    csv_field(&verdict.feedback.join(" "))
                );
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercises::find;
    use crate::slip::read_all;

    /// Two hundred students hand in; every second one forgets the unit of the first answer.
    #[test]
    fn a_class_is_judged_and_what_often_went_wrong_is_counted() {
        let exercise = find("gate").expect("an exercise");
        let mut text = String::new();
        for k in 1..=200 {
            let id = StudentId::read(&format!("s{k:03}")).expect("an id");
            let key = exercise.key(&id);
            let answers = key.iter().enumerate().map(|(at, (value, unit))| {
                // With the zeros at its end that make its figures.
                let value = format!("{:.3e}", value.parse::<f64>().expect("a number"));
                if at == 0 && k % 2 == 0 { value } else { format!("{value} {unit}") }
            });
            text += &Slip { answers: answers.collect(), hints: 0, solved: false, exercise, id }.write();
            text.push('\n');
        }
        let found = read_all(&text).expect("slips");
        let class = Class::of(found.slips.iter().map(Slip::judged).collect(), &found);
        assert_eq!(class.rows.len(), 200);
        assert_eq!(class.rows.iter().filter(|row| row.points == 100).count(), 100);
        assert_eq!((class.common.len(), class.common[0].students), (1, 100));
        assert!(class.common[0].feedback.contains("unit is missing"));
        assert_eq!(class.csv().lines().count(), 401);
    }

    #[test]
    fn a_spreadsheet_computes_nothing_of_what_a_student_typed() {
        assert_eq!(csv_field("=1+1"), "'=1+1");
        assert_eq!(csv_field("a,\"b\""), "\"a,\"\"b\"\"\"");
        assert_eq!(ids("a, b;c\nd\n\n").map(|ids| ids.len()), Ok(4));
        assert!(ids("\n").is_err() && ids(&"a\n".repeat(2001)).is_err());
    }
}
