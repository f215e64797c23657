//! Slips: what a student hands in, one line of text for each exercise.
//!
//! `GF1 | ID | EXERCISE/VERSION | hints N | ANSWER | ANSWER … | CHECK`, with `hints N, solution` where the student opened
//! the solution before all answers were right.
//!
//! The answers stand as they were typed, so that whoever checks a slip judges them again: the points are not taken from
//! the student. CHECK is a hash of the line before it. It finds a line that was cut off or changed by mistake. It does not
//! prove who wrote it: the page that makes slips runs on the student's own machine.

use crate::draw::{StudentId, fnv_1a};
use crate::exercises::{self, Exercise};
use crate::posed;
use crate::texts::Said;
use std::collections::BTreeSet;

/// What a line of a slip begins with.
const BEGINS: &str = "GF1 |";
const APART: &str = " | ";
/// What stands behind the hints where the solution was opened.
const SOLVED: &str = ", solution";
/// Longest text that is read, bytes: 200 students with 18 exercises each are a third of a megabyte.
pub const MOST_BYTES: usize = 8_000_000;
/// Most lines that are judged.
pub const MOST_SLIPS: usize = 20_000;
/// Most problems that are told.
pub(crate) const MOST_PROBLEMS: usize = 50;

/// What a student hands in for an exercise.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// Who.
    pub id: StudentId,
    /// The exercise.
    pub exercise: &'static Exercise,
    /// Hints that were opened.
    pub hints: usize,
    /// Whether the solution was opened before all answers were right.
    pub solved: bool,
    /// The answers as they were typed.
    pub answers: Vec<String>,
}

/// A line that is no slip, though it begins as one.
#[derive(Debug, Clone, PartialEq)]
pub struct BadLine {
    /// Its number, from 1.
    pub line: usize,
    /// What is wrong.
    pub said: Said,
}

/// What was found in a text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// The slips. Of two by one student for one exercise the later counts.
    pub slips: Vec<Slip>,
    /// Lines that could not be read, at most 50.
    pub bad: Vec<BadLine>,
}

/// A line of a slip, of whatever exercise.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub id: StudentId,
    /// The exercise as it stands there, `NAME/VERSION`.
    pub named: String,
    pub hints: usize,
    pub solved: bool,
    pub answers: Vec<String>,
}

impl Line {
    pub fn write(&self) -> String {
        let plain = |text: &str| text.replace(['|', '\n', '\r'], " ").trim().to_owned();
        let mut parts = vec![
            plain(self.id.text()),
            self.named.clone(),
            format!("hints {}{}", self.hints, if self.solved { SOLVED } else { "" }),
        ];
        parts.extend(self.answers.iter().map(|answer| plain(answer)));
        let line = format!("{BEGINS} {}", parts.join(APART));
        let check = check(&line);
        format!("{line}{APART}{check}")
    }

    fn read(line: &str) -> Result<Self, Said> {
        let (before, told) = line.rsplit_once('|').ok_or_else(|| Said::new("slip-cut"))?;
        if check(before.trim_end()) != told.trim() {
            return Err(Said::new("slip-changed"));
        }
        let mut parts = before[BEGINS.len()..].split('|').map(str::trim);
        let mut next = || parts.next().ok_or_else(|| Said::new("slip-cut"));
        let id = StudentId::read(next()?)?;
        let named = next()?.to_owned();
        let help = next()?;
        let (hints, solved) = help.strip_suffix(SOLVED).map_or((help, false), |hints| (hints, true));
        let hints = hints.strip_prefix("hints ").and_then(|n| n.parse().ok());
        let hints = hints.ok_or_else(|| Said::new("slip-cut"))?;
        Ok(Self { id, named, hints, solved, answers: parts.map(str::to_owned).collect() })
    }
}

impl Slip {
    /// The slip as a line.
    pub fn write(&self) -> String {
        let Self { id, exercise, hints, solved, answers } = self.clone();
        Line { id, named: format!("{}/{}", exercise.name, exercise.version), hints, solved, answers }.write()
    }

    fn of(line: Line) -> Result<Self, Said> {
        let (name, version) = line.named.split_once('/').ok_or_else(|| Said::new("slip-cut"))?;
        if name == posed::NAME {
            return Err(Said::new("slip-own"));
        }
        let shown = || gatefrost_core::format::quoted(name);
        let exercise =
            exercises::find(name).ok_or_else(|| Said::new("slip-exercise").with("name", shown()))?;
        if version != exercise.version.to_string() {
            return Err(Said::new("slip-version").with("name", shown()));
        }
        let answers = line.answers.into_iter().take(exercise.answers).collect();
        Ok(Self { id: line.id, exercise, hints: line.hints, solved: line.solved, answers })
    }
}

