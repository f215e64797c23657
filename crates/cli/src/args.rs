//! The command line.

use crate::failure::Failure;
use crate::input::Source;
use lexopt::{Arg, Parser, ValueExt};
use std::path::PathBuf;

/// What to print for `--help`.
pub(crate) const HELP: &str = "\
gatefrost: filling, packing, gate freeze and the processing window of powder injection moulding

  gatefrost demo [NAME]      print a demo scenario as JSON; the first one without a name
  gatefrost demo --list      list the demos: name and title
  gatefrost report FILE      evaluate a scenario and print the report as JSON
  gatefrost window FILE      trace the limits; print their lines as JSON and write an SVG
      --coarse               a quicker, rougher window
      --svg OUT.svg          where to write the SVG (else beside FILE; window.svg for standard input)
  gatefrost link FILE        print the scenario as the text behind # in a link
  gatefrost open LINK        print the scenario that a link opens, as JSON
  gatefrost parameters       print every number a scenario can hold, as JSON
      --markdown             the same as tables for the documentation

  -h, --help                 print this
  -V, --version              print the version

FILE is a scenario document; - reads standard input.
Exit code 0: done. 1: bad input, every problem on a line of standard error. 2: wrong call.";

/// A command with everything it needs.
#[derive(Debug, PartialEq)]
pub(crate) enum Command {
    Help,
    Version,
    Demo(Option<String>),
    DemoList,
    Report(Source),
    Window { source: Source, coarse: bool, svg: Option<PathBuf> },
    Link(Source),
    Open(String),
    Parameters { markdown: bool },
}

/// Options and operands as they came, before the command says which it takes.
#[derive(Default)]
struct Given {
    operand: Option<std::ffi::OsString>,
    list: bool,
    coarse: bool,
    markdown: bool,
    svg: Option<PathBuf>,
}

/// Reads the command line.
pub(crate) fn parse(mut parser: Parser) -> Result<Command, Failure> {
    let name = match parser.next().map_err(usage)? {
        None => return Err(Failure::Usage("no command is given".to_owned())),
        Some(Arg::Short('h') | Arg::Long("help")) => return Ok(Command::Help),
        Some(Arg::Short('V') | Arg::Long("version")) => return Ok(Command::Version),
        Some(Arg::Value(name)) => name.string().map_err(usage)?,
        Some(other) => return Err(usage(other.unexpected())),
    };
    let takes: &[&str] = match name.as_str() {
        "help" => return Ok(Command::Help),
        "demo" => &["list"],
        "window" => &["coarse", "svg"],
        "parameters" => &["markdown"],
        "report" | "link" | "open" => &[],
        other => return Err(Failure::Usage(format!("{other:.40?} is not a command"))),
    };
    let mut given = Given::default();
    while let Some(arg) = parser.next().map_err(usage)? {
        match arg {
            Arg::Short('h') | Arg::Long("help") => return Ok(Command::Help),
            Arg::Long("list") if takes.contains(&"list") => given.list = true,
            Arg::Long("coarse") if takes.contains(&"coarse") => given.coarse = true,
            Arg::Long("markdown") if takes.contains(&"markdown") => given.markdown = true,
            Arg::Long("svg") if takes.contains(&"svg") => {
                given.svg = Some(parser.value().map_err(usage)?.into())
            }
            Arg::Value(value) if given.operand.is_none() && name != "parameters" => {
                given.operand = Some(value)
            }
            other => return Err(usage(other.unexpected())),
        }
    }
    command(&name, given)
}

fn command(name: &str, given: Given) -> Result<Command, Failure> {
    let text = |operand: std::ffi::OsString| operand.string().map_err(usage);
    let needed = |what: &str| Failure::Usage(format!("{name} needs a {what}"));
    let source =
        |operand: Option<std::ffi::OsString>| operand.map(Source::from).ok_or_else(|| needed("FILE"));
    Ok(match name {
        "demo" if given.list && given.operand.is_some() => {
            return Err(Failure::Usage("demo takes a NAME or --list, not both".to_owned()));
        }
        "demo" if given.list => Command::DemoList,
        "demo" => Command::Demo(given.operand.map(text).transpose()?),
        "report" => Command::Report(source(given.operand)?),
        "window" => Command::Window { source: source(given.operand)?, coarse: given.coarse, svg: given.svg },
        "link" => Command::Link(source(given.operand)?),
        "open" => Command::Open(given.operand.ok_or_else(|| needed("LINK")).and_then(text)?),
        _ => Command::Parameters { markdown: given.markdown },
    })
}

fn usage(error: lexopt::Error) -> Failure {
    Failure::Usage(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(args: &[&str]) -> Result<Command, Failure> {
        parse(Parser::from_args(args))
    }

    #[test]
    fn options_may_stand_on_either_side_of_the_file() {
        let wanted = Command::Window {
            source: Source::File("a.json".into()),
            coarse: true,
            svg: Some("b.svg".into()),
        };
        assert_eq!(parsed(&["window", "a.json", "--coarse", "--svg", "b.svg"]).as_ref(), Ok(&wanted));
        assert_eq!(parsed(&["window", "--svg=b.svg", "--coarse", "a.json"]).as_ref(), Ok(&wanted));
        assert_eq!(parsed(&["report", "-"]), Ok(Command::Report(Source::Stdin)));
    }

    #[test]
    fn wrong_calls_are_refused() {
        for args in [
            &[] as &[&str],
            &["bake"],
            &["report"],
            &["report", "a", "b"],
            &["report", "a", "--coarse"],
            &["window", "a", "--svg"],
            &["demo", "hinge", "--list"],
            &["parameters", "x"],
            &["open"],
            &["--loud"],
        ] {
            assert!(matches!(parsed(args), Err(Failure::Usage(_))), "{args:?}");
        }
    }
}
