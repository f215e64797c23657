//! The command line.

use crate::failure::Failure;
use crate::input::Source;
use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::format::quoted;
use gatefrost_laboratory::critical::{CriticalOptions, DensityOptions, ResistanceOptions};
use gatefrost_laboratory::rheometry::fit::{FitOptions, Law};
use lexopt::{Arg, Parser, ValueExt};
use std::ffi::OsString;
use std::path::PathBuf;

/// What to print for `--help`.
pub(crate) const HELP: &str = "\
gatefrost: filling, packing, gate freeze and the processing window of powder injection moulding

  gatefrost demo [NAME]      print a demo scenario as JSON; the first one without a name
  gatefrost demo --list      list the demos: name and title
  gatefrost start NAME       print a scenario with a part of a usual form as JSON: bar, plate, ring …
      --sizes A,B,…          its sizes in mm, in the order of the list; those left out as listed
      --gate FORM            another form of gate than the usual one
  gatefrost start --list     list the parts with their sizes, and the forms of gate
  gatefrost report FILE      evaluate a scenario and print the report as JSON
  gatefrost moments FILE     follow one cycle: what stands where, moment by moment, as JSON
      --csv                  as CSV, one row for each moment and cell
  gatefrost hold FILE        part mass against hold time, and why each gate freezes when it does, as JSON
      --csv                  mass and shrinkage against hold time, as CSV
  gatefrost safety FILE      what the set point bears, the best one near it, the share of shots inside,
                             what would widen the window or open a closed one, how small a gate, how
                             much powder and how many cavities meet every limit, as JSON
  gatefrost window FILE      trace the limits; print their lines as JSON and write an SVG
                             with the bands of its lines where the feedstock's uncertainty is known
      --coarse               a quicker, rougher window
      --beside FILE2         with the usable region of another scenario in the same plane
      --svg OUT.svg          where to write the SVG (else beside FILE; window.svg for standard input)
  gatefrost link FILE        print the scenario as the text behind # in a link
  gatefrost open LINK        print the scenario that a link opens, as JSON; what cannot be read is left out
                             and named on standard error
  gatefrost recipe FILE      estimate a feedstock from a recipe (powder, binder parts, loading), as JSON
      --feedstock            only the feedstock, to paste into a scenario
  gatefrost recipe --list    list the powders, binder parts and examples of the library
  gatefrost recipe --example NAME
                             print an example recipe
  gatefrost fit FILE.csv     reduce capillary readings, fit the flow laws and rank them, as JSON
      --law LAW              only one: cross_wlf, power_law, carreau_yasuda or herschel_bulkley
      --free-a2              fit the Cross law's A2 too
      --d2 T                 reference temperature D2 of the Cross law, in °C
      --transition A         hold the breadth of Carreau and Yasuda's transition; 2 is Carreau's law
      --scenario FILE        say where this part lies outside the readings
      --loading PHI          loading of the feedstock measured, in vol%; that of the scenario's
                             measured_loading unless given
      --apply OUT.json       write that scenario with the best law in it
  gatefrost critical FILE.csv
                             find the critical loading from density, torque or viscosity readings
      --exponent M           exponent of the divergence, or free; 2 unless given
      --exponent-error S     how well it is known, its standard error; 0.4 unless given, 0 holds it
      --powder-density RHO   where known, in kg/m³
      --binder-density RHO   where known, in kg/m³
  gatefrost parameters       print every number a scenario can hold, as JSON
      --markdown             the same as tables for the documentation

  -h, --help                 print this
  -V, --version              print the version

FILE is a document, - reads standard input. What each holds: www/handbook/scenario.md and laboratory.md.
Exit code 0: done. 1: bad input, every problem on a line of standard error. 2: wrong call.";

/// A command with everything it needs.
#[derive(Debug, PartialEq)]
pub(crate) enum Command {
    Help,
    Version,
    Demo(Option<String>),
    DemoList,
    Start { name: String, sizes: Option<String>, gate: Option<String> },
    StartList,
    Report(Source),
    Moments { source: Source, csv: bool },
    Hold { source: Source, csv: bool },
    Safety(Source),
    Window { source: Source, coarse: bool, beside: Option<Source>, svg: Option<PathBuf> },
    Link(Source),
    Open(String),
    Parameters { markdown: bool },
    Recipe { source: Source, feedstock: bool },
    RecipeExample(String),
    RecipeList,
    Fit(FitCall),
    Critical { source: Source, options: CriticalOptions },
}