/// Sixteen bits of a hash, as four digits.
fn check(line: &str) -> String {
    let hash = fnv_1a(line.as_bytes());
    format!("{:04x}", (hash ^ (hash >> 16) ^ (hash >> 32) ^ (hash >> 48)) & 0xffff)
}

/// The lines of slips in a text.
pub(crate) struct Lines {
    /// Their numbers, from 1, and what they say.
    pub found: Vec<(usize, Line)>,
    /// Those that cannot be read.
    pub bad: Vec<BadLine>,
}

/// Finds the lines of slips in a text.
///
/// # Errors
/// A text that is too long, or has too many slips.
pub(crate) fn lines(text: &str) -> Result<Lines, Said> {
    if text.len() > MOST_BYTES {
        return Err(Said::new("slip-long").with("most", MOST_BYTES / 1_000_000));
    }
    let (mut found, mut bad) = (Vec::new(), Vec::new());
    for (at, line) in text.lines().enumerate() {
        // Mail programs quote with `>`.
        let line = line.trim_start_matches(['>', ' ', '\t', '\u{feff}']).trim_end();
        if !line.starts_with(BEGINS) {
            continue;
        }
        match Line::read(line) {
            Ok(line) => found.push((at + 1, line)),
            Err(said) if bad.len() < MOST_PROBLEMS => bad.push(BadLine { line: at + 1, said }),
            Err(_) => {}
        }
        if found.len() > MOST_SLIPS {
            return Err(Said::new("slip-many").with("most", MOST_SLIPS));
        }
    }
    Ok(Lines { found, bad })
}

/// Finds the slips in a text such as some mails pasted together. Lines that do not begin as a slip are passed over.
///
/// # Errors
/// A text that is too long, or has too many slips.
pub fn read_all(text: &str) -> Result<Found, Said> {
    let Lines { found: read, bad } = lines(text)?;
    let mut found = Found { slips: Vec::new(), bad };
    for (line, read) in read {
        match Slip::of(read) {
            Ok(slip) => found.slips.push(slip),
            Err(said) => found.bad.push(BadLine { line, said }),
        }
    }
    found.bad.sort_by_key(|bad| bad.line);
    found.bad.truncate(MOST_PROBLEMS);
    let mut seen = BTreeSet::new();
    found.slips.reverse();
    found.slips.retain(|slip| seen.insert((slip.id.text().to_owned(), slip.exercise.name)));
    found.slips.reverse();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slip(id: &str, answers: &[&str]) -> Slip {
        Slip {
            id: StudentId::read(id).expect("an id"),
            exercise: exercises::find("gate").expect("an exercise"),
            hints: 1,
            solved: id == "bob",
            answers: answers.iter().map(|&answer| answer.to_owned()).collect(),
        }
    }

    #[test]
    fn a_slip_comes_back_from_a_mail() {
        let (first, second) = (slip("ada", &["12 609 1/s", "1,68 m/s"]), slip("bob", &["", "x|y"]));
        let again = slip("ada", &["12 609 1/s", "1.68 m/s"]);
        let mail =
            format!("Dear all,\r\n> {}\r\n\n>> {}\n{}\nbye", first.write(), second.write(), again.write());
        let found = read_all(&mail).expect("read");
        assert_eq!(found.bad, Vec::new());
        // The bar inside an answer is a blank; the later slip of one student counts.
        assert_eq!(found.slips, vec![slip("bob", &["", "x y"]), again]);
    }

    #[test]
    fn a_line_that_was_changed_is_named() {
        let line = slip("ada", &["12609 1/s", "1.68 m/s"]).write();
        let text = format!("{}\n{}\nGF1 | a\n", line.replace("12609", "12610"), &line[..line.len() - 7]);
        let found = read_all(&text).expect("read");
        assert_eq!(found.slips, Vec::new());
        assert_eq!(found.bad.iter().map(|bad| bad.line).collect::<Vec<_>>(), [1, 2, 3]);
        let of = |before: &str| format!("{before} | {}", check(before));
        let other = of("GF1 | ada | gate/9 | hints 0 | 1 | 2");
        let unknown = of("GF1 | ada | <b>/1 | hints 0");
        let found = read_all(&format!("{other}\n{unknown}")).expect("read");
        assert_eq!(found.bad[0].said.key(), "slip-version");
        assert_eq!(found.bad[1].said.key(), "slip-exercise");
        assert!(read_all(&"x".repeat(MOST_BYTES + 1)).is_err());
    }
}
