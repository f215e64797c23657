//! Parses a JSON text (RFC 8259) into a tree. A trail records the keys and list positions on the way to the present
//! value. A step is removed only after its value has been read, so after an error the trail ends at the place of the
//! error.

use super::node::{Node, Step};
use gatefrost_numerics::decimal;

/// Lists and objects within each other, at most.
const DEEPEST: usize = 127;

/// What is wrong with a text, at a byte of it.
#[derive(Debug)]
pub(crate) struct Broken {
    pub at: usize,
    pub how: How,
}

#[derive(Debug)]
pub(crate) enum How {
    /// The text ends too early.
    Ends,
    /// Too deep for any field.
    Deep,
    /// A word that stands where a value should.
    Word(&'static str),
    /// Something else, in words.
    Other(&'static str),
}

const NO_VALUE: How = How::Word("a value is missing or cannot be read");
const NO_NUMBER: How = How::Word("a number cannot be read");
const TOO_LARGE: How = How::Word("a number is too large");
const NO_COMMA: How = How::Other("a comma or a closing bracket is missing");
const NO_COLON: How = How::Other("a colon is missing");
const NO_NAME: How = How::Other("a field’s name must stand in quotation marks");
const NO_ENTRY: How = How::Other("after a comma another entry must follow");
const MORE: How = How::Other("text follows after its end");
const LINE_ENDS: How = How::Other("a line ends within a text");
const NO_ESCAPE: How = How::Other("a character after a backslash cannot be read");

/// A text on its way into a tree.
pub(super) struct Parser<'t> {
    text: &'t str,
    /// The byte to be read next.
    at: usize,
    pub trail: Vec<Step>,
    depth: usize,
}

impl<'t> Parser<'t> {
    pub fn new(text: &'t str) -> Self {
        Self { text, at: 0, trail: Vec::new(), depth: 0 }
    }

    /// The whole text as one value.
    pub fn document(&mut self) -> Result<Node, Broken> {
        let node = self.value()?;
        match self.next_visible() {
            None => Ok(node),
            Some(_) => Err(self.broken(MORE)),
        }
    }

    #[cold]
    #[inline(never)]
    fn broken(&self, how: How) -> Broken {
        Broken { at: self.at, how: if self.at < self.text.len() { how } else { How::Ends } }
    }

    fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// The next byte that is not white space; it is still to be read.
    fn next_visible(&mut self) -> Option<u8> {
        while let Some(b' ' | b'\n' | b'\t' | b'\r') = self.byte() {
            self.at += 1;
        }
        self.byte()
    }

    /// Takes a byte if it is the next one.
    fn take(&mut self, byte: u8) -> bool {
        let there = self.byte() == Some(byte);
        self.at += usize::from(there);
        there
    }

    fn value(&mut self) -> Result<Node, Broken> {
        match self.next_visible() {
            Some(b'"') => Ok(Node::Text(self.string()?)),
            Some(b'{') => self.nested(Self::map),
            Some(b'[') => self.nested(Self::list),
            Some(b'-' | b'0'..=b'9') => self.number(),
            _ => self.word(),
        }
    }

    fn word(&mut self) -> Result<Node, Broken> {
        for (word, node) in [("null", Node::Null), ("true", Node::Bool(true)), ("false", Node::Bool(false))] {
            let rest = &self.text.as_bytes()[self.at..];
            if rest.starts_with(word.as_bytes()) {
                self.at += word.len();
                return Ok(node);
            }
            if word.as_bytes().starts_with(rest) {
                self.at = self.text.len();
            }
        }
        Err(self.broken(NO_VALUE))
    }

    /// What stands in a bracket, which is to be read.
    fn nested(&mut self, inside: impl FnOnce(&mut Self) -> Result<Node, Broken>) -> Result<Node, Broken> {
        if self.depth == DEEPEST {
            return Err(Broken { at: self.at, how: How::Deep });
        }
        self.at += 1;
        self.depth += 1;
        let node = inside(self);
        self.depth -= 1;
        node
    }

    fn list(&mut self) -> Result<Node, Broken> {
        let mut items = Vec::new();
        while self.another(b']', items.is_empty())? {
            self.trail.push(Step::Place(items.len()));
            items.push(self.value()?);
            self.trail.pop();
        }
        Ok(Node::List(items))
    }

