//! The command line: what may be asked, in which words.

use crate::failure::Failure;
use crate::input::Source;
use crate::output::harmless;
use clap::builder::{PossibleValuesParser, TypedValueParser, ValueParser};
use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand};
use clap_complete::Shell;
use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::scenario::{Family, FlowLawKind, LoadingScaling};
use gatefrost_laboratory::critical::{CriticalOptions, DensityOptions, ResistanceOptions};
use gatefrost_laboratory::rheometry::fit::FitOptions;
use std::ffi::OsString;
use std::path::PathBuf;

/// The processing window of a powder injection moulded part: filling, packing, gate freeze and limits.
#[derive(Debug, Parser)]
#[command(
    name = "gatefrost",
    version,
    disable_help_subcommand = true,
    after_help = "\
FILE is a document; - reads standard input. Results go to standard output, messages to standard error.

Examples:
  gatefrost demo > hinge.json
  gatefrost report hinge.json
  gatefrost window hinge.json --svg hinge.svg > hinge-window.json
  gatefrost demo guide | gatefrost link -

Exit code 0: done. 1: bad input, with one line on standard error for each problem. 2: wrong call."
)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

/// A command with everything it needs.
#[derive(Debug, PartialEq, Subcommand)]
pub(crate) enum Command {
    /// Print a worked demo as a scenario.
    #[command(after_help = "Examples:\n  gatefrost demo --list\n  gatefrost demo guide > guide.json")]
    Demo {
        /// Short name of the demo; the first one unless given.
        name: Option<String>,
        /// List the demos by short name and title.
        #[arg(long, conflicts_with = "name")]
        list: bool,
    },
    /// Print a scenario with a usual part.
    #[command(
        after_help = "Examples:\n  gatefrost start --list\n  gatefrost start ring --sizes 2.5,30 --gate fan > ring.json\n  gatefrost start bar --cavities 4 > bars.json"
    )]
    Start {
        /// The part: bar, plate, ring …
        #[arg(required_unless_present = "list")]
        name: Option<String>,
        /// Its sizes in mm, in the order of the list; those left out keep the listed value.
        #[arg(long, value_name = "A,B,…", conflicts_with = "list")]
        sizes: Option<String>,
        /// Another gate than the usual one.
        #[arg(long, value_name = "FORM", conflicts_with = "list")]
        gate: Option<String>,
        /// Take the usual numbers of a family of binders: wax_polyolefin, polyacetal, water_soluble or wax_low_pressure.
        #[arg(long, value_name = "FAMILY", value_parser = family(), conflicts_with = "list")]
        family: Option<Family>,
        /// Cavities on a balanced runner: 1, 2, 4 or 8.
        #[arg(long, value_name = "N", default_value = "1", value_parser = cavities(), conflicts_with = "list")]
        cavities: u32,
        /// List the parts with their sizes, and the gates.
        #[arg(long, conflicts_with = "name")]
        list: bool,
    },
    /// Evaluate a scenario and print the report as JSON.
    #[command(
        after_help = "Examples:\n  gatefrost report hinge.json\n  gatefrost report --lines study.jsonl > reports.jsonl"
    )]
    Report {
        #[command(flatten)]
        file: File,
        /// Read one scenario a line and print one report a line, in the same order, on all cores.
        ///
        /// A line that cannot be evaluated gives a line {"problems": […]} in its place, and exit code 1
        /// at the end. At most a few lines a core are held at a time.
        #[arg(long)]
        lines: bool,
    },
    /// Explain a result: its meaning, equation, estimate by hand, causes, and what moves it most.
    #[command(
        after_help = "Examples:\n  gatefrost explain hinge.json\n  gatefrost explain gate_freeze hinge.json\n  gatefrost demo | gatefrost explain nozzle_pressure -"
    )]
    Explain(ExplainCall),
    /// Follow one cycle moment by moment.
    #[command(after_help = "Example:\n  gatefrost moments hinge.json --csv > hinge-moments.csv")]
    Moments {
        #[command(flatten)]
        file: File,
        /// Print CSV, one row for each moment and cell, instead of JSON.
        #[arg(long)]
        csv: bool,
    },
    /// Compute part mass against hold time, and why each gate freezes when it does.
    #[command(after_help = "Example:\n  gatefrost hold hinge.json --csv > hinge-mass.csv")]
    Hold {
        #[command(flatten)]
        file: File,
        /// Print mass and shrinkage against hold time as CSV instead of JSON.
        #[arg(long)]
        csv: bool,
    },
    /// Compute the safety of the set point, and what would widen the window.
    ///
    /// Prints as JSON: the largest disturbance that it withstands, the safest set point nearby, the share of shots
    /// inside, what would widen the window or open a closed one, and the smallest gate, the highest loading and
    /// the largest number of cavities that meet every limit.
    #[command(after_help = "Example:\n  gatefrost safety hinge.json > hinge-safety.json")]
    Safety(File),
    /// Sweep one input: usable share of the plane and best reserve in it, for each of several values.
    ///
    /// The best reserve is the margin of the nearest limit at the place of the plane where that margin is greatest.
    #[command(
        after_help = "Example:\n  gatefrost sweep hinge.json --input cavity.wall_thickness --from 1.5 --to 3 --csv > walls.csv"
    )]
    Sweep(SweepCall),
    /// Exercises of the classroom: a student's own task, the key for a class, and slips judged in bulk.
    #[command(
        subcommand,
        after_help = "Examples:\n  gatefrost classroom list\n  gatefrost classroom task solvent --id s001 --solution\n  gatefrost classroom key ids.txt > key.csv\n  gatefrost classroom slips slips.txt > class.csv\n  gatefrost classroom own link exercise.json\n  gatefrost classroom own key exercise.json ids.txt > key.csv"
    )]
    Classroom(ClassroomCall),
    /// Trace the limits: print their lines as JSON and write the figure as SVG.
    ///
    /// Lines have bands where the feedstock's uncertainty is known.
    #[command(
        after_help = "Example:\n  gatefrost window hinge.json --beside guide.json --svg both.svg > both.json"
    )]
    Window {
        #[command(flatten)]
        file: File,
        /// Compute a coarse window, which is quicker.
        #[arg(long)]
        coarse: bool,
        /// Lay the usable region of another scenario over it, in the same plane.
        #[arg(long, value_name = "FILE2", value_parser = source())]
        beside: Option<Source>,
        /// Where to write the figure; beside FILE unless given, window.svg for standard input.
        #[arg(long, value_name = "OUT.svg")]
        svg: Option<PathBuf>,
    },
    /// Print a scenario as the text behind # in a link.
    #[command(after_help = "Example:\n  gatefrost demo guide | gatefrost link -")]
    Link(File),
    /// Print the scenario that a link opens.
    ///
    /// What cannot be read is left out and named on standard error, with exit code 1.
    #[command(after_help = "Example:\n  gatefrost open '#1;p=hinge;T=172' > warmer.json")]
    Open {
        /// A whole address, or the part of it behind #.
        #[arg(value_name = "LINK")]
        link: String,
    },
    /// Estimate a feedstock from a recipe: powder, binder parts and loading.
    #[command(
        after_help = "Examples:\n  gatefrost recipe --list\n  gatefrost recipe --example steel > recipe.json\n  gatefrost recipe recipe.json --feedstock"
    )]
    Recipe {
        /// The recipe; - reads standard input.
        #[arg(value_name = "FILE", value_parser = source(), required_unless_present_any = ["list", "example"])]
        file: Option<Source>,
        /// Print only the feedstock, to paste into a scenario.
        #[arg(long, conflicts_with_all = ["list", "example"])]
        feedstock: bool,
        /// Print an example recipe.
        #[arg(long, value_name = "NAME", conflicts_with_all = ["file", "list"])]
        example: Option<String>,
        /// List the powders, binder parts and examples of the library.
        #[arg(long, conflicts_with = "file")]
        list: bool,
    },
    /// Reduce capillary readings, fit the flow laws and rank them.
    #[command(
        after_help = "Examples:\n  gatefrost fit readings.csv\n  gatefrost fit readings.csv --scenario hinge.json --loading 58 --apply fitted.json"
    )]
    Fit(FitCall),
    /// Find the critical loading from density, torque or viscosity readings.
    #[command(after_help = "Example:\n  gatefrost critical loadings.csv --exponent free")]
    Critical(CriticalCall),
    /// Find melting peaks, melted and no-flow temperature from calorimetry (DSC) on heating and on cooling.
    #[command(
        after_help = "Example:\n  gatefrost dsc --heating heating.csv --cooling cooling.csv --rate 10 --of-feedstock --scenario hinge.json --apply set.json"
    )]
    Dsc(DscCall),
    /// Plan what follows the mould: debinding, sintering and the size of the cavity.
    ///
    /// Prints as JSON: the wall that governs debinding, each step with its time and its band, the fastest schedule of a
    /// furnace, the furnace run with its density, the cavity of each named dimension with Cp and Cpk, the scatter of a length
    /// by cause, and the weights to check.
    #[command(after_help = "Example:\n  gatefrost after hinge.json > hinge-after.json")]
    After(File),
    /// Plan the whole way: route, machine, mould, mixing, cost, and the sheet to work by.
    ///
    /// Prints as JSON: each route with reasons and numbers, the pressure along a compact, what the cycle asks of the machine
    /// and what would meet it, coolant and steel, vents, cores and pins, the batch and its temperatures, cost by cause with
    /// what is not counted, and the steps of the sheet.
    #[command(after_help = "Example:\n  gatefrost plan hinge.json > hinge-plan.json")]
    Plan(File),
    /// Fit the diffusivity of a debinding bath to weighings.
    #[command(
        after_help = "Example:\n  gatefrost mass-loss weighings.csv --scenario hinge.json --apply fitted.json\n\nColumns: temperature [°C], time [h], mass loss [%] of the green mass, and wall [mm] or rod [mm]."
    )]
    MassLoss(MassLossCall),
    /// Fit shrinkage and the factors of the directions to measured parts, and say what to cut next.
    #[command(
        after_help = "Example:\n  gatefrost shrinkage parts.csv --scenario hinge.json --apply fitted.json\n\nColumns: cavity [mm], green [mm], sintered [mm], along (0 or 1), upright (0 or 1)."
    )]
    Shrinkage(TrialCall),
    /// Fit the master sintering curve to densities of furnace runs.
    #[command(
        after_help = "Example:\n  gatefrost densities runs.csv --scenario hinge.json --apply fitted.json\n\nColumns: ramp [K/min], temperature [°C], hold [min], density [%]."
    )]
    Densities(TrialCall),
    /// Find the end of mixing from readings of a mixer's torque.
    #[command(
        after_help = "Examples:\n  gatefrost torque batch.csv\n  gatefrost torque batch.csv --change 0.5\n\nColumns: time [min], torque [N·m], in the order of time."
    )]
    Torque {
        /// The readings; - reads standard input.
        #[arg(value_name = "FILE.csv", value_parser = source())]
        source: Source,
        /// Change in a minute below which the torque has settled, in %; that of a new scenario unless given.
        #[arg(long, value_name = "PERCENT", value_parser = quantity("plan.torque_change"))]
        change: Option<f64>,
    },
    /// Calibrate the feedstock of a scenario on shots of the machine, predict other settings, propose the next shots.
    #[command(
        after_help = "Examples:\n  gatefrost calibrate hinge.json --log shots.csv --apply calibrated.json\n  gatefrost calibrate calibrated.json --predict settings.csv\n  gatefrost calibrate hinge.json --next 5\n\nColumns: shot, melt temperature [°C], steel temperature [°C] or coolant temperature [°C], injection time [s], hold pressure [MPa], hold time [s], second hold pressure [MPa], second hold time [s], cooling time [s], switch-over [%], pressure limit [MPa], repeats; read: peak pressure [MPa], switch-over pressure [MPa], cavity pressure [MPa], filled share [%], part mass [g], part temperature [°C], flash, sink (yes or no)."
    )]
    Calibrate(CalibrateCall),
    /// Print every number that a scenario can hold.
    Parameters,
    /// Print what a shell needs to complete commands and options.
    #[command(
        after_help = "Example:\n  gatefrost completions bash > ~/.local/share/bash-completion/completions/gatefrost"
    )]
    Completions {
        /// The shell.
        shell: Shell,
    },
    /// Print the manual page, or write that of every command.
    #[command(after_help = "Examples:\n  gatefrost manual | man -l -\n  gatefrost manual --folder man1")]
    Manual {
        /// Write a page for each command into this folder.
        #[arg(long, value_name = "FOLDER")]
        folder: Option<PathBuf>,
    },
}

