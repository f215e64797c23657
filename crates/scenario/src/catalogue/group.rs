//! Groups of numbers, read from a document and written to one. One routine serves all groups; derived code would be
//! compiled for each group.

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Unexpected, Visitor};
use serde::ser::SerializeStruct;
use serde::{Deserialize, Serialize, Serializer};
use std::fmt;

/// The names in a group.
pub(crate) struct GroupNames {
    /// The group.
    pub name: &'static str,
    /// Its fields, in the order in which they are written. Fields other than numbers come first.
    pub fields: &'static [&'static str],
    /// The fields that are required.
    pub required: &'static [bool],
}

/// The place to which a number is read.
pub(crate) enum Slot<'a> {
    Plain(&'a mut f64),
    Optional(&'a mut Option<f64>),
    Count(&'a mut u32),
}

/// A number to be written.
#[derive(Clone, Copy)]
pub(crate) enum Number {
    Plain(f64),
    Optional(Option<f64>),
    Count(u32),
}

/// A group's numbers, by their place among them.
pub(crate) trait Numbers {
    /// `None` beyond the last.
    fn slot(&mut self, place: usize) -> Option<Slot<'_>>;
}

/// The target of reading: a group's numbers and its other fields.
pub(crate) trait Fields {
    /// Number of fields that are not numbers.
    const OTHERS: usize;

    fn numbers(&mut self) -> &mut dyn Numbers;

    /// Reads the field at a place below [`Self::OTHERS`].
    fn other<'de, S: Source<'de>>(&mut self, place: usize, from: &mut S) -> Result<(), S::Error>;
}

/// A group of numbers only.
pub(crate) struct Numeric<'a>(pub &'a mut dyn Numbers);

impl Fields for Numeric<'_> {
    const OTHERS: usize = 0;

    fn numbers(&mut self) -> &mut dyn Numbers {
        self.0
    }

    fn other<'de, S: Source<'de>>(&mut self, _place: usize, _from: &mut S) -> Result<(), S::Error> {
        Ok(())
    }
}

/// The source of the next value.
pub(crate) trait Source<'de> {
    type Error: Error;

    fn value<T: Deserialize<'de>>(&mut self) -> Result<T, Self::Error>;
}

/// Reads a group's fields into `into`, which holds the values of absent fields.
pub(crate) fn read<'de, D: Deserializer<'de>, F: Fields>(
    deserializer: D,
    shape: &'static GroupNames,
    into: &mut F,
) -> Result<(), D::Error> {
    deserializer.deserialize_struct(shape.name, shape.fields, Group { shape, into })
}

/// Writes numbers under their names.
pub(crate) fn write<S: SerializeStruct>(
    to: &mut S,
    fields: &[&'static str],
    numbers: &[Number],
) -> Result<(), S::Error> {
    for (field, number) in fields.iter().zip(numbers) {
        to.serialize_field(field, number)?;
    }
    Ok(())
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Plain(value) => serializer.serialize_f64(*value),
            Self::Optional(value) => value.serialize(serializer),
            Self::Count(value) => serializer.serialize_u32(*value),
        }
    }
}

/// A whole number in any notation, because many programs write `48.0` for `48`. Other numbers are refused while reading,
/// so that the error has their place.
struct Whole(u32);

impl<'de> Deserialize<'de> for Whole {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let value = f64::deserialize(deserializer)?;
        if value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value) {
            return Ok(Self(value as u32));
        }
        Err(D::Error::invalid_value(Unexpected::Float(value), &"a whole number"))
    }
}

struct Group<'a, F> {
    shape: &'static GroupNames,
    into: &'a mut F,
}

impl<F: Fields> Group<'_, F> {
    fn field<'de, S: Source<'de>>(&mut self, place: usize, from: &mut S) -> Result<(), S::Error> {
        let Some(number) = place.checked_sub(F::OTHERS) else { return self.into.other(place, from) };
        read_number(self.into.numbers(), number, from)
    }
}

fn read_number<'de, S: Source<'de>>(
    numbers: &mut dyn Numbers,
    place: usize,
    from: &mut S,
) -> Result<(), S::Error> {
    match numbers.slot(place) {
        Some(Slot::Plain(slot)) => *slot = from.value()?,
        Some(Slot::Optional(slot)) => *slot = from.value()?,
        Some(Slot::Count(slot)) => *slot = from.value::<Whole>()?.0,
        None => {}
    }
    Ok(())
}

impl<'de, F: Fields> Visitor<'de> for Group<'_, F> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("struct ")?;
        f.write_str(self.shape.name)
    }

    fn visit_map<A: MapAccess<'de>>(mut self, mut access: A) -> Result<(), A::Error> {
        let fields = self.shape.fields;
        let mut seen = 0_u64;
        while let Some(place) = access.next_key_seed(Key(fields))? {
            if seen >> place & 1 == 1 {
                return Err(A::Error::duplicate_field(fields[place]));
            }
            seen |= 1 << place;
            self.field(place, &mut Named(&mut access))?;
        }
        for (place, required) in self.shape.required.iter().enumerate() {
            if *required && seen >> place & 1 == 0 {
                return Err(A::Error::missing_field(fields[place]));
            }
        }
        Ok(())
    }

    /// For formats without field names.
    fn visit_seq<A: SeqAccess<'de>>(mut self, mut access: A) -> Result<(), A::Error> {
        for place in 0..self.shape.fields.len() {
            self.field(place, &mut Listed { access: &mut access, place })?;
        }
        Ok(())
    }
}

struct Named<'a, A>(&'a mut A);

impl<'de, A: MapAccess<'de>> Source<'de> for Named<'_, A> {
    type Error = A::Error;

    fn value<T: Deserialize<'de>>(&mut self) -> Result<T, A::Error> {
        self.0.next_value()
    }
}

struct Listed<'a, A> {
    access: &'a mut A,
    place: usize,
}

impl<'de, A: SeqAccess<'de>> Source<'de> for Listed<'_, A> {
    type Error = A::Error;

    fn value<T: Deserialize<'de>>(&mut self) -> Result<T, A::Error> {
        self.access.next_element()?.ok_or_else(|| A::Error::invalid_length(self.place, &"more values"))
    }
}

/// A field's name, read as its place among them.
struct Key(&'static [&'static str]);

impl<'de> DeserializeSeed<'de> for Key {
    type Value = usize;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<usize, D::Error> {
        deserializer.deserialize_identifier(self)
    }
}

impl Visitor<'_> for Key {
    type Value = usize;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("field identifier")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<usize, E> {
        let place = self.0.iter().position(|field| *field == name);
        place.ok_or_else(|| E::unknown_field(name, self.0))
    }
}
