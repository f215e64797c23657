//! Parses a text into a tree. A trail records the keys and list positions on the way to the present value. A step is
//! removed only after its value has been read, so after an error the trail ends at the place of the error.

use super::node::{Node, Step};
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// Reads one value into a tree.
pub(super) struct Parse<'t> {
    pub trail: &'t mut Vec<Step>,
}

impl Parse<'_> {
    fn inner(&mut self) -> Parse<'_> {
        Parse { trail: self.trail }
    }
}

impl<'de> DeserializeSeed<'de> for Parse<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Parse<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_unit<E: Error>(self) -> Result<Node, E> {
        Ok(Node::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Node, E> {
        Ok(Node::Bool(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Node, E> {
        Ok(Node::Unsigned(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Node, E> {
        Ok(Node::Signed(value))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Node, E> {
        Ok(Node::Float(value))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Node, E> {
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(mut self, mut access: A) -> Result<Node, A::Error> {
        let mut items = Vec::new();
        loop {
            self.trail.push(Step::Place(items.len()));
            let item = access.next_element_seed(self.inner())?;
            self.trail.pop();
            match item {
                Some(item) => items.push(item),
                None => return Ok(Node::List(items)),
            }
        }
    }

    fn visit_map<A: MapAccess<'de>>(mut self, mut access: A) -> Result<Node, A::Error> {
        let mut entries = Vec::new();
        loop {
            self.trail.push(Step::Unknown);
            let key = access.next_key::<String>()?;
            self.trail.pop();
            let Some(key) = key else { return Ok(Node::Map(entries)) };
            self.trail.push(Step::Key(key.clone()));
            let value = access.next_value_seed(self.inner())?;
            self.trail.pop();
            entries.push((key, value));
        }
    }
}