/// The document to read.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct File {
    /// The scenario; - reads standard input.
    #[arg(value_name = "FILE", value_parser = source())]
    pub source: Source,
}

/// What `explain` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct ExplainCall {
    /// The result, by its path in the report or a part of its name, then the scenario; the scenario alone lists the
    /// results. - reads standard input.
    #[arg(value_names = ["NAME", "FILE"], num_args = 1..=2, required = true)]
    given: Vec<OsString>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

impl ExplainCall {
    /// The name of the result, if one is given, and the scenario.
    pub(crate) fn parts(&self) -> (Option<String>, Source) {
        let (file, name) = self.given.split_last().map_or((OsString::from("-"), None), |(file, name)| {
            (file.clone(), name.first().map(|name| name.to_string_lossy().into_owned()))
        });
        (name, Source::from(file))
    }
}

/// What `classroom` takes.
#[derive(Debug, PartialEq, Subcommand)]
pub(crate) enum ClassroomCall {
    /// List the exercises as JSON: name, version, level, title, aim, number of answers.
    List,
    /// Print the task of a student as JSON: data, what is asked for, hints.
    Task {
        /// Name of the exercise, as the list has it.
        name: String,
        /// Name or number of the student, from which the numbers follow.
        #[arg(long, value_name = "ID")]
        id: String,
        /// Print the solution with the student's numbers instead.
        #[arg(long)]
        solution: bool,
    },
    /// Print the key for a list of students as CSV.
    Key {
        /// A text with one id a line.
        #[arg(value_name = "IDS")]
        ids: OsString,
        /// One exercise instead of all.
        #[arg(long, value_name = "NAME")]
        exercise: Option<String>,
    },
    /// Judge the slips in a text, and print the class as CSV.
    Slips {
        /// A text with slips, such as mails pasted together.
        #[arg(value_name = "TEXT")]
        text: OsString,
        /// Print JSON instead: the slips, what often went wrong, and lines that could not be read.
        #[arg(long)]
        json: bool,
    },
    /// An exercise of your own, made from a scenario. EXERCISE is its file, - for standard input, or its link.
    #[command(subcommand)]
    Own(OwnCall),
}

