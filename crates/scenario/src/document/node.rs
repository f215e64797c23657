//! A JSON text as a tree, and values read from the tree.
//!
//! Types are read from the tree, not from the text. Reading from the text would compile the checks of JSON once more for
//! each type.

use crate::format::{number, quoted};
use serde::de::value::StrDeserializer;
use serde::de::{
    self, DeserializeSeed, Deserializer, EnumAccess, Expected, IntoDeserializer, MapAccess, SeqAccess,
    Unexpected, VariantAccess, Visitor,
};
use std::fmt;
use std::slice::Iter;

/// A value of a document. A repeated key is kept twice.
#[derive(Debug)]
pub(crate) enum Node {
    Null,
    Bool(bool),
    Unsigned(u64),
    Signed(i64),
    Float(f64),
    Text(String),
    List(Vec<Node>),
    Map(Vec<(String, Node)>),
}

/// One step into a document.
#[derive(Debug, PartialEq)]
pub(crate) enum Step {
    /// The value of a key, or a variant.
    Key(String),
    /// A place in a list.
    Place(usize),
}

/// A problem of a tree, with its place.
#[derive(Debug)]
pub(crate) struct Fault(Box<Wrong>);

#[derive(Debug)]
pub(crate) struct Wrong {
    /// The rest of a sentence that begins with the field's name.
    pub predicate: String,
    /// The value there, if it is of the wrong kind.
    pub found: Option<String>,
    /// The steps to the place; gathered on the way out, from the last to the first.
    pub steps: Vec<Step>,
}

impl Fault {
    /// The finding, with its steps from the first to the last.
    pub fn placed(self) -> Wrong {
        let mut wrong = *self.0;
        wrong.steps.reverse();
        wrong
    }

    #[cold]
    #[inline(never)]
    fn new(predicate: String) -> Self {
        Self(Box::new(Wrong { predicate, found: None, steps: Vec::new() }))
    }

    #[cold]
    #[inline(never)]
    fn under(mut self, key: &str) -> Self {
        self.0.steps.push(Step::Key(key.to_owned()));
        self
    }

    #[cold]
    #[inline(never)]
    fn at(mut self, place: usize) -> Self {
        self.0.steps.push(Step::Place(place));
        self
    }

    /// A value of the wrong kind.
    #[cold]
    #[inline(never)]
    fn kind(found: String, accepted: &str) -> Self {
        let mut fault = Self::new(format!("is {found}; accepted is {accepted}"));
        fault.0.found = Some(found);
        fault
    }

    /// An object that should hold exactly one of several keys.
    #[cold]
    #[inline(never)]
    fn entries(count: usize, variants: &[&str]) -> Self {
        let accepted = format!("exactly {}", one_of("", variants));
        Self::kind(format!("an object in braces with {count} entries"), &accepted)
    }

    #[cold]
    #[inline(never)]
    fn mismatch(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        let found = match found {
            Unexpected::Unit => "null".to_owned(),
            Unexpected::Bool(value) => value.to_string(),
            Unexpected::Unsigned(value) => value.to_string(),
            Unexpected::Signed(value) => value.to_string(),
            Unexpected::Float(value) => number(value, 17),
            Unexpected::Str(text) => quoted(text),
            Unexpected::Seq => "a list in brackets".to_owned(),
            Unexpected::Map => "an object in braces".to_owned(),
            other => other.to_string(),
        };
        Self::kind(found, in_words(&expected.to_string()))
    }
}

/// What a type expects, in words for the author of a document.
fn in_words(expected: &str) -> &str {
    match expected {
        "f64" => "a number",
        "u32" | "u64" | "usize" => "a whole number",
        "a boolean" => "true or false",
        "a string" => "a text",
        "a sequence" => "a list in brackets",
        other if other.starts_with("struct ") => "an object in braces",
        other => other,
    }
}

/// Longest list of accepted words that a message shows, in characters.
const LONGEST_LIST: usize = 210;

