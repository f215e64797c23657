//! The parameter catalogue: every number a scenario can hold, described once.
//!
//! A parameter's symbol, unit, range, default, help and source are written in the `parameters!`
//! block that also declares the struct field. Validation, the page's form, links, documentation
//! and the command line all read [`all`].

pub(crate) mod group;

use crate::format::number;
use serde::Serialize;

/// One number of a scenario: its names, unit, range, default and help.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Parameter {
    /// Group the parameter belongs to: a path with `*` for a list index, such as `cavity.passages.*`.
    pub group: &'static str,
    /// Field name inside the group.
    pub field: &'static str,
    /// Short key used in links; unique within the group, and among all groups without a list.
    pub link: &'static str,
    /// Symbol, as plain text.
    pub symbol: &'static str,
    /// Unit in the form, in JSON and in links; empty for a pure number.
    pub unit: &'static str,
    /// Least value accepted, in `unit`.
    pub min: f64,
    /// Greatest value accepted, in `unit`.
    pub max: f64,
    /// Value that a form starts from, and the value of a field that a document leaves out. Sizes and constants of a flow
    /// law are required. `None` if absence has a meaning of its own.
    pub default: Option<f64>,
    /// Whether only whole numbers are accepted.
    pub whole: bool,
    /// Name in words.
    pub title: &'static str,
    /// One or two sentences for the form; empty without the feature `words`.
    pub help: &'static str,
    /// Where the range or the default comes from; empty without the feature `words`.
    pub source: &'static str,
}

impl Parameter {
    /// A number that is in no scenario. It has no link key and no default of its own.
    pub const fn apart(
        group: &'static str,
        field: &'static str,
        symbol: &'static str,
        unit: &'static str,
        [min, max]: [f64; 2],
        title: &'static str,
        help: &'static str,
    ) -> Self {
        let source = "common practice";
        Self {
            group,
            field,
            link: "",
            symbol,
            unit,
            min,
            max,
            default: None,
            whole: false,
            title,
            help,
            source,
        }
    }

    /// Full path of the parameter, such as `setup.melt_temperature`.
    pub fn path(&self) -> String {
        format!("{}.{}", self.group, self.field)
    }

    /// Whether `value` is in the accepted range. False for NaN and infinities.
    pub fn accepts(&self, value: f64) -> bool {
        value >= self.min && value <= self.max && (!self.whole || value.fract() == 0.0)
    }

    /// The accepted values in words, such as `a whole number, 1 to 256`.
    pub fn accepted(&self) -> String {
        format!("a {}number, {}", if self.whole { "whole " } else { "" }, self.range_text())
    }

    /// The accepted range in words, such as `20 to 400 °C`.
    pub fn range_text(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        format!("{} to {}{unit}", number(self.min, 6), number(self.max, 6))
    }
}