/// What `fit` needs.
#[derive(Debug, PartialEq)]
pub(crate) struct FitCall {
    pub source: Source,
    /// The one law to fit; all of them without.
    pub law: Option<Law>,
    pub options: FitOptions,
    /// Loading of the feedstock measured [vol%].
    pub loading: Option<f64>,
    /// Scenario whose part is held against the readings.
    pub scenario: Option<Source>,
    /// Where to write that scenario with the best law.
    pub apply: Option<PathBuf>,
}

/// Options and operands as they came; each command has said which options it takes.
#[derive(Default)]
struct Given {
    operand: Option<OsString>,
    flags: Vec<&'static str>,
    values: Vec<(&'static str, OsString)>,
}

/// Options without a value.
const FLAGS: &[&str] = &["list", "csv", "coarse", "markdown", "feedstock", "free-a2"];

/// Options of each command; `None` for what is no command.
fn options(command: &str) -> Option<&'static [&'static str]> {
    Some(match command {
        "demo" => &["list"],
        "start" => &["list", "sizes", "gate"],
        "moments" | "hold" => &["csv"],
        "window" => &["coarse", "beside", "svg"],
        "parameters" => &["markdown"],
        "recipe" => &["list", "example", "feedstock"],
        "fit" => &["law", "free-a2", "d2", "transition", "scenario", "loading", "apply"],
        "critical" => &["exponent", "exponent-error", "powder-density", "binder-density"],
        "report" | "safety" | "link" | "open" => &[],
        _ => return None,
    })
}

/// Reads the command line.
pub(crate) fn parse(mut parser: Parser) -> Result<Command, Failure> {
    let name = match parser.next().map_err(usage)? {
        None => return Err(wrong("no command is given")),
        Some(Arg::Short('h') | Arg::Long("help")) => return Ok(Command::Help),
        Some(Arg::Short('V') | Arg::Long("version")) => return Ok(Command::Version),
        Some(Arg::Value(name)) => name.string().map_err(usage)?,
        Some(other) => return Err(usage(other.unexpected())),
    };
    if name == "help" {
        return Ok(Command::Help);
    }
    let takes = options(&name).ok_or_else(|| wrong(format!("{} is not a command", quoted(&name))))?;
    let mut given = Given::default();
    while let Some(arg) = parser.next().map_err(usage)? {
        match arg {
            Arg::Short('h') | Arg::Long("help") => return Ok(Command::Help),
            Arg::Value(value) if given.operand.is_none() && name != "parameters" => {
                given.operand = Some(value);
            }
            Arg::Long(long) if takes.contains(&long) => {
                // The command's own name for it, which outlives the argument.
                let option = takes.iter().find(|&&o| o == long).copied().unwrap_or_default();
                if FLAGS.contains(&option) {
                    given.flags.push(option);
                } else {
                    given.values.push((option, parser.value().map_err(usage)?));
                }
            }
            other => return Err(usage(other.unexpected())),
        }
    }
    given.command(&name)
}

impl Given {
    fn command(mut self, name: &str) -> Result<Command, Failure> {
        Ok(match name {
            "demo" if self.has("list") => {
                self.alone("demo takes a NAME or --list, not both")?;
                Command::DemoList
            }
            "demo" => Command::Demo(self.operand.map(text).transpose()?),
            "start" => self.start()?,
            "report" => Command::Report(self.source(name)?),
            "moments" => Command::Moments { source: self.source(name)?, csv: self.has("csv") },
            "hold" => Command::Hold { source: self.source(name)?, csv: self.has("csv") },
            "safety" => Command::Safety(self.source(name)?),
            "window" => self.window()?,
            "link" => Command::Link(self.source(name)?),
            "open" => Command::Open(self.operand.ok_or_else(|| wrong("open needs a LINK")).and_then(text)?),
            "recipe" => self.recipe()?,
            "fit" => Command::Fit(self.fit()?),
            "critical" => self.critical()?,
            _ => Command::Parameters { markdown: self.has("markdown") },
        })
    }

