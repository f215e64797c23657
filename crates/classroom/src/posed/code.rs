//! The two forms of an exercise: a file, which is its document as JSON, and a link.
//!
//! A link holds `own=1` and the digits of a text: the document as a JSON list without the names of its fields, in ASCII,
//! packed as long links of the window are. Three of the digits check the others.

use super::{Document, Drawn, Input, Wanted};
use crate::texts::{Said, Texts};
use gatefrost_core::document::{self, Unread};
use gatefrost_core::scenario::{Problem, Scenario, ScenarioError, link as window};
use serde::{Deserialize, Serialize};

/// What the fragment of a link begins with.
pub const PREFIX: &str = "own=1";
/// Characters that a packed exercise may have.
const MOST_PACKED: usize = 64 * 1024;
/// Bytes that a text with an exercise may have.
const MOST_BYTES: usize = 256 * 1024;

/// An input as a list: path, whether it is open, and least value, greatest value and step where it is drawn.
type ListedInput = (String, bool, Vec<f64>);

/// The document as a list.
#[derive(Serialize, Deserialize)]
struct Listed(
    u32,
    String,
    String,
    Vec<String>,
    String,
    Vec<ListedInput>,
    Vec<(String, f64, [u32; 2], u32)>,
    bool,
);

impl Listed {
    fn of(document: Document) -> Self {
        let listed = |Input { path, drawn, open }: Input| {
            (path, open, drawn.map_or_else(Vec::new, |d| vec![d.from, d.to, d.step]))
        };
        Self(
            document.gatefrost_exercise,
            document.title,
            document.task,
            document.hints,
            document.scenario,
            document.inputs.into_iter().map(listed).collect(),
            document.asked.into_iter().map(|w| (w.path, w.tolerance_percent, w.figures, w.points)).collect(),
            document.window,
        )
    }

    /// `None` where an input has neither none nor three numbers.
    fn document(self) -> Option<Document> {
        let Self(gatefrost_exercise, title, task, hints, scenario, inputs, asked, window) = self;
        let input = |(path, open, drawn): ListedInput| {
            let drawn = match drawn[..] {
                [] => None,
                [from, to, step] => Some(Drawn { from, to, step }),
                _ => return None,
            };
            Some(Input { path, drawn, open })
        };
        let inputs = inputs.into_iter().map(input).collect::<Option<_>>()?;
        let wanted =
            |(path, tolerance_percent, figures, points)| Wanted { path, tolerance_percent, figures, points };
        let asked = asked.into_iter().map(wanted).collect();
        Some(Document { gatefrost_exercise, title, task, hints, scenario, inputs, asked, window })
    }
}

/// The fragment of the link that opens an exercise.
pub fn link(document: &Document) -> String {
    let text = document::write(&Listed::of(document.clone())).unwrap_or_default();
    format!("{PREFIX}{}", window::pack(&in_ascii(&text)))
}

/// A JSON text with every character that is not ASCII as an escape.
fn in_ascii(text: &str) -> String {
    let mut plain = String::new();
    for c in text.chars() {
        if c.is_ascii() {
            plain.push(c);
        } else {
            plain.extend(c.encode_utf16(&mut [0; 2]).iter().map(|unit| format!("\\u{unit:04x}")));
        }
    }
    plain
}

fn refused(path: &str, said: &Said) -> ScenarioError {
    let message = Texts::english().say(said);
    ScenarioError { problems: vec![Problem { path: path.to_owned(), message }] }
}

/// Reads an exercise: the text of its file, a whole address, or the fragment of a link.
///
/// # Errors
/// Says what cannot be read. What has been read is not checked yet.
pub fn read(text: &str) -> Result<Document, ScenarioError> {
    if text.len() > MOST_BYTES {
        return Err(refused("", &Said::new("own-long").with("most", MOST_BYTES / 1024)));
    }
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.starts_with('{') {
        return document::read(text).map_err(|unread| of_file(&unread));
    }
    let fragment = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment);
    let broken = || refused("", &Said::new("own-link-broken"));
    let Some(digits) = fragment.strip_prefix(PREFIX) else {
        return Err(refused("", &Said::new("own-no-exercise")));
    };
    let text = window::unpack(digits, MOST_PACKED).ok_or_else(broken)?;
    let listed: Listed = document::read(&text).map_err(|_| broken())?;
    listed.document().ok_or_else(broken)
}

