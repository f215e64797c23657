//! Completes a document before it is read: adds numbers that were left out, removes numbers that no longer exist.

use super::node::Node;

/// A value for a field that was left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Usual {
    /// A number.
    Number(f64),
    /// A word.
    Word(&'static str),
}

impl Node {
    /// The value at a dotted path of keys.
    fn at(&self, path: &str) -> Option<&Self> {
        path.split('.').try_fold(self, |node, key| match node {
            Self::Map(fields) => fields.iter().find(|(name, _)| name == key).map(|(_, value)| value),
            _ => None,
        })
    }

    /// Whether anything stands at a path.
    pub(crate) fn holds(&self, path: &str) -> bool {
        self.at(path).is_some()
    }

    /// The whole number at a path, in any notation.
    pub(crate) fn whole(&self, path: &str) -> Option<u64> {
        match self.at(path)? {
            Self::Unsigned(value) => Some(*value),
            Self::Float(value) if *value >= 0.0 && value.fract() == 0.0 => Some(*value as u64),
            _ => None,
        }
    }

    /// The text at a path.
    pub(crate) fn text(&self, path: &str) -> Option<&str> {
        match self.at(path)? {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Puts a value at a path that is empty, and creates the objects on the way. A value of the wrong kind is left, so that
    /// reading reports it.
    pub(crate) fn fill(&mut self, path: &str, value: Usual) {
        let Self::Map(fields) = self else { return };
        let (key, rest) = path.split_once('.').map_or((path, None), |(key, rest)| (key, Some(rest)));
        let place = fields.iter().position(|(name, _)| name == key);
        match (place, rest) {
            (Some(place), Some(rest)) => fields[place].1.fill(rest, value),
            (Some(_), None) => {}
            (None, Some(rest)) => {
                let mut inner = Self::Map(Vec::new());
                inner.fill(rest, value);
                fields.push((key.to_owned(), inner));
            }
            (None, None) => fields.push((key.to_owned(), value.node())),
        }
    }

    /// Removes everything at a path. Returns whether anything was there.
    pub(crate) fn take_out(&mut self, path: &str) -> bool {
        let Self::Map(fields) = self else { return false };
        match path.split_once('.') {
            Some((key, rest)) => {
                let place = fields.iter().position(|(name, _)| name == key);
                place.is_some_and(|place| fields[place].1.take_out(rest))
            }
            None => {
                let before = fields.len();
                fields.retain(|(name, _)| name != path);
                fields.len() < before
            }
        }
    }

    /// Replaces the value at a path by a whole number.
    pub(crate) fn renumber(&mut self, path: &str, value: u64) {
        if self.take_out(path)
            && let Self::Map(fields) = self
        {
            fields.insert(0, (path.to_owned(), Self::Unsigned(value)));
        }
    }
}

impl Usual {
    fn node(self) -> Node {
        match self {
            Self::Number(value) => Node::Float(value),
            Self::Word(word) => Node::Text(word.to_owned()),
        }
    }
}
