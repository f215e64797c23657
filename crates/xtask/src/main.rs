//! `cargo xtask`: everything that is done to Gatefrost besides writing it.
//!
//! ```text
//! cargo xtask build                        assemble the page in dist/site
//! cargo xtask dist                         the page as a site, as one file and as a package for courses
//! cargo xtask handbook                     the handbook alone, in dist/handbook
//! cargo xtask serve [--port N] [--no-open] build, then serve it on this machine only
//! cargo xtask scripts                      types and style of the page's scripts, after a build
//! cargo xtask test                         format, lints, docs, tests, then the page in a browser
//! cargo xtask bench [page | ARGS…]         the benchmarks, then the page's; ARGS go to cargo bench
//! ```
//!
//! A machine with rustup needs nothing else: missing parts of the toolchain are added through it,
//! the bindings generator is a library of this crate, and `test` installs Chromium where it may.
#![allow(clippy::print_stdout, reason = "a command-line program speaks to its user")]

mod browser;
mod checks;
mod classroom;
mod course;
mod dist;
mod files;
mod handbook;
mod heads;
mod http;
#[cfg(test)]
mod http_tests;
mod offline;
mod page;
#[cfg(test)]
mod page_tests;
mod reorder;
mod scripts;
mod serve;
mod similar;
mod single;
mod site;
mod styles;
mod toolchain;
mod wasm;
mod workspace;

use std::process::ExitCode;

use anyhow::{Context, Result, bail};

const USAGE: &str = "\
usage: cargo xtask COMMAND

  build                          assemble the page in dist/site
  dist                           the page as a site and as one file that opens by a double click,
                                 dist/gatefrost.html, and both as archives to hand on
  handbook                       the handbook alone in dist/handbook, to read it while it is written
  serve [--port N] [--no-open]   build, then serve the page on http://127.0.0.1:8017
  scripts                        check the types and the style of the page's scripts, after a build
  test                           format, lints, docs, tests, then the page in a real browser
  bench [page | ARGS...]         run the benchmarks, then those of the page in a real browser;
                                 page: only those; ARGS go to cargo bench, without the page";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match run(&args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(args: &[String]) -> Result<()> {
    let Some((command, rest)) = args.split_first() else {
        bail!("no command given\n\n{USAGE}");
    };
    match command.as_str() {
        "build" => {
            no_more(rest)?;
            site::build().map(drop)
        }
        "dist" => {
            no_more(rest)?;
            dist::build().map(drop)
        }
        "handbook" => {
            no_more(rest)?;
            handbook::preview()
        }
        "serve" => serve_command(rest),
        "scripts" => {
            no_more(rest)?;
            scripts::check()
        }
        "test" => {
            no_more(rest)?;
            checks::test()
        }
        "bench" => checks::bench(rest),
        "help" | "--help" | "-h" => {
            println!("{USAGE}");
            Ok(())
        }
        other => bail!("unknown command `{other}`\n\n{USAGE}"),
    }
}

fn serve_command(args: &[String]) -> Result<()> {
    let mut port = serve::PORT;
    let mut open = true;
    let mut args = args.iter();
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--port" => {
                let value = args.next().context("--port needs a number")?;
                port =
                    value.parse().with_context(|| format!("--port: `{value}` is not a port (0 to 65535)"))?;
            }
            "--no-open" => open = false,
            other => bail!("serve does not know `{other}`\n\n{USAGE}"),
        }
    }
    serve::run(port, open)
}

fn no_more(args: &[String]) -> Result<()> {
    match args.first() {
        Some(arg) => bail!("unexpected argument `{arg}`\n\n{USAGE}"),
        None => Ok(()),
    }
}