fn of_file(unread: &Unread) -> ScenarioError {
    let field = named(&unread.path);
    let message = format!("{} {}", field.unwrap_or_else(|| unread.path.clone()), unread.predicate);
    ScenarioError { problems: vec![Problem { path: unread.path.clone(), message }] }
}

/// The name of the field at a path of the document, as the page has it; in a list with the place before it.
pub(super) fn named(path: &str) -> Option<String> {
    let is_place = |part: &&str| part.bytes().all(|b| b.is_ascii_digit());
    let mut words: Vec<&str> = path.split('.').filter(|part| !part.is_empty()).collect();
    if words.first() == Some(&"asked") && words.get(2) == Some(&"figures") {
        words.truncate(3);
    }
    let place = words.get(1).filter(|part| is_place(part)).and_then(|part| part.parse::<usize>().ok());
    let texts = Texts::english();
    let key = match words.last() {
        None => "own-document",
        Some(&"gatefrost_exercise") => "own-version",
        Some(&"title") => "own-title",
        Some(&"task") => "own-task",
        Some(&"scenario") => "own-scenario-label",
        Some(&"window") => "own-window",
        Some(&"from") => "own-from",
        Some(&"to") => "own-to",
        Some(&"step") => "own-step",
        Some(&"open") => "own-open-label",
        Some(&"tolerance_percent") => "own-tolerance",
        Some(&"figures") => "own-figures",
        Some(&"points") => "own-points",
        Some(_) => match (words[0], place) {
            ("hints", Some(place)) => {
                return Some(texts.say(&Said::new("own-hint").with("at", place + 1)));
            }
            ("hints", None) => "own-hints",
            ("inputs", Some(_)) => "own-input",
            ("inputs", None) => "own-inputs",
            ("asked", Some(_)) => "own-result",
            ("asked", None) => "own-asked",
            _ => return None,
        },
    };
    let list = match words.first() {
        Some(&"inputs") => "own-of-input",
        Some(&"asked") => "own-of-result",
        _ => return Some(texts.word(key)),
    };
    Some(match place {
        Some(place) => texts.say(&Said::new(list).with("at", place + 1).with("field", texts.word(key))),
        None => texts.word(key),
    })
}

/// The text of a scenario for an exercise: from a link of the window, whole or its part behind `#`, or from the text of a
/// scenario's file.
///
/// # Errors
/// The scenario's problems.
pub fn scenario_link(text: &str) -> Result<String, ScenarioError> {
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.starts_with('{') {
        return Ok(window::encode(&Scenario::from_json(text)?));
    }
    let fragment = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment);
    opened(fragment)?;
    Ok(fragment.to_owned())
}

/// The scenario of a link, all of whose entries can be read.
pub(super) fn opened(link: &str) -> Result<Scenario, ScenarioError> {
    let opened = window::decode(link);
    if !opened.problems.is_empty() {
        return Err(ScenarioError { problems: opened.problems });
    }
    if opened.kept == 0 {
        return Err(refused("scenario", &Said::new("own-no-scenario")));
    }
    Ok(opened.scenario)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_has_the_name_that_the_page_shows() {
        for (path, name) in [
            ("", "The exercise"),
            ("title", "Title"),
            ("hints.1", "Hint 2"),
            ("inputs.0.drawn.step", "Input 1, step"),
            ("asked.2.figures.1", "Result 3, significant figures"),
            ("asked", "Results asked for"),
        ] {
            assert_eq!(named(path).as_deref(), Some(name), "{path}");
        }
        assert_eq!(named("colour"), None);
    }
}