    fn map(&mut self) -> Result<Node, Broken> {
        let mut entries = Vec::new();
        while self.another(b'}', entries.is_empty())? {
            if self.byte() != Some(b'"') {
                return Err(self.broken(NO_NAME));
            }
            let key = self.string()?;
            self.trail.push(Step::Key(key.clone()));
            self.next_visible();
            if !self.take(b':') {
                return Err(self.broken(NO_COLON));
            }
            let value = self.value()?;
            self.trail.pop();
            entries.push((key, value));
        }
        Ok(Node::Map(entries))
    }

    /// Whether another entry follows, before which the comma has been taken; otherwise the bracket that closes has been.
    fn another(&mut self, close: u8, first: bool) -> Result<bool, Broken> {
        self.next_visible();
        if self.take(close) {
            return Ok(false);
        }
        if !first {
            if !self.take(b',') {
                return Err(self.broken(NO_COMMA));
            }
            if self.next_visible() == Some(close) {
                return Err(self.broken(NO_ENTRY));
            }
        }
        Ok(true)
    }

    fn digits(&mut self) -> Result<&'t str, Broken> {
        let start = self.at;
        while let Some(b'0'..=b'9') = self.byte() {
            self.at += 1;
        }
        if start == self.at { Err(self.broken(NO_NUMBER)) } else { Ok(&self.text[start..self.at]) }
    }

    /// A whole number that fits is kept as one; any other becomes the nearest double.
    fn number(&mut self) -> Result<Node, Broken> {
        let start = self.at;
        let negative = self.take(b'-');
        // A word such as -Infinity is told from its sign on.
        let whole = self.digits().map_err(|broken| Broken { at: start, ..broken })?;
        if whole.len() > 1 && whole.starts_with('0') {
            return Err(Broken { at: start, how: NO_NUMBER });
        }
        let mut fraction = "";
        let mut power = 0_i64;
        let mut is_whole = true;
        if self.take(b'.') {
            is_whole = false;
            fraction = self.digits()?;
        }
        if self.take(b'e') || self.take(b'E') {
            is_whole = false;
            let down = self.take(b'-');
            if !down {
                self.take(b'+');
            }
            let step =
                |power: i64, digit: u8| power.saturating_mul(10).saturating_add(i64::from(digit - b'0'));
            power = self.digits()?.bytes().fold(0, step);
            power = if down { -power } else { power };
        }
        if is_whole && let Ok(size) = whole.parse::<u64>() {
            if !negative {
                return Ok(Node::Unsigned(size));
            }
            if let Some(value) = 0_i64.checked_sub_unsigned(size).filter(|value| *value < 0) {
                return Ok(Node::Signed(value));
            }
        }
        let power = power.saturating_sub(fraction.len() as i64);
        let size = decimal::nearest(whole.bytes().chain(fraction.bytes()), power);
        if size.is_infinite() {
            return Err(Broken { at: start, how: TOO_LARGE });
        }
        Ok(Node::Float(if negative { -size } else { size }))
    }

    /// A text, from its quotation mark to its other.
    fn string(&mut self) -> Result<String, Broken> {
        self.at += 1;
        let mut text = String::new();
        let mut start = self.at;
        loop {
            match self.byte() {
                Some(b'"') => {
                    text.push_str(&self.text[start..self.at]);
                    self.at += 1;
                    return Ok(text);
                }
                Some(b'\\') => {
                    text.push_str(&self.text[start..self.at]);
                    self.at += 1;
                    text.push(self.escaped()?);
                    start = self.at;
                }
                Some(b' '..) => self.at += 1,
                _ => return Err(self.broken(LINE_ENDS)),
            }
        }
    }

    /// The character that stands after a backslash.
    fn escaped(&mut self) -> Result<char, Broken> {
        let Some(letter) = self.byte() else { return Err(self.broken(NO_ESCAPE)) };
        let character = match letter {
            b'"' | b'\\' | b'/' => char::from(letter),
            b'b' => '\u{8}',
            b'f' => '\u{c}',
            b'n' => '\n',
            b'r' => '\r',
            b't' => '\t',
            b'u' => return self.numbered(),
            _ => return Err(self.broken(NO_ESCAPE)),
        };
        self.at += 1;
        Ok(character)
    }