    fn start(mut self) -> Result<Command, Failure> {
        let sizes = self.value("sizes").map(text).transpose()?;
        let gate = self.value("gate").map(text).transpose()?;
        if !self.has("list") {
            let name = self.operand.ok_or_else(|| wrong("start needs a NAME, or --list")).and_then(text)?;
            return Ok(Command::Start { name, sizes, gate });
        }
        if self.operand.is_some() || sizes.is_some() || gate.is_some() {
            return Err(wrong("start takes a NAME or --list, not both"));
        }
        Ok(Command::StartList)
    }

    fn window(mut self) -> Result<Command, Failure> {
        let source = self.source("window")?;
        let beside = self.value("beside").map(Source::from);
        if source == Source::Stdin && beside == Some(Source::Stdin) {
            return Err(wrong("the two scenarios cannot both come from standard input"));
        }
        let svg = self.value("svg").map(PathBuf::from);
        Ok(Command::Window { source, coarse: self.has("coarse"), beside, svg })
    }

    fn recipe(mut self) -> Result<Command, Failure> {
        const ONE: &str = "recipe takes one of FILE (with --feedstock if wanted), --example NAME and --list";
        let example = self.value("example");
        if !self.has("list") && example.is_none() {
            return Ok(Command::Recipe { source: self.source("recipe")?, feedstock: self.has("feedstock") });
        }
        self.alone(ONE)?;
        match example {
            _ if self.has("feedstock") => Err(wrong(ONE)),
            Some(_) if self.has("list") => Err(wrong(ONE)),
            Some(name) => Ok(Command::RecipeExample(text(name)?)),
            None => Ok(Command::RecipeList),
        }
    }

    fn fit(mut self) -> Result<FitCall, Failure> {
        let source = self.source("fit")?;
        let law = self.value("law").map(|name| text(name).and_then(law)).transpose()?;
        let free_a2 = self.has("free-a2");
        if free_a2 && law.is_some_and(|law| law != Law::CrossWlf) {
            return Err(wrong("--free-a2 concerns the Cross law only"));
        }
        let mut number = |option, path| match self.value(option).map(text).transpose()? {
            None => Ok(None),
            Some(number) => quantity(option, &number, path).map(Some),
        };
        let loading = number("loading", "feedstock.measured_loading")?;
        let d2 = number("d2", "feedstock.flow_law.cross_wlf.d2")?;
        let transition = number("transition", "feedstock.flow_law.carreau_yasuda.transition")?;
        for (option, given, only) in
            [("d2", d2.is_some(), Law::CrossWlf), ("transition", transition.is_some(), Law::CarreauYasuda)]
        {
            if given && law.is_some_and(|law| law != only) {
                return Err(wrong(format!("--{option} concerns the {} law only", only.label())));
            }
        }
        let scenario = self.value("scenario").map(Source::from);
        if loading.is_some() && scenario.is_none() {
            return Err(wrong("--loading needs the --scenario to put the law into"));
        }
        if source == Source::Stdin && scenario == Some(Source::Stdin) {
            return Err(wrong("readings and scenario cannot both come from standard input"));
        }
        let apply = self.value("apply").map(PathBuf::from);
        if apply.is_some() && scenario.is_none() {
            return Err(wrong("--apply needs the --scenario to put the law into"));
        }
        let d2 = d2.unwrap_or(FitOptions::default().d2);
        let options = FitOptions { d2, free_a2, transition };
        Ok(FitCall { source, law, options, loading, scenario, apply })
    }

    fn critical(mut self) -> Result<Command, Failure> {
        let exponent = match self.value("exponent").map(text).transpose()? {
            None => ResistanceOptions::default().exponent,
            Some(free) if free == "free" => None,
            Some(number) => Some(quantity("exponent", &number, "feedstock.loading_exponent")?),
        };
        let exponent_error = match self.value("exponent-error").map(text).transpose()? {
            None => ResistanceOptions::default().exponent_error,
            Some(given) => {
                given.trim().parse().ok().filter(|e| (0.0..=2.0).contains(e)).ok_or_else(|| {
                    wrong(format!("--exponent-error is {}; accepted is a number, 0 to 2", quoted(&given)))
                })?
            }
        };
        let mut density = |option, path| match self.value(option).map(text).transpose()? {
            None => Ok(None),
            Some(number) => quantity(option, &number, path).map(Some),
        };
        let density = DensityOptions {
            powder_density: density("powder-density", "feedstock.powder_density")?,
            binder_density: density("binder-density", "feedstock.binder_density")?,
        };
        let options = CriticalOptions { density, resistance: ResistanceOptions { exponent, exponent_error } };
        Ok(Command::Critical { source: self.source("critical")?, options })
    }

