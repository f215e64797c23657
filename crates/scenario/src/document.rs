//! Reading and writing JSON documents. Every error has its place in the document.
//!
//! All documents use this one reader and this one writer. Each further kind of (de)serializer would compile the code of
//! every type once more, and make the page's wasm heavier.

mod complete;
mod node;
mod parse;

use crate::catalogue::Parameter;
use crate::format::shortened;
pub(crate) use complete::Usual;
pub(crate) use node::Node;
use node::{Fault, Step};
use parse::Parse;
use serde::Serialize;
use serde::de::{DeserializeOwned, DeserializeSeed};
use serde_json::error::Category;
use serde_json::{Error, Value};
use std::fmt;

/// Why a document could not be read.
#[derive(Debug, PartialEq)]
pub struct Unread {
    /// Dotted path of the place, such as `cavity.passages.3.role`; empty for the document as a whole.
    pub path: String,
    /// The problem, as the rest of a sentence that begins with the field's name.
    pub predicate: String,
    /// The value there, shortened, if it is of the wrong kind.
    pub found: Option<String>,
}

impl Unread {
    /// The problem of a number of the catalogue, with its range.
    pub fn number(&self, parameter: &Parameter) -> String {
        let accepted = parameter.accepted();
        match &self.found {
            Some(found) => format!("is {found}; accepted is {accepted}"),
            None if self.predicate.starts_with("is missing") => format!("is missing; accepted is {accepted}"),
            None => self.predicate.clone(),
        }
    }

    fn of_tree(fault: Fault) -> Self {
        let wrong = fault.placed();
        Self { path: path_of(&wrong.steps), predicate: wrong.predicate, found: wrong.found }
    }

    /// The parser's message for a text that is not JSON. A word in the place of a number is reported as the value found.
    fn of_text(text: &str, trail: &[Step], error: &Error) -> Self {
        let (line, column) = (error.line(), error.column());
        let before = text.lines().nth(line.saturating_sub(1)).and_then(|l| l.get(..column.saturating_sub(1)));
        let place = before.map_or(column, |before| before.chars().count() + 1);
        let place = format!("line {line}, character {place}");
        if error.classify() == Category::Eof {
            let predicate = format!("is incomplete JSON: it ends in {place}");
            return Self { path: String::new(), predicate, found: None };
        }
        let said = error.to_string();
        let wrong = PARSER.iter().find(|(begins, _)| said.starts_with(begins)).map_or("", |(_, wrong)| wrong);
        let value = ["expected value", "expected ident", "invalid number", "number out of range"];
        let word = value.iter().any(|begins| said.starts_with(begins)).then(|| word_at(text, line, column));
        let found = word.flatten().map(|word| shortened(word, 40));
        // Too deep for any field.
        let path = if said.starts_with("recursion") { String::new() } else { path_of(trail) };
        Self { path, predicate: format!("is not JSON: {wrong}, in {place}"), found }
    }
}

/// The parser's messages by their beginning, and our words for them.
const PARSER: &[(&str, &str)] = &[
    ("expected value", "a value is missing or cannot be read"),
    ("expected ident", "a value is missing or cannot be read"),
    ("expected `,`", "a comma or a closing bracket is missing"),
    ("expected `:`", "a colon is missing"),
    ("expected `\"`", "a quotation mark is missing"),
    ("key must be", "a field’s name must stand in quotation marks"),
    ("trailing comma", "after a comma another entry must follow"),
    ("trailing char", "text follows after its end"),
    ("invalid number", "a number cannot be read"),
    ("number out of", "a number is too large"),
    ("control char", "a line ends within a text"),
    ("invalid escape", "a character after a backslash cannot be read"),
    ("recursion", "more than 127 lists and objects are nested"),
    ("", "something is missing or cannot be read"),
];

/// The word of a JSON text at a position, or ending at it. Line and column begin at 1; the column is in bytes.
fn word_at(text: &str, line: usize, column: usize) -> Option<&str> {
    let line = text.lines().nth(line.checked_sub(1)?)?;
    let place = column.checked_sub(1)?;
    let (before, after) = (line.get(..place)?, line.get(place..)?);
    let ends = |c: char| c.is_whitespace() || ",:{}[]\"".contains(c);
    let start = before.rfind(ends).map_or(0, |i| i + 1);
    let end = place + after.find(ends).unwrap_or(after.len());
    line.get(start..end).filter(|word| !word.is_empty())
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.predicate)
    }
}

impl std::error::Error for Unread {}

/// Reads a document.
///
/// # Errors
/// The first problem, with its place.
pub fn read<T: DeserializeOwned>(text: &str) -> Result<T, Unread> {
    read_completed(text, |_| ())
}

/// Reads a document after `complete` has changed its tree.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_completed<T: DeserializeOwned>(
    text: &str,
    complete: impl FnOnce(&mut Node),
) -> Result<T, Unread> {
    let mut node = parsed(text)?;
    complete(&mut node);
    T::deserialize(&node).map_err(Unread::of_tree)
}

fn parsed(text: &str) -> Result<Node, Unread> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let mut trail = Vec::new();
    let read = Parse { trail: &mut trail }.deserialize(&mut reader);
    let node = read.map_err(|error| Unread::of_text(text, &trail, &error))?;
    reader.end().map_err(|error| Unread::of_text(text, &[], &error))?;
    Ok(node)
}

fn path_of(steps: &[Step]) -> String {
    let words: Vec<String> = steps
        .iter()
        .filter_map(|step| match step {
            Step::Key(key) => Some(shortened(key, 40)),
            Step::Place(place) => Some(place.to_string()),
            Step::Unknown => None,
        })
        .collect();
    words.join(".")
}

