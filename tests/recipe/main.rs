//! The library of materials and the estimate a recipe gives, against tables of public packages,
//! closed forms and common practice.

mod batch;
mod estimate;
mod heat;
mod input;
mod mixing;
mod rows;

use gatefrost_laboratory::recipe::library::{self, BinderPart, Powder};
use gatefrost_laboratory::recipe::{EXAMPLES, Recipe};
use serde_json::{Value, json};

/// A recipe read from the document a user would write, `changes` merged into it.
pub fn recipe(changes: &Value) -> Recipe {
    let mut document = json!({
        "powder": "316l",
        "loading": { "volume_percent": 60 },
        "binder": [
            { "part": "paraffin_wax", "mass_fraction": 0.7 },
            { "part": "pp", "mass_fraction": 0.3 }
        ],
        "critical_loading": 64.5
    });
    gatefrost_tests::build::merge(&mut document, changes);
    Recipe::from_json(&document.to_string()).expect("the check's own recipe is in order")
}

/// The worked recipe of that name.
pub fn example(name: &str) -> Recipe {
    EXAMPLES.iter().find(|e| e.name == name).expect("an example of that name").recipe()
}

/// The binder part of that key.
pub fn part(key: &str) -> &'static BinderPart {
    library::binder(key).expect("a key of the library")
}

/// The powder of that key.
pub fn solid(key: &str) -> &'static Powder {
    library::powder(key).expect("a key of the library")
}