/// What `classroom own` takes.
#[derive(Debug, PartialEq, Subcommand)]
pub(crate) enum OwnCall {
    /// Print the inputs and results of a scenario that an exercise can have, as JSON.
    Choices(File),
    /// Check an exercise, and print what each answer comes to at the ends of the ranges that are drawn from.
    Check {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
    },
    /// Print the part of an exercise's link behind #.
    Link {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
    },
    /// Print the document of an exercise, to be kept as a file.
    Open {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
    },
    /// Print what a student sees, as JSON.
    Task {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
        /// Name or number of the student, from which the numbers follow.
        #[arg(long, value_name = "ID")]
        id: String,
        /// Print the answers of the solver instead.
        #[arg(long)]
        solution: bool,
    },
    /// Print the key for a list of students as CSV.
    Key {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
        /// A text with one id a line.
        #[arg(value_name = "IDS")]
        ids: OsString,
    },
    /// Judge the slips in a text, and print the class as CSV.
    Slips {
        /// The exercise.
        #[arg(value_name = "EXERCISE")]
        exercise: OsString,
        /// A text with slips, such as mails pasted together.
        #[arg(value_name = "TEXT")]
        text: OsString,
        /// Print JSON instead: the slips, what often went wrong, and lines that could not be read.
        #[arg(long)]
        json: bool,
    },
}

