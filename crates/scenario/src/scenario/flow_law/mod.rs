//! The flow laws of a scenario: one file for each, and the list of them.
//!
//! A file holds the constants of its law, with their catalogue entries, and the words for the law.

use crate::catalogue::Parameter;
use serde::{Deserialize, Serialize};

/// The names of the laws for a message.
macro_rules! one_of {
    ($first:ident $($other:ident)*) => {
        concat!("one of ", stringify!($first) $(, ", ", stringify!($other))*)
    };
}

/// Declares the laws. A line names the file, which is also the name in documents, the variant and its constants.
macro_rules! flow_laws {
    ($($(#[$doc:meta])* $file:ident: $variant:ident($constants:ident);)+) => {
        $(mod $file;)+
        $(pub use $file::$constants;)+

        /// Flow law with its constants, as measured at `measured_loading`.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
        #[serde(rename_all = "snake_case")]
        pub enum FlowLaw {
            $($(#[$doc])* $variant($constants),)+
        }

        /// Which flow law, without its constants.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
        #[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
        #[serde(rename_all = "snake_case")]
        pub enum FlowLawKind {
            $($(#[$doc])* $variant,)+
        }

        impl FlowLaw {
            /// Which law it is.
            pub fn kind(&self) -> FlowLawKind {
                match self {
                    $(Self::$variant(_) => FlowLawKind::$variant,)+
                }
            }
        }

        impl FlowLawKind {
            /// Every law, in the order in which they are offered.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// Name in a document, such as `power_law`.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => stringify!($file),)+
                }
            }

            /// Short name for people, such as `Power law`.
            pub fn label(self) -> &'static str {
                match self {
                    $(Self::$variant => $file::LABEL,)+
                }
            }

            /// Name in the list of the form, with the temperature dependence.
            pub fn title(self) -> &'static str {
                match self {
                    $(Self::$variant => $file::TITLE,)+
                }
            }

            /// Fields of the constants that scale the viscosity at every shear rate when they change by the same
            /// factor.
            pub fn scales(self) -> &'static [&'static str] {
                match self {
                    $(Self::$variant => $file::SCALES,)+
                }
            }

            /// Field of the flow exponent of the shear-thinning range; `None` for a law without one.
            pub fn exponent(self) -> Option<&'static str> {
                match self {
                    $(Self::$variant => $file::EXPONENT,)+
                }
            }

            /// Catalogue entries of its constants.
            pub fn parameters(self) -> &'static [Parameter] {
                match self {
                    $(Self::$variant => $constants::PARAMETERS,)+
                }
            }

            /// The law with the catalogue's constants.
            pub fn usual(self) -> FlowLaw {
                match self {
                    $(Self::$variant => FlowLaw::$variant($constants::default()),)+
                }
            }
        }

        /// The accepted names of laws, for a message.
        pub(super) const ACCEPTED: &str = one_of!($($file)+);

        /// Catalogue entries of every law.
        pub(super) const GROUPS: &[&[Parameter]] = &[$($constants::PARAMETERS,)+];
    };
}

flow_laws! {
    /// Cross law with WLF temperature dependence.
    cross_wlf: CrossWlf(CrossWlfConstants);
    /// Power law with Arrhenius temperature dependence.
    power_law: PowerLaw(PowerLawConstants);
    /// Carreau–Yasuda law with Arrhenius temperature dependence.
    carreau_yasuda: CarreauYasuda(CarreauYasudaConstants);
    /// Herschel–Bulkley law, regularised after Papanastasiou, with Arrhenius temperature dependence.
    herschel_bulkley: HerschelBulkley(HerschelBulkleyConstants);
}

impl FlowLawKind {
    /// The law of a name, such as `power_law`.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.name() == name)
    }
}

impl FlowLaw {
    /// The law of a name, such as `power_law`, with the catalogue's constants.
    pub fn named(name: &str) -> Option<Self> {
        FlowLawKind::named(name).map(FlowLawKind::usual)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    #[test]
    fn a_law_has_the_same_name_in_a_document_in_the_catalogue_and_among_the_kinds() {
        for &kind in FlowLawKind::ALL {
            assert_eq!(serde_json::to_value(kind).unwrap(), json!(kind.name()));
            let law = FlowLaw::named(kind.name()).unwrap();
            assert_eq!(law.kind(), kind);
            let Value::Object(document) = serde_json::to_value(&law).unwrap() else { panic!("{kind:?}") };
            let constants = document.get(kind.name()).and_then(Value::as_object).unwrap();
            for parameter in kind.parameters() {
                assert_eq!(parameter.group, format!("feedstock.flow_law.{}", kind.name()));
                assert!(constants.contains_key(parameter.field), "{}", parameter.path());
            }
            for field in kind.scales().iter().copied().chain(kind.exponent()) {
                assert!(constants.contains_key(field), "{kind:?}: {field}");
            }
        }
        assert_eq!(FlowLaw::named("newton"), None);
    }
}
