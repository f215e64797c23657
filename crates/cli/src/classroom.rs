//! The classroom: exercises, keys and slips.

mod own;

use crate::args::ClassroomCall;
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use gatefrost_classroom::class::{self, Class};
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises::{self, ALL, Exercise};
use gatefrost_classroom::shown;
use gatefrost_classroom::slip::{self, Slip};
use gatefrost_classroom::texts::{Said, Texts};
use gatefrost_core::format::quoted;

pub(crate) fn run(call: &ClassroomCall) -> Result<(), Failure> {
    match call {
        ClassroomCall::List => print(&json(&shown::list())?),
        ClassroomCall::Task { name, id, solution } => {
            let (exercise, id) = (exercise(name)?, StudentId::read(id).map_err(|said| refused(&said))?);
            print(&if *solution { json(&exercise.solutions(&id))? } else { json(&exercise.shown(&id))? })
        }
        ClassroomCall::Key { ids, exercise: named } => {
            let list = Source::from(ids.clone()).table()?;
            let ids = class::ids(&list).map_err(|said| refused(&said))?;
            let chosen = match named {
                Some(name) => vec![exercise(name)?],
                None => ALL.iter().collect(),
            };
            print(class::key(&chosen, &ids).trim_end())
        }
        ClassroomCall::Slips { text, json: as_json } => slips(&Source::from(text.clone()).table()?, *as_json),
        ClassroomCall::Own(call) => own::run(call),
    }
}

fn exercise(name: &str) -> Result<&'static Exercise, Failure> {
    exercises::find(name).ok_or_else(|| {
        let names: Vec<&str> = ALL.iter().map(|exercise| exercise.name).collect();
        Failure::Bad(vec![format!("exercise: {} is not one; there are {}", quoted(name), names.join(", "))])
    })
}

fn refused(said: &Said) -> Failure {
    Failure::Bad(vec![Texts::english().say(said)])
}

fn slips(text: &str, as_json: bool) -> Result<(), Failure> {
    let found = slip::read_all(text).map_err(|said| refused(&said))?;
    tell_class(&Class::of(found.slips.iter().map(Slip::judged).collect(), &found), as_json)
}

fn tell_class(class: &Class, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return print(&json(class)?);
    }
    for (line, words) in &class.bad {
        complain(&format!("line {line}: {words}"));
    }
    print(class.csv().trim_end())
}