/// What `sweep` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct SweepCall {
    #[command(flatten)]
    pub file: File,
    /// The input: path of a number of the scenario, cavity.wall_thickness, cavity.gate_depth or setup.flow_rate.
    #[arg(long, value_name = "PATH")]
    pub input: String,
    /// The first value.
    #[arg(long, value_name = "A", allow_hyphen_values = true)]
    pub from: f64,
    /// The last value, greater than the first.
    #[arg(long, value_name = "B", allow_hyphen_values = true)]
    pub to: f64,
    /// How many values.
    #[arg(long, value_name = "N", default_value_t = 9, value_parser = clap::value_parser!(u16).range(2..=99))]
    pub steps: u16,
    /// With few places and a coarse model, as while dragging on the page.
    #[arg(long)]
    pub coarse: bool,
    /// Print CSV instead of JSON.
    #[arg(long)]
    pub csv: bool,
    /// Write the curves as SVG.
    #[arg(long, value_name = "FILE.svg")]
    pub svg: Option<PathBuf>,
}

/// What `fit` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct FitCall {
    /// The readings; - reads standard input.
    #[arg(value_name = "FILE.csv", value_parser = source())]
    pub source: Source,
    /// Fit only one law.
    #[arg(long, value_name = "LAW", value_parser = law())]
    pub law: Option<FlowLawKind>,
    /// Fit the Cross law's A2, too.
    #[arg(long)]
    free_a2: bool,
    /// Reference temperature D2 of the Cross law, in °C.
    #[arg(long, value_name = "T", value_parser = quantity("feedstock.flow_law.cross_wlf.d2"), allow_hyphen_values = true)]
    d2: Option<f64>,
    /// Hold the breadth of the Carreau–Yasuda transition at this value; 2 is Carreau's law.
    #[arg(long, value_name = "A", value_parser = quantity("feedstock.flow_law.carreau_yasuda.transition"))]
    transition: Option<f64>,
    /// Warn where the part of this scenario leaves the range of the readings.
    #[arg(long, value_name = "FILE", value_parser = source())]
    pub scenario: Option<Source>,
    /// Loading of the measured feedstock, in vol%; the scenario's measured_loading unless given.
    #[arg(long, value_name = "PHI", value_parser = quantity("feedstock.measured_loading"), requires = "scenario")]
    pub loading: Option<f64>,
    /// Write that scenario with the best law in it.
    #[arg(long, value_name = "OUT.json", requires = "scenario")]
    pub apply: Option<PathBuf>,
}

