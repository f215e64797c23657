//! Exercises that a lecturer makes from a scenario.

use super::{refused, tell_class};
use crate::args::{File, OwnCall};
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{json, print};
use crate::progress::side_by_side;
use gatefrost_classroom::class;
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::posed::{self, Posed};
use gatefrost_core::scenario::{ScenarioError, link};
use std::ffi::OsString;

pub(super) fn run(call: &OwnCall) -> Result<(), Failure> {
    match call {
        OwnCall::Choices(File { source }) => {
            let link = link::encode(&source.scenario()?);
            print(&json(&posed::choices(&link).map_err(|error| Failure::scenario(&source.name(), &error))?)?)
        }
        OwnCall::Check { exercise } => with(exercise, |posed| Ok(json(&posed.spans()?))),
        OwnCall::Link { exercise } => with(exercise, |posed| Ok(Ok(posed::link(&posed.document)))),
        OwnCall::Open { exercise } => with(exercise, |posed| Ok(json(&posed.document))),
        OwnCall::Task { exercise, id, solution } => {
            let id = StudentId::read(id).map_err(|said| refused(&said))?;
            with(exercise, |posed| {
                Ok(if *solution { json(&posed.answers(&id)?) } else { json(&posed.task(&id)?) })
            })
        }
        OwnCall::Key { exercise, ids } => {
            let (posed, _) = read(exercise)?;
            let ids = class::ids(&Source::from(ids.clone()).table()?).map_err(|said| refused(&said))?;
            let lines = side_by_side(ids.len(), "students", |k| Some(posed.key_of(&ids[k])));
            let lines: String = lines.into_iter().flatten().collect();
            print((Posed::key_head() + &lines).trim_end())
        }
        OwnCall::Slips { exercise, text, json: as_json } => {
            let (posed, _) = read(exercise)?;
            let found = posed.slips(&Source::from(text.clone()).table()?).map_err(|said| refused(&said))?;
            let rows = side_by_side(found.slips.len(), "slips", |k| Some(posed.row(&found.slips[k])));
            tell_class(&found.class(rows.into_iter().flatten().collect()), *as_json)
        }
    }
}

/// The exercise of a file, or of a link that is given as it is; with its name in messages.
fn read(exercise: &OsString) -> Result<(Posed, String), Failure> {
    let given = exercise.to_string_lossy();
    let is_link = given.contains('#') || given.starts_with(posed::PREFIX);
    let source = Source::from(exercise.clone());
    let (text, name) =
        if is_link { (given.into_owned(), "the link".to_owned()) } else { (source.table()?, source.name()) };
    let posed = Posed::read(&text).map_err(|error| Failure::scenario(&name, &error))?;
    Ok((posed, name))
}

/// Prints what is told of an exercise.
fn with(
    exercise: &OsString,
    tell: impl Fn(&Posed) -> Result<Result<String, Failure>, ScenarioError>,
) -> Result<(), Failure> {
    let (posed, name) = read(exercise)?;
    print(&tell(&posed).map_err(|error| Failure::scenario(&name, &error))??)
}