    fn has(&self, flag: &str) -> bool {
        self.flags.contains(&flag)
    }

    /// Takes the value of an option; the last one given counts.
    fn value(&mut self, option: &str) -> Option<OsString> {
        let place = self.values.iter().rposition(|(name, _)| *name == option)?;
        Some(self.values.swap_remove(place).1)
    }

    fn source(&mut self, command: &str) -> Result<Source, Failure> {
        self.operand.take().map(Source::from).ok_or_else(|| wrong(format!("{command} needs a FILE")))
    }

    fn alone(&self, message: &str) -> Result<(), Failure> {
        if self.operand.is_none() { Ok(()) } else { Err(wrong(message)) }
    }
}

fn law(name: String) -> Result<Law, Failure> {
    Ok(match name.as_str() {
        "cross_wlf" => Law::CrossWlf,
        "power_law" => Law::PowerLaw,
        "carreau_yasuda" => Law::CarreauYasuda,
        "herschel_bulkley" => Law::HerschelBulkley,
        _ => {
            let known = "cross_wlf, power_law, carreau_yasuda and herschel_bulkley";
            return Err(wrong(format!("--law: {} is no flow law; there are {known}", quoted(&name))));
        }
    })
}

/// A number that is a scenario's too, within that one's range.
fn quantity(option: &str, text: &str, path: &str) -> Result<f64, Failure> {
    let parameter = catalogue::at(path);
    let accepted = parameter.map_or_else(|| "a number".to_owned(), Parameter::accepted);
    let value = text.trim().parse().ok().filter(|value| parameter.is_none_or(|p| p.accepts(*value)));
    value.ok_or_else(|| wrong(format!("--{option} is {}; accepted is {accepted}", quoted(text))))
}

fn text(given: OsString) -> Result<String, Failure> {
    given.string().map_err(usage)
}

fn wrong(message: impl Into<String>) -> Failure {
    Failure::Usage(message.into())
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
            beside: Some(Source::File("c.json".into())),
            svg: Some("b.svg".into()),
        };
        let other = "--beside=c.json";
        assert_eq!(parsed(&["window", "a.json", "--coarse", other, "--svg", "b.svg"]).as_ref(), Ok(&wanted));
        assert_eq!(parsed(&["window", "--svg=b.svg", other, "--coarse", "a.json"]).as_ref(), Ok(&wanted));
        assert_eq!(parsed(&["report", "-"]), Ok(Command::Report(Source::Stdin)));
        let wanted = Command::Hold { source: Source::Stdin, csv: true };
        assert_eq!(parsed(&["hold", "--csv", "-"]), Ok(wanted));
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
            &["window", "-", "--beside", "-"],
            &["moments"],
            &["moments", "a", "--coarse"],
            &["hold", "a", "b"],
            &["report", "a", "--csv"],
            &["demo", "hinge", "--list"],
            &["parameters", "x"],
            &["open"],
            &["--loud"],
            &["recipe"],
            &["recipe", "a", "--example", "hinge"],
            &["recipe", "--list", "--feedstock"],
            &["recipe", "--list", "--example", "hinge"],
            &["fit"],
            &["fit", "a", "--law", "newton"],
            &["fit", "a", "--law", "power_law", "--free-a2"],
            &["fit", "a", "--apply", "b"],
            &["fit", "a", "--loading", "58"],
            &["fit", "a", "--scenario", "b", "--loading", "0.58x"],
            &["fit", "a", "--scenario", "b", "--loading", "90"],
            &["fit", "a", "--d2", "9999"],
            &["fit", "a", "--law", "power_law", "--transition", "2"],
            &["fit", "-", "--scenario", "-"],
            &["critical"],
            &["critical", "a", "--exponent", "two"],
            &["critical", "a", "--exponent", "nan"],
            &["critical", "a", "--powder-density", "7.9"],
        ] {
            assert!(matches!(parsed(args), Err(Failure::Usage(_))), "{args:?}");
        }
    }
}