/// Texts for readers, which the core does without.
pub(crate) const fn words(text: &'static str) -> &'static str {
    if cfg!(feature = "words") { text } else { "" }
}

/// Declares a struct of scenario numbers with their catalogue entries, and its reading and writing.
///
/// `number` is an `f64` with a default, `required` an `f64` that a document must hold, `optional` an `Option<f64>`
/// (absent by default), `count` a `u32`. Fields of other types go into the trailing `others { .. }` block with their
/// defaults. There, `required` means that a document must hold the field, and a `sparse` field is not written if it is
/// `None`.
macro_rules! parameters {
    (@type optional) => { Option<f64> };
    (@type count) => { u32 };
    (@type $kind:ident) => { f64 };
    (@default optional $value:literal) => { None };
    (@default count $value:literal) => { $value as u32 };
    (@default $kind:ident $value:literal) => { $value };
    (@catalogued optional $value:literal) => { None };
    (@catalogued $kind:ident $value:literal) => { Some($value) };
    (@whole count) => { true };
    (@whole $kind:ident) => { false };
    (@required required) => { true };
    (@required $($kind:ident)?) => { false };
    (@as $form:ident optional $value:expr) => { $crate::catalogue::group::$form::Optional($value) };
    (@as $form:ident count $value:expr) => { $crate::catalogue::group::$form::Count($value) };
    (@as $form:ident $kind:ident $value:expr) => { $crate::catalogue::group::$form::Plain($value) };
    (@write $to:ident $field:ident $value:expr, sparse) => {
        if $value.is_some() {
            $to.serialize_field(stringify!($field), &$value)?;
        }
    };
    (@write $to:ident $field:ident $value:expr $(, required)?) => {
        $to.serialize_field(stringify!($field), &$value)?;
    };
    (@into $value:ident) => { &mut $crate::catalogue::group::Numeric(&mut $value) };
    (@into $value:ident $other:ident $($others:ident)*) => { &mut $value };
    (
        $(#[$meta:meta])*
        pub struct $name:ident at $group:literal {
            $( $(#[$fmeta:meta])* $kind:ident $field:ident = $default:literal in $min:literal to $max:literal,
               $symbol:literal, $unit:literal, $link:literal, $title:literal, $help:literal, $source:literal; )*
        }
        $( others {
            $( $(#[$ometa:meta])* $ofield:ident : $otype:ty = $odefault:expr $(, $how:ident)?; )*
        } )?
    ) => {
        #[derive(Debug, Clone, PartialEq)]
        #[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
        $(#[$meta])*
        pub struct $name {
            $( $( $(#[$ometa])* pub $ofield: $otype, )* )?
            $( $(#[$fmeta])* #[doc = concat!($title, " ", $symbol, " in \"", $unit, "\". ", $help)]
               pub $field: parameters!(@type $kind), )*
        }
        impl $name {
            /// Catalogue entries of this group, in the order of the fields.
            pub const PARAMETERS: &'static [$crate::catalogue::Parameter] = {
                // A static, because each crate that names a constant keeps a copy of it.
                static ENTRIES: [$crate::catalogue::Parameter; [ $( $default, )* ].len()] = [
                    $( $crate::catalogue::Parameter {
                        group: $group, field: stringify!($field), link: $link, symbol: $symbol, unit: $unit,
                        min: $min, max: $max, default: parameters!(@catalogued $kind $default),
                        whole: parameters!(@whole $kind), title: $title, help: $crate::catalogue::words($help),
                        source: $crate::catalogue::words($source),
                    }, )*
                ];
                &ENTRIES
            };

            const SHAPE: &'static $crate::catalogue::group::GroupNames = &$crate::catalogue::group::GroupNames {
                name: stringify!($name),
                fields: &[ $( $( stringify!($ofield), )* )? $( stringify!($field), )* ],
                required: &[
                    $( $( parameters!(@required $($how)?), )* )?
                    $( parameters!(@required $kind), )*
                ],
            };
        }
        impl Default for $name {
            fn default() -> Self {
                Self {
                    $( $( $ofield: $odefault, )* )?
                    $( $field: parameters!(@default $kind $default), )*
                }
            }
        }
        impl $crate::catalogue::group::Numbers for $name {
            fn slot(&mut self, place: usize) -> Option<$crate::catalogue::group::Slot<'_>> {
                let slots = [ $( parameters!(@as Slot $kind &mut self.$field), )* ];
                slots.into_iter().nth(place)
            }
        }
        $( impl $crate::catalogue::group::Fields for $name {
            const OTHERS: usize = [ $( stringify!($ofield), )* ].len();

            fn numbers(&mut self) -> &mut dyn $crate::catalogue::group::Numbers {
                self
            }

            fn other<'de, S: $crate::catalogue::group::Source<'de>>(
                &mut self,
                place: usize,
                from: &mut S,
            ) -> Result<(), S::Error> {
                let mut places = 0..;
                $( if places.next() == Some(place) {
                    self.$ofield = from.value()?;
                    return Ok(());
                } )*
                Ok(())
            }
        } )?
        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let mut value = Self::default();
                let into = parameters!(@into value $( $( $ofield )* )?);
                $crate::catalogue::group::read(deserializer, Self::SHAPE, into)?;
                Ok(value)
            }
        }
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                use serde::ser::SerializeStruct;
                let fields = Self::SHAPE.fields;
                let mut to = serializer.serialize_struct(Self::SHAPE.name, fields.len())?;
                $( $( parameters!(@write to $ofield self.$ofield $(, $how)?); )* )?
                let numbers = [ $( parameters!(@as Number $kind self.$field), )* ];
                let fields = &fields[fields.len() - numbers.len()..];
                $crate::catalogue::group::write(&mut to, fields, &numbers)?;
                to.end()
            }
        }
    };
}
pub(crate) use parameters;

/// Every parameter of a scenario, group by group in the order of the work.
pub fn all() -> impl Iterator<Item = &'static Parameter> {
    crate::scenario::groups().flatten()
}

/// The parameter at a path in which list positions are numbers,
/// such as `cavity.passages.3.form.strip.width`.
pub fn at(path: &str) -> Option<&'static Parameter> {
    let (group, field) = path.rsplit_once('.')?;
    all().find(|p| p.field == field && same_path(p.group, group))
}

/// Whether a concrete path has the form of a described one, in which `*` means any list position.
pub(crate) fn same_path(catalogued: &str, concrete: &str) -> bool {
    let mut left = catalogued.split('.');
    let mut right = concrete.split('.');
    loop {
        match (left.next(), right.next()) {
            (None, None) => return true,
            (Some("*"), Some(index)) if index.parse::<usize>().is_ok() => {}
            (Some(a), Some(b)) if a == b => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn defaults_lie_in_their_ranges_and_every_entry_is_complete() {
        for p in all() {
            assert!(p.min < p.max, "{}", p.path());
            if let Some(default) = p.default {
                assert!(p.accepts(default), "{} = {default}", p.path());
            }
            assert!(!p.title.is_empty() && !p.help.is_empty() && !p.source.is_empty(), "{}", p.path());
            assert!(!p.accepts(f64::NAN) && !p.accepts(f64::INFINITY), "{}", p.path());
        }
    }

    #[test]
    fn paths_and_link_keys_are_unique() {
        let mut paths = HashSet::new();
        let mut keys = HashSet::new();
        for p in all() {
            assert!(paths.insert(p.path()), "{}", p.path());
            let scope = if p.group.contains('*') { p.group } else { "" };
            assert!(keys.insert((scope, p.link)), "link key {} of {}", p.link, p.path());
        }
    }

    #[test]
    fn a_list_position_finds_its_entry() {
        let p = at("cavity.passages.12.form.strip.width").expect("catalogued");
        assert_eq!(p.path(), "cavity.passages.*.form.strip.width");
        assert!(at("cavity.passages.x.form.strip.width").is_none());
        assert!(at("setup.nonsense").is_none());
    }
}
