//! JSON documents, read and written; an error says where in the document it is.
//!
//! Every document passes through this one reader and this one writer. Each further kind of
//! (de)serializer would compile the code of every type once more, which the page's wasm would carry.

mod node;
mod parse;

use node::{Node, Step, Wrong};
use parse::Parse;
use serde::Serialize;
use serde::de::{DeserializeOwned, DeserializeSeed, Error as _};
use serde_json::error::Category;
use serde_json::{Error, Value};
use std::fmt;

/// Why a document could not be read.
#[derive(Debug)]
pub struct Unread {
    /// Dotted path of the place, such as `cavity.passages.3.role`; `None` for what stands after the
    /// document's end.
    pub path: Option<String>,
    /// What is wrong there.
    pub error: Error,
}

impl Unread {
    /// What is wrong, without the line and column, which mean nothing where nobody wrote the text.
    pub fn bare_message(&self) -> String {
        let said = self.to_string();
        let place = format!(" at line {} column {}", self.error.line(), self.error.column());
        said.strip_suffix(&place).map_or(said.clone(), str::to_owned)
    }
}

/// An error of reading in words: the parser's own for what is no JSON, after a word that says so.
pub fn in_words(error: &Error) -> String {
    match error.classify() {
        Category::Eof => {
            format!("ends in the middle at line {} column {}", error.line(), error.column())
        }
        Category::Syntax => format!("is no JSON: {error}"),
        _ => error.to_string(),
    }
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&in_words(&self.error))
    }
}

impl std::error::Error for Unread {}

/// Reads a document.
///
/// # Errors
/// Says what is wrong and where.
pub fn read<T: DeserializeOwned>(text: &str) -> Result<T, Unread> {
    let node = parsed(text, None)?;
    T::deserialize(&node).map_err(|fault| misplaced(text, fault.placed()))
}

/// The tree of a text, unless it ends in the error that is to be placed.
fn parsed(text: &str, wrong: Option<&Wrong>) -> Result<Node, Unread> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let mut trail = Vec::new();
    let node = Parse { trail: &mut trail, wrong }
        .deserialize(&mut reader)
        .map_err(|error| Unread { path: Some(path_of(&trail)), error })?;
    reader.end().map_err(|error| Unread { path: None, error })?;
    Ok(node)
}

/// What is wrong with a tree, with its place in the text.
fn misplaced(text: &str, wrong: Wrong) -> Unread {
    let placed = parsed(text, Some(&wrong)).err();
    placed
        .unwrap_or_else(|| Unread { path: Some(path_of(&wrong.steps)), error: Error::custom(wrong.message) })
}

fn path_of(steps: &[Step]) -> String {
    let words: Vec<String> = steps
        .iter()
        .map(|step| match step {
            Step::Key(key) => key.clone(),
            Step::Place(place) => place.to_string(),
            Step::Unknown => "?".to_owned(),
        })
        .collect();
    words.join(".")
}

/// Writes a document. A number that is not finite becomes `null`, as in [`tree`].
///
/// # Errors
/// Only for a value that is no JSON, which none of ours is.
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

/// A document for people to read: indented.
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

    fn refused(text: &str) -> (Option<String>, String) {
        let unread = read::<Shelf>(text).expect_err(text);
        (unread.path.clone(), unread.bare_message())
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
        for (text, path, said) in [
            (r#"{"height": "tall"}"#, "height", "must be a number, not the text \"tall\""),
            (r#"{"height": 1, "deep": 7}"#, "deep", "must be true or false, not 7"),
            (
                r#"{"height": 1, "wide": 7}"#,
                "wide",
                "unknown field `wide`, expected one of `height`, `deep`, `things`",
            ),
            (r#"{"height": 1}"#, "", "missing field `things`"),
            (
                r#"{"things": ["nothing", {"boxed": {"sides": [1, null]}}]}"#,
                "things.1.boxed.sides.1",
                "must be a number, not null",
            ),
            (
                r#"{"things": [{"pair": [1, "a"]}]}"#,
                "things.0.pair.1",
                "must be a number, not the text \"a\"",
            ),
            (r#"{"things": [{"rolled": {}}]}"#, "things.0.rolled", "missing field `radius`"),
            (
                r#"{"things": [{"cut": {}}]}"#,
                "things.0",
                "unknown variant `cut`, expected one of `nothing`, `boxed`, `pair`, `rolled`",
            ),
            (
                r#"{"things": ["cut"]}"#,
                "things.0",
                "unknown variant `cut`, expected one of `nothing`, `boxed`, `pair`, `rolled`",
            ),
            (r#"{"height": 1 "things": []}"#, "?", "is no JSON: expected `,` or `}`"),
            (r#"[1, null, []]"#, "", "must be an object in braces, not a list in brackets"),
            ("", "", "ends in the middle"),
        ] {
            assert_eq!(refused(text), (Some(path.to_owned()), said.to_owned()), "{text}");
        }
        assert_eq!(
            refused(r#"{"height": 1, "things": []} x"#),
            (None, "is no JSON: trailing characters".to_owned())
        );
    }

    #[test]
    fn an_error_knows_its_line() {
        let unread = read::<Shelf>("{\n  \"height\": true,\n  \"things\": []\n}").unwrap_err();
        assert_eq!(unread.to_string(), "must be a number, not true at line 2 column 16");
    }
}