/// The accepted words. From a long list, only the word most similar to the one found.
fn one_of(found: &str, words: &[&str]) -> String {
    let list = words.join(", ");
    if list.len() <= LONGEST_LIST {
        return format!("one of {list}");
    }
    let common = |word: &str| {
        let alike = |(a, b): &(char, char)| a == b;
        let ahead = word.chars().zip(found.chars()).take_while(alike).count();
        let behind = word.chars().rev().zip(found.chars().rev()).take_while(alike).count();
        ahead + behind
    };
    let nearest = words.iter().copied().max_by_key(|word| common(word)).unwrap_or_default();
    format!("one of {} words; the nearest is {nearest}", words.len())
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.predicate)
    }
}

impl std::error::Error for Fault {}

impl de::Error for Fault {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::new(message.to_string())
    }

    fn invalid_type(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::mismatch(found, expected)
    }

    fn invalid_value(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::mismatch(found, expected)
    }

    fn unknown_variant(found: &str, expected: &'static [&'static str]) -> Self {
        Self::kind(quoted(found), &one_of(found, expected))
    }

    fn unknown_field(found: &str, expected: &'static [&'static str]) -> Self {
        Self::new(format!("is not known; accepted here is {}", one_of(found, expected)))
    }

    fn missing_field(field: &'static str) -> Self {
        Self::new("is missing; it must be given".to_owned()).under(field)
    }

    fn duplicate_field(field: &'static str) -> Self {
        Self::new("is given twice; accepted is one value".to_owned()).under(field)
    }
}

impl Node {
    #[cold]
    #[inline(never)]
    fn wrong(&self, expected: &dyn Expected) -> Fault {
        let found = match self {
            Self::Null => Unexpected::Unit,
            Self::Bool(value) => Unexpected::Bool(*value),
            Self::Unsigned(value) => Unexpected::Unsigned(*value),
            Self::Signed(value) => Unexpected::Signed(*value),
            Self::Float(value) => Unexpected::Float(*value),
            Self::Text(text) => Unexpected::Str(text),
            Self::List(_) => Unexpected::Seq,
            Self::Map(_) => Unexpected::Map,
        };
        Fault::mismatch(found, expected)
    }

    fn number<'de, V: Visitor<'de>>(&self, visitor: V) -> Result<V::Value, Fault> {
        match *self {
            Self::Unsigned(value) => visitor.visit_u64(value),
            Self::Signed(value) => visitor.visit_i64(value),
            Self::Float(value) => visitor.visit_f64(value),
            _ => Err(self.wrong(&visitor)),
        }
    }

    fn list<'de, V: Visitor<'de>>(&'de self, visitor: V) -> Result<V::Value, Fault> {
        let Self::List(items) = self else { return Err(self.wrong(&visitor)) };
        let mut left = Items { items: items.iter(), place: 0 };
        let value = visitor.visit_seq(&mut left)?;
        left.end()?;
        Ok(value)
    }

    /// A list of values without names is refused.
    fn map<'de, V: Visitor<'de>>(&'de self, visitor: V) -> Result<V::Value, Fault> {
        let Self::Map(entries) = self else { return Err(self.wrong(&visitor)) };
        visitor.visit_map(Entries { entries: entries.iter(), current: None })
    }
}

macro_rules! all_by {
    ($with:ident: $($method:ident)*) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
            self.$with(visitor)
        }
    )* };
}

