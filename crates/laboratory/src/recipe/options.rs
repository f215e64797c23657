//! What a recipe may hold besides the numbers of a scenario, described once for checks, forms and help.

use gatefrost_core::catalogue::Parameter;
use serde::Serialize;

/// Numbers of a recipe that are no scenario's; paths begin with `recipe`.
pub const NUMBERS: &[Parameter] = &[
    Parameter::apart(
        "recipe.loading",
        "volume_percent",
        "φ",
        "vol%",
        [0.0, 80.0],
        "Solids loading",
        "Share of the powder in the volume at 20 °C, as weighed; it must stay below the critical loading.",
    ),
    Parameter::apart(
        "recipe.loading",
        "mass_percent",
        "w_p",
        "%",
        [0.0, 99.9],
        "Powder by mass",
        "Share of the powder in the mass.",
    ),
    Parameter::apart(
        "recipe",
        "critical_loading_error",
        "",
        "vol%",
        [0.0, 10.0],
        "Standard error of the critical loading",
        "How well the critical loading is known, as its fit says. Empty: 1 vol%.",
    ),
    Parameter::apart(
        "recipe",
        "reference_temperature",
        "T_r",
        "°C",
        [60.0, 400.0],
        "Reference temperature",
        "Where the flow law, the heat capacity and the expansion are estimated. Empty: 160 °C, or the next 5 °C step at least 2 K above the end of melting, if that is hotter; for wax alone the next 5 °C step at least 10 K above it.",
    ),
    Parameter::apart(
        "recipe.batch.amount",
        "mass_kg",
        "M",
        "kg",
        [0.001, 1e5],
        "Mass of the batch",
        "Feedstock to weigh for, regrind included.",
    ),
    Parameter::apart(
        "recipe.batch.amount",
        "volume_l",
        "V",
        "L",
        [0.001, 1e5],
        "Volume of the batch",
        "Feedstock to weigh for, without voids, at 20 °C.",
    ),
    Parameter::apart(
        "recipe.batch.regrind",
        "mass_fraction",
        "",
        "",
        [0.0, 1.0],
        "Regrind",
        "Share of the batch's mass that is regrind of the same powder and binder.",
    ),
    Parameter::apart(
        "recipe.batch.regrind",
        "loading",
        "φ_r",
        "vol%",
        [0.0, 80.0],
        "Loading of the regrind",
        "Empty: that of the recipe. The fresh powder and binder make up for the difference.",
    ),
];

/// The entry at a path without its leading `recipe.`, such as `batch.amount.mass_kg`.
pub(super) fn at(path: &str) -> Option<&'static Parameter> {
    NUMBERS.iter().find(|p| p.path().strip_prefix("recipe.") == Some(path))
}

/// A choice among named rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Choice {
    /// Field of the recipe.
    pub field: &'static str,
    /// Name in words.
    pub title: &'static str,
    /// One or two sentences for the form.
    pub help: &'static str,
    /// What may be chosen: value in the document, and words. The first is the default.
    pub options: &'static [(&'static str, &'static str)],
}

/// The rules of a recipe.
pub const CHOICES: &[Choice] = &[
    Choice {
        field: "loading_law",
        title: "How viscosity grows with loading",
        help: "Published forms of the relative viscosity. Their scatter at the recipe's loading is part of the band.",
        options: &[
            ("power", "Power form, (1 − φ/φc)^−m"),
            ("krieger_dougherty", "Krieger and Dougherty"),
            ("eilers", "Eilers"),
            ("chong", "Chong"),
            ("quemada", "Quemada"),
            ("mooney", "Mooney, for comparison"),
        ],
    },
    Choice {
        field: "loading_scaling",
        title: "Flow law at another loading",
        help: "What a higher relative viscosity means in a melt that thins: homogenised, at equal shear stress or at equal shear rate.",
        options: &[
            ("homogenised", "Homogenised"),
            ("equal_stress", "At equal shear stress"),
            ("equal_rate", "At equal shear rate"),
        ],
    },
    Choice {
        field: "conductivity_rule",
        title: "Conductivity of the mixture",
        help: "How the conductivity follows from those of powder and binder. The further properties list all of them.",
        options: &[
            ("lewis_nielsen", "Lewis and Nielsen"),
            ("maxwell_eucken", "Maxwell and Eucken"),
            ("bruggeman", "Bruggeman"),
            ("lichtenecker", "Lichtenecker"),
        ],
    },
    Choice {
        field: "flow_form",
        title: "Form of the flow law",
        help: "The Cross law has a plateau at low rates; the power law is its tangent at 1000 1/s. Herschel and Bulkley’s law has a yield stress; it is usual for wax alone, the Cross law for any other binder.",
        options: &[
            ("usual", "As is usual for the binder"),
            ("cross_wlf", "Cross law"),
            ("power_law", "Power law through 1000 1/s"),
            ("herschel_bulkley", "Herschel and Bulkley, with a yield stress"),
        ],
    },
    Choice {
        field: "no_flow_rule",
        title: "No-flow temperature",
        help: "It follows from the share of the binder that has solidified.",
        options: &[
            ("backbone", "Where the backbone begins to set on cooling"),
            ("half_solid", "Where half of the binder is solid"),
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{EXAMPLES, Recipe};
    use serde_json::json;

    #[test]
    fn every_choice_is_one_the_recipe_knows_and_the_first_is_its_default() {
        let example = serde_json::to_value(EXAMPLES[0].recipe()).unwrap();
        for choice in CHOICES {
            let read = |value: &str| {
                let mut document = example.clone();
                document[choice.field] = json!(value);
                Recipe::from_json(&document.to_string())
            };
            for (value, _) in choice.options {
                let back = serde_json::to_value(read(value).unwrap()).unwrap();
                assert_eq!(back[choice.field], *value);
            }
            assert!(read("guess").is_err(), "{}", choice.field);
            assert_eq!(example[choice.field], choice.options[0].0);
        }
    }
}