impl FitCall {
    /// How to fit.
    pub(crate) fn options(&self) -> FitOptions {
        let customary = FitOptions::default();
        FitOptions { d2: self.d2.unwrap_or(customary.d2), free_a2: self.free_a2, transition: self.transition }
    }

    /// An option that the chosen law has no use for.
    fn idle_option(&self) -> Option<String> {
        let options = [
            ("--free-a2", self.free_a2, FlowLawKind::CrossWlf),
            ("--d2", self.d2.is_some(), FlowLawKind::CrossWlf),
            ("--transition", self.transition.is_some(), FlowLawKind::CarreauYasuda),
        ];
        let idle =
            |&(_, given, of): &(&str, bool, FlowLawKind)| given && self.law.is_some_and(|law| law != of);
        let (option, _, of) = options.into_iter().find(idle)?;
        Some(format!("{option} concerns the {} law only", of.label()))
    }
}

/// What `dsc` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct DscCall {
    /// The table on heating; - reads standard input.
    #[arg(long, value_name = "FILE.csv", value_parser = source(), required_unless_present = "cooling")]
    pub heating: Option<Source>,
    /// The table on cooling; - reads standard input.
    #[arg(long, value_name = "FILE.csv", value_parser = source())]
    pub cooling: Option<Source>,
    /// Rate of heating and cooling, in K/min; needed where the tables hold a heat flow.
    #[arg(long, value_name = "K/MIN", allow_hyphen_values = true)]
    pub rate: Option<f64>,
    /// Mass of the sample, in mg; needed where the tables hold a heat flow in mW.
    #[arg(long, value_name = "MG", allow_hyphen_values = true)]
    pub mass: Option<f64>,
    /// The sample was feedstock; else it was binder alone.
    #[arg(long)]
    pub of_feedstock: bool,
    /// The scenario whose feedstock was measured.
    #[arg(long, value_name = "FILE", value_parser = source())]
    pub scenario: Option<Source>,
    /// Write that scenario with what was found.
    #[arg(long, value_name = "OUT.json", requires = "scenario")]
    pub apply: Option<PathBuf>,
}

/// What the fits of readings after the mould take.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct TrialCall {
    /// The readings; - reads standard input.
    #[arg(value_name = "FILE.csv", value_parser = source())]
    pub source: Source,
    /// The scenario that the readings belong to.
    #[arg(long, value_name = "FILE", value_parser = source())]
    pub scenario: Source,
    /// Write that scenario with the fit in it.
    #[arg(long, value_name = "OUT.json")]
    pub apply: Option<PathBuf>,
}

