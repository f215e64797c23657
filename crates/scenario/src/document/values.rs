//! A tree of nodes as a tree of values, which can be changed at any place, and back.

use super::node::Node;
use serde_json::Value;

impl Node {
    /// A tree of values as one of nodes.
    pub(crate) fn of_value(value: Value) -> Self {
        match value {
            Value::Null => Self::Null,
            Value::Bool(value) => Self::Bool(value),
            Value::Number(number) => match (number.as_u64(), number.as_i64()) {
                (Some(value), _) => Self::Unsigned(value),
                (None, Some(value)) => Self::Signed(value),
                (None, None) => number.as_f64().map_or(Self::Null, Self::Float),
            },
            Value::String(text) => Self::Text(text),
            Value::Array(items) => Self::List(items.into_iter().map(Self::of_value).collect()),
            Value::Object(fields) => {
                Self::Map(fields.into_iter().map(|(key, value)| (key, Self::of_value(value))).collect())
            }
        }
    }

    /// The same as values. Of a repeated key the last one counts.
    pub(crate) fn into_value(self) -> Value {
        match self {
            Self::Null => Value::Null,
            Self::Bool(value) => value.into(),
            Self::Unsigned(value) => value.into(),
            Self::Signed(value) => value.into(),
            Self::Float(value) => value.into(),
            Self::Text(text) => text.into(),
            Self::List(items) => Value::Array(items.into_iter().map(Self::into_value).collect()),
            Self::Map(entries) => {
                let mut map = serde_json::Map::new();
                for (key, node) in entries {
                    map.insert(key, node.into_value());
                }
                Value::Object(map)
            }
        }
    }
}