impl<'de> Deserializer<'de> for &'de Node {
    type Error = Fault;

    all_by! { number:
        deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64 deserialize_u8 deserialize_u16
        deserialize_u32 deserialize_u64 deserialize_f32 deserialize_f64
    }
    all_by! { deserialize_str:
        deserialize_char deserialize_string deserialize_bytes deserialize_byte_buf deserialize_identifier
    }
    all_by! { list: deserialize_seq }
    all_by! { map: deserialize_map }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self {
            Node::Null => visitor.visit_unit(),
            Node::Bool(value) => visitor.visit_bool(*value),
            Node::Text(text) => visitor.visit_borrowed_str(text),
            Node::List(_) => self.list(visitor),
            Node::Map(_) => self.map(visitor),
            _ => self.number(visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        let Node::Bool(value) = self else { return Err(self.wrong(&visitor)) };
        visitor.visit_bool(*value)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        let Node::Text(text) = self else { return Err(self.wrong(&visitor)) };
        visitor.visit_borrowed_str(text)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        if let Node::Null = self { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        if let Node::Null = self { visitor.visit_unit() } else { Err(self.wrong(&visitor)) }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_unit()
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, _len: usize, visitor: V) -> Result<V::Value, Fault> {
        self.list(visitor)
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _len: usize,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.list(visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.map(visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        let variant = match self {
            Node::Text(name) => Variant { name, value: None },
            Node::Map(entries) if entries.len() == 1 => {
                Variant { name: &entries[0].0, value: Some(&entries[0].1) }
            }
            Node::Map(entries) => return Err(Fault::entries(entries.len(), variants)),
            _ => return Err(self.wrong(&one_of("", variants).as_str())),
        };
        visitor.visit_enum(variant)
    }
}

struct Items<'de> {
    items: Iter<'de, Node>,
    place: usize,
}

impl Items<'_> {
    fn end(self) -> Result<(), Fault> {
        let more = self.items.len();
        if more == 0 {
            return Ok(());
        }
        Err(Fault::new(format!("has {} entries; accepted are {}", self.place + more, self.place)))
    }
}

impl<'de> SeqAccess<'de> for &mut Items<'de> {
    type Error = Fault;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Fault> {
        let Some(item) = self.items.next() else { return Ok(None) };
        let place = self.place;
        self.place += 1;
        seed.deserialize(item).map(Some).map_err(|fault| fault.at(place))
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.items.len())
    }
}

struct Entries<'de> {
    entries: Iter<'de, (String, Node)>,
    current: Option<&'de (String, Node)>,
}

impl<'de> MapAccess<'de> for Entries<'de> {
    type Error = Fault;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Fault> {
        self.current = self.entries.next();
        let Some((key, _)) = self.current else { return Ok(None) };
        let reader: StrDeserializer<'_, Fault> = key.as_str().into_deserializer();
        seed.deserialize(reader).map(Some).map_err(|fault| fault.under(key))
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Fault> {
        match self.current {
            Some((key, value)) => seed.deserialize(value).map_err(|fault| fault.under(key)),
            None => Err(Fault::new("a value without its key".to_owned())),
        }
    }
}

/// A variant by its name. A single word has no value.
struct Variant<'de> {
    name: &'de str,
    value: Option<&'de Node>,
}

impl<'de> Variant<'de> {
    /// The value of a variant that must have one.
    fn content(&self) -> Result<&'de Node, Fault> {
        self.value.ok_or_else(|| {
            let name = quoted(self.name);
            let accepted = format!("an object in braces with its numbers, {{{name}: {{…}}}}");
            Fault::kind(name, &accepted)
        })
    }
}

impl<'de> EnumAccess<'de> for Variant<'de> {
    type Error = Fault;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Fault> {
        let reader: StrDeserializer<'_, Fault> = self.name.into_deserializer();
        Ok((seed.deserialize(reader)?, self))
    }
}

impl<'de> VariantAccess<'de> for Variant<'de> {
    type Error = Fault;

    fn unit_variant(self) -> Result<(), Fault> {
        match self.value {
            None | Some(Node::Null) => Ok(()),
            Some(value) => Err(value.wrong(&"the word alone").under(self.name)),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Fault> {
        seed.deserialize(self.content()?).map_err(|fault| fault.under(self.name))
    }

    fn tuple_variant<V: Visitor<'de>>(self, _len: usize, visitor: V) -> Result<V::Value, Fault> {
        self.content()?.list(visitor).map_err(|fault| fault.under(self.name))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.content()?.map(visitor).map_err(|fault| fault.under(self.name))
    }
}
