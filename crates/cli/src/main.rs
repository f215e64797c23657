//! The Gatefrost core on the command line: scenarios, recipes and readings in, numbers
//! and figures out.
//!
//! Exit codes: 0 when all went well, 1 for bad input or output, 2 for a wrong call.

mod after;
mod args;
mod calibrate;
mod classroom;
mod commands;
mod dsc;
mod explain;
mod failure;
mod input;
mod laboratory;
mod lines;
mod manual;
mod moments;
mod output;
mod planning;
mod progress;
mod starts;
mod sweep;

use failure::Failure;
use std::process::ExitCode;

fn main() -> ExitCode {
    let done = args::parse(std::env::args_os()).and_then(commands::run);
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure::Shown(text)) => {
            output::print(text.trim_end()).map_or(ExitCode::FAILURE, |()| ExitCode::SUCCESS)
        }
        // The reader has seen enough: `gatefrost report FILE | head` is no error.
        Err(Failure::ReaderGone) => ExitCode::SUCCESS,
        Err(Failure::Usage(message)) => {
            message.lines().for_each(output::tell);
            ExitCode::from(2)
        }
        Err(Failure::Bad(lines)) => {
            lines.iter().for_each(|line| output::complain(line));
            ExitCode::FAILURE
        }
    }
}
