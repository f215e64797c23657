//! The names of the fields of a scenario. A message uses the name that the page shows.

use crate::catalogue;
use crate::format::shortened;
use crate::scenario::Problem;

/// Fields that are not numbers of the catalogue, with their labels on the page; `*` means any list position.
const NAMES: &[(&str, &str)] = &[
    ("", "The document"),
    ("gatefrost", "Version of the document"),
    ("name", "Name of the scenario"),
    ("notes", "Notes on this scenario"),
    ("feedstock", "Feedstock"),
    ("feedstock.name", "Name of the feedstock"),
    ("feedstock.provenance", "Source of the flow constants"),
    ("feedstock.loading_law", "Viscosity against loading"),
    ("feedstock.loading_scaling", "Flow law at another loading"),
    ("feedstock.family", "Family of the binder"),
    ("feedstock.conductivity_rule", "Conductivity of the mixture"),
    ("feedstock.pvt", "pvT law of the binder"),
    ("feedstock.flow_law", "Flow law"),
    ("feedstock.further_melting", "The list of further melting peaks"),
    ("feedstock.further_melting.*", "Melting peak"),
    ("feedstock.uncertainty", "Uncertainty of the feedstock"),
    ("feedstock.uncertainty.numbers", "The list of uncertain numbers"),
    ("feedstock.uncertainty.numbers.*.path", "Path of the uncertain number"),
    ("feedstock.uncertainty.numbers.*.standard_error", "Standard error"),
    ("feedstock.uncertainty.numbers.*.logarithmic", "Error of the logarithm"),
    ("feedstock.uncertainty.correlation", "Correlation of the uncertain numbers"),
    ("cavity", "Cavity"),
    ("cavity.passages", "The list of passages"),
    ("cavity.passages.*", "Passage"),
    ("cavity.passages.*.name", "Name"),
    ("cavity.passages.*.role", "Role"),
    ("cavity.passages.*.lies", "Flow in the mould"),
    ("cavity.passages.*.after", "Passage it follows"),
    ("cavity.passages.*.meets", "Passage whose end it meets"),
    ("cavity.passages.*.reached", "Faces reached by debinding"),
    ("cavity.passages.*.form", "Shape"),
    ("mould", "Mould"),
    ("machine", "Machine"),
    ("setup", "Set-up"),
    ("setup.further_hold", "The list of further hold steps"),
    ("setup.further_hold.*", "Hold step"),
    ("setup.ram", "The list of speed steps"),
    ("setup.ram.*", "Speed step"),
    ("sizes", "Sizes"),
    ("sizes.dimensions", "The list of dimensions"),
    ("sizes.dimensions.*", "Dimension"),
    ("sizes.dimensions.*.name", "Name of the dimension"),
    ("sizes.dimensions.*.flow", "Direction in the mould"),
    ("sizes.dimensions.*.stands", "Direction in the furnace"),
    ("debinding", "Debinding"),
    ("debinding.parts", "The list of binder parts"),
    ("debinding.parts.*", "Binder part"),
    ("debinding.parts.*.name", "Name of the binder part"),
    ("debinding.parts.*.leaves", "What takes the part out"),
    ("debinding.steps", "The list of debinding steps"),
    ("debinding.steps.*", "Debinding step"),
    ("debinding.steps.*.bath.water", "Water as the solvent"),
    ("sintering", "Sintering"),
    ("sintering.stretches", "The furnace run"),
    ("sintering.stretches.*", "Stretch of the furnace run"),
    ("plan", "Plan"),
    ("trials", "Trials"),
    ("shots", "The trial log"),
    ("shots.*", "Shot"),
    ("shots.*.name", "Name of the shot"),
    ("shots.*.sensor", "Section of the sensor"),
    ("limits", "Limits"),
    ("scatter", "Scatter"),
    ("ignored", "Limits left out"),
    ("ignored.*", "Limit left out"),
    ("window", "Window"),
    ("window.x", "Horizontal axis"),
    ("window.x.axis", "Horizontal axis, setting"),
    ("window.x.from", "Horizontal axis, from"),
    ("window.x.to", "Horizontal axis, to"),
    ("window.y", "Vertical axis"),
    ("window.y.axis", "Vertical axis, setting"),
    ("window.y.from", "Vertical axis, from"),
    ("window.y.to", "Vertical axis, to"),
    ("model", "Numerical grid"),
    ("model.viscous_heating", "Viscous heating"),
    ("model.side_walls", "Side walls of strips"),
    ("model.warming_steel", "Steel that warms"),
];

/// Lists whose entries have a name.
const NAMED_LISTS: [&str; 4] = ["cavity.passages.", "sizes.dimensions.", "debinding.parts.", "shots."];

/// Longest path that a message or a problem shows, in characters.
const LONGEST_PATH: usize = 80;

/// Name of the field at a path; `None` if there is no such field.
pub fn title(path: &str) -> Option<&'static str> {
    catalogue::at(path).map(|p| p.title).or_else(|| {
        NAMES.iter().find(|(named, _)| catalogue::same_path(named, path)).map(|(_, title)| *title)
    })
}

/// Whether the field at a path is a name, a text of one line.
pub fn is_name(path: &str) -> bool {
    matches!(path, "name" | "feedstock.name")
        || NAMED_LISTS.iter().any(|list| path.starts_with(list)) && path.ends_with(".name")
}

/// A problem of the field at `path`. The message is a sentence that begins with `title`, or with the path if there is no
/// title; `predicate` is the rest of the sentence.
pub fn problem(path: &str, title: Option<&str>, predicate: &str) -> Problem {
    let path = shortened(path, LONGEST_PATH);
    let message = format!("{} {predicate}", title.unwrap_or(&path));
    Problem { path, message }
}
