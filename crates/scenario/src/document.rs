//! Reading and writing JSON documents. Every error has its place in the document.
//!
//! All documents use this one reader and this one writer. Each further kind of (de)serializer would compile the code of
//! every type once more, and make the page's wasm heavier.

mod complete;
mod node;
mod parse;
mod values;

use crate::catalogue::Parameter;
use crate::format::shortened;
pub(crate) use complete::Usual;
pub(crate) use node::Node;
use node::{Fault, Step};
use parse::{Broken, How, Parser};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
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

    /// A text that is not JSON. A word in the place of a value is reported as the value found.
    fn of_text(text: &str, trail: &[Step], broken: &Broken) -> Self {
        let before = text.get(..broken.at).unwrap_or(text);
        let line = before.matches('\n').count() + 1;
        let character = before.rsplit('\n').next().map_or(0, |start| start.chars().count());
        let (path, predicate) = match broken.how {
            How::Ends => {
                let predicate = format!("is incomplete JSON: it ends in line {line}, character {character}");
                return Self { path: String::new(), predicate, found: None };
            }
            How::Deep => (String::new(), "more than 127 lists and objects are nested"),
            How::Word(wrong) | How::Other(wrong) => (path_of(trail), wrong),
        };
        let word = matches!(broken.how, How::Word(_)).then(|| word_at(text, broken.at)).flatten();
        let predicate = format!("is not JSON: {predicate}, in line {line}, character {}", character + 1);
        Self { path, predicate, found: word.map(|word| shortened(word, 40)) }
    }
}

/// The word of a JSON text that begins at a byte.
fn word_at(text: &str, at: usize) -> Option<&str> {
    let ends = |c: char| c.is_whitespace() || ",:{}[]\"".contains(c);
    text.get(at..)?.split(ends).next().filter(|word| !word.is_empty())
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

/// Reads a document from a tree of values.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_tree<T: DeserializeOwned>(tree: Value) -> Result<T, Unread> {
    T::deserialize(&Node::of_value(tree)).map_err(Unread::of_tree)
}

fn parsed(text: &str) -> Result<Node, Unread> {
    let mut parser = Parser::new(text);
    parser.document().map_err(|broken| Unread::of_text(text, &parser.trail, &broken))
}

/// A text as a tree of values, whatever it holds.
///
/// # Errors
/// As [`read`].
pub(crate) fn values(text: &str) -> Result<Value, Unread> {
    Ok(parsed(text)?.into_value())
}

fn path_of(steps: &[Step]) -> String {
    let words: Vec<String> = steps
        .iter()
        .map(|step| match step {
            Step::Key(key) => shortened(key, 40),
            Step::Place(place) => place.to_string(),
        })
        .collect();
    words.join(".")
}

/// A value that JSON cannot hold.
#[derive(Debug)]
pub struct Unwritable;

impl fmt::Display for Unwritable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value cannot be written as JSON")
    }
}

impl std::error::Error for Unwritable {}

/// Writes a document. A number that is not finite becomes `null`, as in [`tree`].
///
/// # Errors
/// Only for a value that JSON cannot hold; none of ours is such a value.
pub fn write(value: &impl Serialize) -> Result<String, Unwritable> {
    serde_json::to_string(value).map_err(|_| Unwritable)
}

/// A document as a tree of values.
///
/// # Errors
/// As [`write()`].
pub fn tree(value: &impl Serialize) -> Result<Value, Unwritable> {
    // What has just been written can be read.
    Ok(values(&write(value)?).unwrap_or_default())
}

/// A document as indented text, for readers.
///
/// # Errors
/// As [`write()`].
pub fn pretty(value: &impl Serialize) -> Result<String, Unwritable> {
    serde_json::to_string_pretty(&tree(value)?).map_err(|_| Unwritable)
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
