//! Parts of usual forms to begin with.

use crate::failure::Failure;
use crate::output::print;
use gatefrost_core::catalogue;
use gatefrost_core::format::quoted;
use gatefrost_core::scenario::Family;
use gatefrost_core::scenario::gate::{self, GATES};
use gatefrost_core::scenario::start::{self, PartWords, Shelf};
use gatefrost_core::start::hold_until_frozen;
use std::fmt::Write;

/// Prints the scenario of a part, with sizes of its own, another gate, a family of binders and a number of cavities where
/// they are given.
///
/// # Errors
/// Says what there is no part or gate of, which size cannot be, and what the sizes do not go together to.
pub(crate) fn start(
    name: &str,
    sizes: Option<&str>,
    gate: Option<&str>,
    family: Option<Family>,
    cavities: u32,
) -> Result<(), Failure> {
    let bad = |what, given, all: Vec<&str>| {
        let list = all.join(", ");
        Failure::Bad(vec![format!("{what}: {} is not a {what}; there are {list}", quoted(given))])
    };
    let shelf = Shelf::read();
    let Some(part) = shelf.parts.iter().find(|p| p.name == name) else {
        return Err(bad("part", name, shelf.parts.iter().map(|p| p.name.as_str()).collect()));
    };
    let wanted = gate.unwrap_or(&part.gate);
    let unknown = || bad("gate", wanted, GATES.iter().map(|g| g.name).collect());
    let form = gate::find(wanted).ok_or_else(unknown)?;
    let sizes = part.all_sizes(&read_sizes(part, sizes)?);
    start::find(name).ok_or_else(unknown)?.check(&sizes).map_err(|e| Failure::scenario("sizes", &e))?;
    let mut scenario = part.scenario(&sizes, Some(form), family, cavities).ok_or_else(unknown)?;
    scenario.validate().map_err(|e| Failure::scenario("start", &e))?;
    hold_until_frozen(&mut scenario);
    print(&scenario.to_json())
}

fn read_sizes(start: &PartWords, text: Option<&str>) -> Result<Vec<f64>, Failure> {
    let given: Vec<&str> = text.map_or_else(Vec::new, |text| text.split(',').map(str::trim).collect());
    if given.len() > start.sizes.len() {
        let message = format!("sizes: {} are given; {} has {}", given.len(), start.name, start.sizes.len());
        return Err(Failure::Bad(vec![message]));
    }
    let read = given.iter().zip(&start.sizes).map(|(text, size)| {
        let number = catalogue::at(&size.like);
        let value = text.parse().ok().filter(|v| number.is_none_or(|n| n.accepts(*v)));
        let range = number.map_or_else(|| "a number".to_owned(), catalogue::Parameter::accepted);
        value.ok_or_else(|| format!("sizes: {} is {}; accepted is {range}", size.title, quoted(text)))
    });
    let (values, problems): (Vec<_>, Vec<_>) = read.partition(Result::is_ok);
    let problems: Vec<String> = problems.into_iter().filter_map(Result::err).collect();
    if problems.is_empty() { Ok(values.into_iter().flatten().collect()) } else { Err(Failure::Bad(problems)) }
}

/// The parts with their sizes, and the forms of gate.
pub(crate) fn list() -> String {
    let mut text = String::new();
    let shelf = Shelf::read();
    for start in &shelf.parts {
        let sizes: Vec<String> = start.sizes.iter().map(|s| format!("{} {}", s.title, s.default)).collect();
        let line = format!("{}: {}. {}", start.title, sizes.join(", "), start.words);
        writeln!(text, "{:10} {line}", start.name).expect("a text takes what is written");
    }
    for gate in &shelf.gates {
        write!(text, "\n{:10} {} ({})", gate.name, gate.words, gate.source)
            .expect("a text takes what is written");
    }
    text
}
