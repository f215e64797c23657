//! A deserializer that leaves a trail: which key, and which place in a list, is being read. A step is
//! taken back only when its value has been read, so that after an error the trail ends there.

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, IntoDeserializer, MapAccess, SeqAccess, VariantAccess,
    Visitor,
};
use std::fmt;

/// One step into a document.
pub(super) enum Step {
    /// The value of a key, or a variant.
    Key(String),
    /// A place in a list.
    Place(usize),
    /// A key that could not be read itself.
    Unknown,
}

pub(super) fn path_of(trail: &[Step]) -> String {
    let words: Vec<String> = trail
        .iter()
        .map(|step| match step {
            Step::Key(key) => key.clone(),
            Step::Place(place) => place.to_string(),
            Step::Unknown => "?".to_owned(),
        })
        .collect();
    words.join(".")
}

/// A deserializer, visitor, seed or access of which what lies inside leaves a trail.
pub(super) struct Trailed<'t, T> {
    pub inner: T,
    pub trail: &'t mut Vec<Step>,
}

/// What has no inside is read as it is.
macro_rules! leaves {
    ($($method:ident)*) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
            self.inner.$method(visitor)
        }
    )* };
}

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Trailed<'_, D> {
    type Error = D::Error;

    leaves! {
        deserialize_any deserialize_bool deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64
        deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64 deserialize_f32 deserialize_f64
        deserialize_char deserialize_str deserialize_string deserialize_bytes deserialize_byte_buf
        deserialize_unit deserialize_identifier deserialize_ignored_any
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.inner.deserialize_option(Trailed { inner: visitor, trail: self.trail })
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.inner.deserialize_unit_struct(name, visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.inner.deserialize_newtype_struct(name, Trailed { inner: visitor, trail: self.trail })
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.inner.deserialize_seq(Trailed { inner: visitor, trail: self.trail })
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, D::Error> {
        self.inner.deserialize_tuple(len, Trailed { inner: visitor, trail: self.trail })
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        len: usize,
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.inner.deserialize_tuple_struct(name, len, Trailed { inner: visitor, trail: self.trail })
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.inner.deserialize_map(Fields { inner: visitor, trail: self.trail })
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.inner.deserialize_struct(name, fields, Fields { inner: visitor, trail: self.trail })
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.inner.deserialize_enum(name, variants, Trailed { inner: visitor, trail: self.trail })
    }
}

/// A visitor of named fields. A list of values without their names is refused, not counted off.
struct Fields<'t, V> {
    inner: V,
    trail: &'t mut Vec<Step>,
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Fields<'_, V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.inner.expecting(f)
    }

    fn visit_map<A: MapAccess<'de>>(self, access: A) -> Result<V::Value, A::Error> {
        self.inner.visit_map(Entries { inner: access, trail: self.trail })
    }
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Trailed<'_, V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.inner.expecting(f)
    }

    fn visit_unit<E: Error>(self) -> Result<V::Value, E> {
        self.inner.visit_unit()
    }

    fn visit_none<E: Error>(self) -> Result<V::Value, E> {
        self.inner.visit_none()
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<V::Value, D::Error> {
        self.inner.visit_some(Trailed { inner: deserializer, trail: self.trail })
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, deserializer: D) -> Result<V::Value, D::Error> {
        self.inner.visit_newtype_struct(Trailed { inner: deserializer, trail: self.trail })
    }

    fn visit_seq<A: SeqAccess<'de>>(self, access: A) -> Result<V::Value, A::Error> {
        self.inner.visit_seq(Items { inner: access, trail: self.trail, place: 0 })
    }

    fn visit_enum<A: EnumAccess<'de>>(self, access: A) -> Result<V::Value, A::Error> {
        self.inner.visit_enum(Trailed { inner: access, trail: self.trail })
    }
}

impl<'de, S: DeserializeSeed<'de>> DeserializeSeed<'de> for Trailed<'_, S> {
    type Value = S::Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<S::Value, D::Error> {
        self.inner.deserialize(Trailed { inner: deserializer, trail: self.trail })
    }
}

struct Items<'t, A> {
    inner: A,
    trail: &'t mut Vec<Step>,
    place: usize,
}

impl<'de, A: SeqAccess<'de>> SeqAccess<'de> for Items<'_, A> {
    type Error = A::Error;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        self.trail.push(Step::Place(self.place));
        let item = self.inner.next_element_seed(Trailed { inner: seed, trail: &mut *self.trail })?;
        self.trail.pop();
        self.place += 1;
        Ok(item)
    }
}

struct Entries<'t, A> {
    inner: A,
    trail: &'t mut Vec<Step>,
}

impl<'de, A: MapAccess<'de>> Entries<'_, A> {
    /// Reads a key and steps to it. A method of its own, and not once more for each kind of seed.
    fn step(&mut self) -> Result<Option<String>, A::Error> {
        self.trail.push(Step::Unknown);
        let key = self.inner.next_key::<String>()?;
        self.trail.pop();
        self.trail.extend(key.clone().map(Step::Key));
        Ok(key)
    }
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Entries<'_, A> {
    type Error = A::Error;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        // The step is taken back after the value.
        self.step()?.map(|key| seed.deserialize(key.as_str().into_deserializer())).transpose()
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, A::Error> {
        let value = self.inner.next_value_seed(Trailed { inner: seed, trail: &mut *self.trail })?;
        self.trail.pop();
        Ok(value)
    }
}

impl<'de, 't, A: EnumAccess<'de>> EnumAccess<'de> for Trailed<'t, A> {
    type Error = A::Error;
    type Variant = Trailed<'t, A::Variant>;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self::Variant), A::Error> {
        let mut name = String::new();
        let (value, access) = self.inner.variant_seed(Named { inner: seed, name: &mut name })?;
        self.trail.push(Step::Key(name));
        Ok((value, Trailed { inner: access, trail: self.trail }))
    }
}

impl<'de, A: VariantAccess<'de>> VariantAccess<'de> for Trailed<'_, A> {
    type Error = A::Error;

    fn unit_variant(self) -> Result<(), A::Error> {
        self.inner.unit_variant()?;
        self.trail.pop();
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, A::Error> {
        let value = self.inner.newtype_variant_seed(Trailed { inner: seed, trail: &mut *self.trail })?;
        self.trail.pop();
        Ok(value)
    }

    fn tuple_variant<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, A::Error> {
        let value = self.inner.tuple_variant(len, Trailed { inner: visitor, trail: &mut *self.trail })?;
        self.trail.pop();
        Ok(value)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, A::Error> {
        let value = self.inner.struct_variant(fields, Fields { inner: visitor, trail: &mut *self.trail })?;
        self.trail.pop();
        Ok(value)
    }
}

/// A seed, deserializer or visitor of a variant's name, which is noted. The name is taken on its way
/// through, not read first, so that an error still stands at its place in the text.
struct Named<'n, T> {
    inner: T,
    name: &'n mut String,
}

impl<'de, S: DeserializeSeed<'de>> DeserializeSeed<'de> for Named<'_, S> {
    type Value = S::Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<S::Value, D::Error> {
        self.inner.deserialize(Named { inner: deserializer, name: self.name })
    }
}

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Named<'_, D> {
    type Error = D::Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.inner.deserialize_identifier(Named { inner: visitor, name: self.name })
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit
        unit_struct newtype_struct seq tuple tuple_struct map struct enum identifier ignored_any
    }
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Named<'_, V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.inner.expecting(f)
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<V::Value, E> {
        name.clone_into(self.name);
        self.inner.visit_str(name)
    }
}