/// What `calibrate` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct CalibrateCall {
    /// The scenario; - reads standard input.
    #[arg(value_name = "FILE", value_parser = source())]
    pub source: Source,
    /// Add these shots to the log of the scenario.
    #[arg(long, value_name = "LOG.csv", value_parser = source())]
    pub log: Option<Source>,
    /// Date that is told with the feedstock; today unless given.
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// Only say whether the new readings fit the feedstock as it is.
    #[arg(long, conflicts_with_all = ["apply", "feedstock", "predict", "next"])]
    pub check: bool,
    /// Predict what these settings will read.
    #[arg(long, value_name = "SETTINGS.csv", value_parser = source())]
    pub predict: Option<Source>,
    /// Propose so many shots, 1 to 5.
    #[arg(long, value_name = "N", value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=5))]
    pub next: Option<usize>,
    /// The proposed shots are to narrow the mass, and so the size, of the part instead of the limits.
    #[arg(long, requires = "next")]
    pub size: bool,
    /// Write the scenario with the calibrated feedstock.
    #[arg(long, value_name = "OUT.json")]
    pub apply: Option<PathBuf>,
    /// Write the calibrated feedstock by itself.
    #[arg(long, value_name = "OUT.json")]
    pub feedstock: Option<PathBuf>,
}

/// What `mass-loss` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct MassLossCall {
    #[command(flatten)]
    pub trial: TrialCall,
    /// The step of debinding that the weighings belong to, counted from 1; the first bath unless given.
    #[arg(long, value_name = "N")]
    pub step: Option<usize>,
}

/// What `critical` takes.
#[derive(Debug, PartialEq, Args)]
pub(crate) struct CriticalCall {
    /// The readings; - reads standard input.
    #[arg(value_name = "FILE.csv", value_parser = source())]
    pub source: Source,
    /// Exponent of the divergence, or free; 2 unless given.
    #[arg(long, value_name = "M", value_parser = exponent)]
    exponent: Option<Exponent>,
    /// Standard error of the exponent; 0.4 unless given, 0 holds it.
    #[arg(long, value_name = "S", value_parser = exponent_error)]
    exponent_error: Option<f64>,
    /// Flow exponent of the feedstock at the shear rate of the readings; 1 unless given.
    #[arg(long, value_name = "N", value_parser = quantity("feedstock.flow_law.power_law.n"))]
    flow_exponent: Option<f64>,
    /// What a higher relative viscosity means in a melt that thins; homogenised unless given.
    #[arg(long, value_name = "CONVENTION", value_parser = loading_scaling())]
    loading_scaling: Option<LoadingScaling>,
    /// Density of the powder where it is known, in kg/m³.
    #[arg(long, value_name = "RHO", value_parser = quantity("feedstock.powder_density"))]
    powder_density: Option<f64>,
    /// Density of the binder where it is known, in kg/m³.
    #[arg(long, value_name = "RHO", value_parser = quantity("feedstock.binder_density"))]
    binder_density: Option<f64>,
}

impl CriticalCall {
    /// How to look for the critical loading.
    pub(crate) fn options(&self) -> CriticalOptions {
        let customary = ResistanceOptions::default();
        CriticalOptions {
            density: DensityOptions {
                powder_density: self.powder_density,
                binder_density: self.binder_density,
            },
            resistance: ResistanceOptions {
                exponent: match self.exponent {
                    None => customary.exponent,
                    Some(Exponent::Free) => None,
                    Some(Exponent::Of(value)) => Some(value),
                },
                exponent_error: self.exponent_error.unwrap_or(customary.exponent_error),
                flow_exponent: self.flow_exponent.unwrap_or(customary.flow_exponent),
                loading_scaling: self.loading_scaling.unwrap_or_default(),
            },
        }
    }
}

/// Exponent of the divergence of viscosity at the critical loading.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Exponent {
    Free,
    Of(f64),
}

fn exponent(text: &str) -> Result<Exponent, String> {
    if text == "free" {
        return Ok(Exponent::Free);
    }
    let value = quantity_of("feedstock.loading_exponent", text);
    value.map(Exponent::Of).map_err(|accepted| format!("{accepted}, or free"))
}

