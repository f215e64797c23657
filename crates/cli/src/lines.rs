//! Many scenarios in one call: one a line in, one report a line out.

use crate::failure::Failure;
use crate::input::Source;
use crate::output::print;
use crate::progress::Progress;
use gatefrost_core::scenario::{MAX_JSON_BYTES, Problem, Scenario, ScenarioError};
use gatefrost_report::evaluate;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, BufRead, Read};
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// Lines held at a time for each core: read, being evaluated or waiting for one before them.
const HELD_PER_CORE: usize = 4;

/// What stands in the place of a report that there is none of.
#[derive(Serialize)]
struct Refused<'a> {
    problems: &'a [Problem],
}

/// A line of the input with its number, counted from 0.
type NumberedLine = (usize, String);

/// Evaluates a scenario a line and prints a report a line, in order, on all cores. Empty lines are skipped.
///
/// The lines held at a time are bounded, so that an endless input takes a bounded memory. A line is answered as
/// soon as those before it have been, so that a caller may wait for each answer.
///
/// # Errors
/// When reading or writing fails, and at the end when a line could not be evaluated.
pub(crate) fn reports(source: &Source) -> Result<(), Failure> {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let places = Places::new(HELD_PER_CORE * cores);
    let (give, lines) = sync_channel::<NumberedLine>(HELD_PER_CORE * cores);
    let lines = Mutex::new(lines);
    let (tell, answers) = sync_channel(HELD_PER_CORE * cores);
    let (read, written) = thread::scope(|scope| {
        for _ in 0..cores {
            let (tell, lines) = (tell.clone(), &lines);
            scope.spawn(move || {
                while let Some((number, line)) = next(lines) {
                    if tell.send((number, answer(number, &line))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(tell);
        let reader = scope.spawn(|| {
            let give = give;
            read_lines(source, |line| places.take() && give.send(line).is_ok())
        });
        let written = write_in_order(&answers, &places);
        // Whoever still reads or evaluates finds nobody to give it to.
        places.close();
        drop(answers);
        (reader.join().unwrap_or(Err(Failure::ReaderGone)), written)
    });
    let refused = written?;
    read?;
    if refused == 0 {
        return Ok(());
    }
    Err(Failure::Bad(vec![format!(
        "{}: {refused} of the lines could not be evaluated; each has its problems in the place of its report",
        source.name()
    )]))
}

fn next(lines: &Mutex<Receiver<NumberedLine>>) -> Option<NumberedLine> {
    locked(lines).recv().ok()
}

/// The line to print for a line of the input: a report, or why there is none.
fn answer(number: usize, line: &str) -> Result<String, String> {
    let report = Scenario::from_json(line).and_then(|scenario| evaluate(&scenario));
    match report {
        Ok(report) => serde_json::to_string(&report).map_err(|error| error.to_string()),
        Err(ScenarioError { problems }) => Err(refusal(number, &problems)),
    }
}

fn refusal(number: usize, problems: &[Problem]) -> String {
    serde_json::to_string(&Refused { problems }).unwrap_or_else(|_| format!("{{\"line\":{number}}}"))
}

/// Reads line by line and hands each on, until `give` refuses one.
fn read_lines(source: &Source, mut give: impl FnMut(NumberedLine) -> bool) -> Result<(), Failure> {
    let failed = |error: io::Error| Failure::io(&source.name(), &error);
    let mut input = source.buffered().map_err(failed)?;
    let mut given = 0;
    for place in 1.. {
        let mut bytes = Vec::new();
        // One byte more than is accepted, so that a line without an end ends.
        let most = MAX_JSON_BYTES as u64 + 2;
        if input.by_ref().take(most).read_until(b'\n', &mut bytes).map_err(failed)? == 0 {
            return Ok(());
        }
        if bytes.len() > MAX_JSON_BYTES + 1 {
            return Err(Failure::Bad(vec![format!(
                "{}: line {place} has more than {MAX_JSON_BYTES} bytes; that many are accepted",
                source.name()
            )]));
        }
        let line = String::from_utf8_lossy(&bytes).trim().to_owned();
        if line.is_empty() {
            continue;
        }
        if !give((given, line)) {
            return Ok(());
        }
        given += 1;
    }
    Ok(())
}

/// Prints answers in the order of their lines; returns how many are refusals.
fn write_in_order(
    answers: &Receiver<(usize, Result<String, String>)>,
    places: &Places,
) -> Result<usize, Failure> {
    let progress = Progress::counting("reports");
    let mut waiting = BTreeMap::new();
    let mut refused = 0;
    for next in 0.. {
        let answer = loop {
            if let Some(answer) = waiting.remove(&next) {
                break answer;
            }
            match answers.recv() {
                Ok((number, answer)) => drop(waiting.insert(number, answer)),
                Err(_) => return Ok(refused),
            }
        };
        let (Ok(line) | Err(line)) = &answer;
        refused += usize::from(answer.is_err());
        print(line)?;
        progress.step();
        places.give_back();
    }
    Ok(refused)
}

/// Places for lines that are held.
struct Places {
    free: Mutex<Option<usize>>,
    changed: Condvar,
}

impl Places {
    fn new(count: usize) -> Self {
        Self { free: Mutex::new(Some(count)), changed: Condvar::new() }
    }

    /// Waits for a free place and takes it; false once closed.
    fn take(&self) -> bool {
        let mut free = locked(&self.free);
        loop {
            match *free {
                None => return false,
                Some(0) => free = self.changed.wait(free).unwrap_or_else(PoisonError::into_inner),
                Some(count) => {
                    *free = Some(count - 1);
                    return true;
                }
            }
        }
    }

    fn give_back(&self) {
        let mut free = locked(&self.free);
        *free = free.map(|count| count + 1);
        self.changed.notify_one();
    }

    fn close(&self) {
        *locked(&self.free) = None;
        self.changed.notify_all();
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