/// Writes a document. A number that is not finite becomes `null`, as in [`tree`].
///
/// # Errors
/// Only for a value that JSON cannot hold; none of ours is such a value.
pub fn write(value: &impl Serialize) -> Result<String, Error> {
    serde_json::to_string(value)
}

/// A document as a tree of values.
///
/// # Errors
/// As [`write()`].
pub fn tree(value: &impl Serialize) -> Result<Value, Error> {
    serde_json::from_str(&write(value)?)
}

/// A document as indented text, for readers.
///
/// # Errors
/// As [`write()`].
pub fn pretty(value: &impl Serialize) -> Result<String, Error> {
    Ok(format!("{:#}", tree(value)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Shelf {
        height: f64,
        #[serde(default)]
        deep: Option<bool>,
        things: Vec<Thing>,
    }

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    enum Thing {
        Nothing,
        Boxed(Sides),
        Pair(f64, f64),
        Rolled { radius: f64 },
    }

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    struct Sides {
        sides: [f64; 2],
    }

    fn refused(text: &str) -> (String, String) {
        let unread = read::<Shelf>(text).expect_err(text);
        (unread.path, unread.predicate)
    }

    #[test]
    fn what_is_written_is_read_again() {
        let things =
            vec![Thing::Nothing, Thing::Boxed(Sides { sides: [1.0, 0.1] }), Thing::Rolled { radius: 1e-300 }];
        let shelf = Shelf { height: 2.0, deep: Some(true), things };
        assert_eq!(read::<Shelf>(&write(&shelf).unwrap()).unwrap(), shelf);
        assert_eq!(read::<Shelf>(&pretty(&shelf).unwrap()).unwrap(), shelf);
        assert_eq!(tree(&shelf).unwrap()["things"][1]["boxed"]["sides"][1], 0.1);
        assert_eq!(tree(&f64::NAN).unwrap(), Value::Null);
    }

    #[test]
    fn an_error_names_its_place() {
        let things = "one of nothing, boxed, pair, rolled";
        for (text, path, said) in [
            (r#"{"height": "tall"}"#, "height", "is \"tall\"; accepted is a number"),
            (r#"{"height": 1, "deep": 7}"#, "deep", "is 7; accepted is true or false"),
            (
                r#"{"height": 1, "wide": 7}"#,
                "wide",
                "is not known; accepted here is one of height, deep, things",
            ),
            (r#"{"height": 1}"#, "things", "is missing; it must be given"),
            (r#"{"height": 1, "height": 2}"#, "height", "is given twice; accepted is one value"),
            (
                r#"{"things": ["nothing", {"boxed": {"sides": [1, null]}}]}"#,
                "things.1.boxed.sides.1",
                "is null; accepted is a number",
            ),
            (
                r#"{"things": [{"boxed": {"sides": [1, 2, 3]}}]}"#,
                "things.0.boxed.sides",
                "has 3 entries; accepted are 2",
            ),
            (r#"{"things": [{"pair": [1, "a"]}]}"#, "things.0.pair.1", "is \"a\"; accepted is a number"),
            (r#"{"things": [{"rolled": {}}]}"#, "things.0.rolled.radius", "is missing; it must be given"),
            (r#"{"things": [{"cut": {}}]}"#, "things.0", &format!("is \"cut\"; accepted is {things}")),
            (r#"{"things": ["cut"]}"#, "things.0", &format!("is \"cut\"; accepted is {things}")),
            (
                r#"{"things": ["boxed"]}"#,
                "things.0",
                "is \"boxed\"; accepted is an object in braces with its numbers, {\"boxed\": {…}}",
            ),
            (
                r#"{"things": ["rolled"]}"#,
                "things.0",
                "is \"rolled\"; accepted is an object in braces with its numbers, {\"rolled\": {…}}",
            ),
            (
                r#"{"things": [{"boxed": null}]}"#,
                "things.0.boxed",
                "is null; accepted is an object in braces",
            ),
            (
                r#"{"things": [{"boxed": {}, "rolled": {}}]}"#,
                "things.0",
                &format!("is an object in braces with 2 entries; accepted is exactly {things}"),
            ),
            (r#"{"things": [0]}"#, "things.0", &format!("is 0; accepted is {things}")),
            (r#"[1, null, []]"#, "", "is a list in brackets; accepted is an object in braces"),
            (
                r#"{"height": 1 "things": []}"#,
                "",
                "is not JSON: a comma or a closing bracket is missing, in line 1, character 14",
            ),
            (
                "{\n \"ü\": hot}",
                "ü",
                "is not JSON: a value is missing or cannot be read, in line 2, character 7",
            ),
            (
                r#"{"height": 1, "things": []} x"#,
                "",
                "is not JSON: text follows after its end, in line 1, character 29",
            ),
            ("", "", "is incomplete JSON: it ends in line 1, character 0"),
        ] {
            assert_eq!(refused(text), (path.to_owned(), said.to_owned()), "{text}");
        }
    }

    #[test]
    fn a_message_stays_short_whatever_stands_in_the_document() {
        let long = "x".repeat(5000);
        let deep = "[".repeat(100_000);
        for text in [
            format!(r#"{{"{long}": 1}}"#),
            format!(r#"{{"height": "{long}"}}"#),
            format!(r#"{{"things": ["{long}"]}}"#),
            format!(r#"{{"height": {long}}}"#),
            format!(r#"{{"height": {}}}"#, "1".repeat(5000)),
            format!(r#"{{"things": {deep}"#),
            deep.clone(),
        ] {
            let (path, said) = refused(&text);
            assert!(path.chars().count() + said.chars().count() < 250, "{path}: {said}");
        }
        assert_eq!(refused(&deep).0, "", "a place so deep is the place of nothing");
    }
}