fn exponent_error(text: &str) -> Result<f64, String> {
    let value = text.trim().parse().ok().filter(|error| (0.0..=2.0).contains(error));
    value.ok_or_else(|| "accepted is a number, 0 to 2".to_owned())
}

/// A number that a scenario holds, too, within its range there.
fn quantity(path: &'static str) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync {
    move |text| quantity_of(path, text)
}

fn quantity_of(path: &str, text: &str) -> Result<f64, String> {
    let parameter = catalogue::at(path);
    let accepted = parameter.map_or_else(|| "a number".to_owned(), Parameter::accepted);
    let value = text.trim().parse().ok().filter(|value| parameter.is_none_or(|p| p.accepts(*value)));
    value.ok_or_else(|| format!("accepted is {accepted}"))
}

fn source() -> ValueParser {
    ValueParser::from(clap::builder::OsStringValueParser::new().map(Source::from))
}

fn family() -> impl TypedValueParser<Value = Family> {
    let names = Family::ALL.iter().map(|family| family.name());
    PossibleValuesParser::new(names).try_map(|given| Family::named(&given).ok_or("there is no such family"))
}

fn cavities() -> impl TypedValueParser<Value = u32> {
    PossibleValuesParser::new(["1", "2", "4", "8"]).try_map(|given| given.parse::<u32>())
}

fn law() -> impl TypedValueParser<Value = FlowLawKind> {
    let names = FlowLawKind::ALL.iter().map(|kind| kind.name());
    PossibleValuesParser::new(names).try_map(|given| FlowLawKind::named(&given).ok_or("there is no such law"))
}

fn loading_scaling() -> impl TypedValueParser<Value = LoadingScaling> {
    PossibleValuesParser::new(["homogenised", "equal_stress", "equal_rate"]).map(|given| {
        match given.as_str() {
            "equal_stress" => LoadingScaling::EqualStress,
            "equal_rate" => LoadingScaling::EqualRate,
            _ => LoadingScaling::Homogenised,
        }
    })
}

/// The command line as clap knows it, for completion and manual pages.
pub(crate) fn grammar() -> clap::Command {
    CommandLine::command()
}

/// Reads the command line.
///
/// # Errors
/// [`Failure::Usage`] with what is wrong, [`Failure::Shown`] with the text that was asked for.
pub(crate) fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Command, Failure> {
    let CommandLine { command } = CommandLine::try_parse_from(args).map_err(said)?;
    let wrong = |message: &str| Err(said(grammar().error(ErrorKind::ArgumentConflict, message)));
    match &command {
        Command::Window { file: File { source: Source::Stdin }, beside: Some(Source::Stdin), .. } => {
            wrong("the two scenarios cannot both come from standard input")
        }
        Command::Fit(FitCall { source: Source::Stdin, scenario: Some(Source::Stdin), .. }) => {
            wrong("readings and scenario cannot both come from standard input")
        }
        Command::MassLoss(MassLossCall { trial: call, .. })
        | Command::Shrinkage(call)
        | Command::Densities(call)
            if matches!((&call.source, &call.scenario), (Source::Stdin, Source::Stdin)) =>
        {
            wrong("readings and scenario cannot both come from standard input")
        }
        Command::Calibrate(call)
            if [Some(&call.source), call.log.as_ref(), call.predict.as_ref()]
                .iter()
                .filter(|source| matches!(source, Some(Source::Stdin)))
                .count()
                > 1 =>
        {
            wrong("only one file can come from standard input")
        }
        Command::Dsc(DscCall { heating: Some(Source::Stdin), cooling: Some(Source::Stdin), .. }) => {
            wrong("the two tables cannot both come from standard input")
        }
        Command::Fit(fit) => match fit.idle_option() {
            Some(message) => wrong(&message),
            None => Ok(command),
        },
        _ => Ok(command),
    }
}

fn said(error: clap::Error) -> Failure {
    let text: String =
        error.render().to_string().chars().map(|c| if c == '\n' { c } else { harmless(c) }).collect();
    if error.use_stderr() { Failure::Usage(text) } else { Failure::Shown(text) }
}

#[cfg(test)]
#[path = "args_tests.rs"]
mod tests;
