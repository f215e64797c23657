//! Every text of the classroom, in one table: `texts/english.ftl`. A translation is one such file.
//!
//! The table is written in a part of Fluent's syntax (projectfluent.org), which translators' tools read: comments begin with
//! `#`, a message is `key = text`, lines that go on are indented, and `{ $name }` stands for what is put in.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A sentence of the table with what is put into it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    key: Cow<'static, str>,
    put_in: Vec<(&'static str, String)>,
}

impl Said {
    /// The sentence of a key.
    pub fn new(key: impl Into<Cow<'static, str>>) -> Self {
        Self { key: key.into(), put_in: Vec::new() }
    }

    /// The same with a text for `{ $name }`.
    #[must_use]
    pub fn with(mut self, name: &'static str, text: impl ToString) -> Self {
        self.put_in.push((name, text.to_string()));
        self
    }

    /// Its key.
    pub fn key(&self) -> &str {
        &self.key
    }
}

/// A table of texts in one language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts(BTreeMap<String, String>);

const ENGLISH: &str = include_str!("../texts/english.ftl");

impl Texts {
    /// The table that the tool comes with.
    pub fn english() -> &'static Self {
        static TABLE: OnceLock<Texts> = OnceLock::new();
        TABLE.get_or_init(|| Self::read(ENGLISH))
    }

    /// Reads a table. Lines that are no message are passed over; of two messages with one key the later counts.
    pub fn read(table: &str) -> Self {
        let mut messages: Vec<(String, String)> = Vec::new();
        for line in table.lines().filter(|line| !line.starts_with('#')) {
            if let Some(rest) = line.strip_prefix("    ") {
                if let Some((_, text)) = messages.last_mut() {
                    let gap = if text.is_empty() { "" } else { " " };
                    *text = format!("{text}{gap}{}", rest.trim());
                }
            } else if let Some((key, text)) = line.split_once('=') {
                messages.push((key.trim().to_owned(), text.trim().to_owned()));
            }
        }
        Self(messages.into_iter().collect())
    }

    /// Every key.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// The text of a key, as it stands in the table.
    pub fn find(&self, key: &str) -> Option<&str> {
        self.0.get(key).map(String::as_str)
    }

    /// A sentence with what is put into it. A key that the table lacks is told by its name, so that nothing is lost.
    pub fn say(&self, said: &Said) -> String {
        let mut text = self.find(said.key()).unwrap_or(said.key()).to_owned();
        for (name, put_in) in &said.put_in {
            text = text.replace(&format!("{{ ${name} }}"), put_in);
        }
        text
    }

    /// The text of a key without anything to put in.
    pub fn word(&self, key: &str) -> String {
        self.find(key).unwrap_or(key).to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_read_with_lines_that_go_on() {
        let texts = Texts::read("# words\none = first { $x }\n    and second\n\ntwo =\n    alone\n");
        assert_eq!(texts.say(&Said::new("one").with("x", 7)), "first 7 and second");
        assert_eq!(texts.word("two"), "alone");
        assert_eq!(texts.say(&Said::new("three")), "three");
    }
}