    /// A character by its number, or by the two that UTF-16 makes of it.
    fn numbered(&mut self) -> Result<char, Broken> {
        let mut units = [self.unit(), None];
        if matches!(units[0], Some(0xd800..=0xdbff)) && self.text[self.at..].starts_with("\\u") {
            self.at += 1;
            units[1] = self.unit();
        }
        let read = char::decode_utf16(units.into_iter().flatten()).next();
        read.and_then(Result::ok).ok_or_else(|| self.broken(NO_ESCAPE))
    }
    /// Four hexadecimal digits after a letter. They are passed over, whatever they are.
    fn unit(&mut self) -> Option<u16> {
        let start = self.at + 1;
        let code = self.text.as_bytes().get(start..start + 4);
        self.at = (start + 4).min(self.text.len());
        code?.iter().try_fold(0, |code, &byte| Some(code * 16 + char::from(byte).to_digit(16)? as u16))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    #[test]
    fn a_text_is_read_as_another_parser_reads_it() {
        let deep = |n: usize| format!("{}{}", "[".repeat(n), "]".repeat(n));
        let texts = [
            "null",
            " true\r\n",
            "false",
            "nul",
            "truE",
            "falsey",
            "",
            " ",
            "[]",
            "[ ]",
            "{ }",
            "[,]",
            "[1,]",
            "[1 2]",
            "[1,2",
            "]",
            "{",
            "{\"a\"}",
            "{\"a\":}",
            "{\"a\":1,}",
            "{\"a\":1 \"b\":2}",
            "{a:1}",
            "{\"a\":1}}",
            "{\"a\":1,\"b\":[{},null]}",
            "{\"a\":1,\"a\":2}",
            "0",
            "-0",
            "00",
            "01",
            "-01",
            "-",
            "+1",
            "1.",
            ".5",
            "1.5",
            "-1.50",
            "1e5",
            "1E+5",
            "1e-5",
            "1e",
            "1e+",
            "1.e5",
            "0e0",
            "-0.0",
            "1e999",
            "-1e999",
            "1e-999",
            "1e99999999999999999999",
            "1e-99999999999999999999",
            "0e99999999999999999999",
            "18446744073709551615",
            "18446744073709551616",
            "-9223372036854775808",
            "-9223372036854775809",
            "-1",
            "0x1",
            "NaN",
            "Infinity",
            "1a",
            "\"\"",
            "\"ü€😀\"",
            "\"",
            "\"a\nb\"",
            "\"\t\"",
            "\"\u{7f}\"",
            r#""\"\\\/\b\f\n\r\t""#,
            r#""\x""#,
            r#""\""#,
            r#""\u00e9\u20AC""#,
            r#""\ud83d\ude00""#,
            r#""\ud83d""#,
            r#""\ud83dx""#,
            r#""\ude00""#,
            r#""\ud83d\u0041""#,
            r#""\u12""#,
            r#""\u12g4""#,
            r#""\u+123""#,
            r#""\u00é""#,
            "\"\\",
            "\"\\u",
            "1 2",
            "[1]]",
            "\u{feff}1",
            "\u{a0}1",
            "/**/1",
            "'a'",
        ];
        for text in texts.map(str::to_owned).into_iter().chain([deep(126), deep(127), deep(128)]) {
            let read = Parser::new(&text).document().ok().map(Node::into_value);
            assert_eq!(read, serde_json::from_str::<Value>(&text).ok(), "{text}");
        }
    }

    #[test]
    fn a_text_that_is_cut_off_is_told_from_one_that_is_wrong() {
        let whole = r#"{"a": [null, -1.5e3, "\u00e9\n"], "b": {"c": false}}"#;
        for (end, _) in whole.char_indices() {
            let broken = Parser::new(&whole[..end]).document().expect_err(&whole[..end]);
            assert!(matches!(broken.how, How::Ends), "{}: {broken:?}", &whole[..end]);
        }
        for text in ["nulx", "[1;", "01", "1e999", "{\"a\" 1", "\"\n\"", "\"\\q\""] {
            let broken = Parser::new(text).document().expect_err(text);
            assert!(!matches!(broken.how, How::Ends), "{text}: {broken:?}");
        }
    }
}
