//! The commands.

use crate::args::{Command, File};
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{FIGURE, complain, json, print, tell};
use crate::progress::{Progress, side_by_side};
use crate::{
    after, calibrate, classroom, dsc, explain, laboratory, lines, manual, moments, planning, starts, sweep,
};
use gatefrost_core::catalogue;
use gatefrost_core::format::quoted;
use gatefrost_core::scenario::Difference;
use gatefrost_core::scenario::{demo, link};
use gatefrost_plot::{Figure, Over, Style, svg};
use gatefrost_report::evaluate;
use gatefrost_safety::{CHANGED, LASTING, opening, usable};
use gatefrost_window::{Bands, Beside, Detail, Window};
use serde::Serialize;
use std::path::PathBuf;

/// Does what the command line asks for.
pub(crate) fn run(command: Command) -> Result<(), Failure> {
    match command {
        Command::Demo { list: true, .. } => print(&demo_list()),
        Command::Demo { name, list: false } => print_demo(name.as_deref()),
        Command::Start { name: Some(name), sizes, gate, family, cavities, .. } => {
            starts::start(&name, sizes.as_deref(), gate.as_deref(), family, cavities)
        }
        Command::Start { name: None, .. } => print(&starts::list()),
        Command::Report { file: File { source }, lines: true } => lines::reports(&source),
        Command::Report { file: File { source }, lines: false } => report(&source),
        Command::Explain(call) => explain::explain(&call),
        Command::Moments { file: File { source }, csv: true } => moments::moments_csv(&source),
        Command::Moments { file: File { source }, csv: false } => moments::moments(&source),
        Command::Hold { file: File { source }, csv: true } => moments::hold_csv(&source),
        Command::Hold { file: File { source }, csv: false } => moments::hold(&source),
        Command::Safety(File { source }) => safety(&source),
        Command::Sweep(call) => sweep::sweep(&call),
        Command::Classroom(call) => classroom::run(&call),
        Command::Window { file: File { source }, coarse, beside, svg } => {
            let detail = if coarse { Detail::Coarse } else { Detail::Fine };
            trace(&source, detail, beside.as_ref(), svg)
        }
        Command::Link(File { source }) => print(&link::encode(&source.scenario()?)),
        Command::Open { link } => open(&link),
        Command::Recipe { list: true, .. } => print(&laboratory::library()),
        Command::Recipe { example: Some(name), .. } => laboratory::example(&name),
        Command::Recipe { file: Some(source), feedstock, .. } => laboratory::estimate(&source, feedstock),
        // The grammar asks for one of the three.
        Command::Recipe { .. } => Err(Failure::Usage("recipe needs a FILE".to_owned())),
        Command::Fit(call) => laboratory::fit(&call),
        Command::Critical(call) => laboratory::critical(&call.source, &call.options()),
        Command::Dsc(call) => dsc::dsc(&call),
        Command::After(File { source }) => after::after(&source),
        Command::Plan(File { source }) => planning::whole(&source),
        Command::MassLoss(call) => after::mass_loss(&call),
        Command::Shrinkage(call) => after::shrinkage(&call),
        Command::Densities(call) => after::densities(&call),
        Command::Torque { source, change } => planning::end_of_mixing(&source, change),
        Command::Calibrate(call) => calibrate::run(&call),
        Command::Parameters => print(&json(&catalogue::all().collect::<Vec<_>>())?),
        Command::Completions { shell } => manual::completions(shell),
        Command::Manual { folder: None } => manual::page(),
        Command::Manual { folder: Some(folder) } => manual::pages(&folder),
    }
}

fn print_demo(name: Option<&str>) -> Result<(), Failure> {
    let Some(name) = name else {
        return print(&demo::default_demo().scenario().to_json());
    };
    let Some(found) = demo::find(name) else {
        let names: Vec<&str> = demo::DEMOS.iter().map(|d| d.name).collect();
        return Err(Failure::Bad(vec![format!(
            "demo: {} is not a demo; there are {}",
            quoted(name),
            names.join(", ")
        )]));
    };
    print(&found.scenario().to_json())
}

fn demo_list() -> String {
    let width = demo::DEMOS.iter().map(|d| d.name.len()).max().unwrap_or(0);
    let line = |d: &demo::Demo| {
        let earlier = if d.earlier { "earlier: " } else { "" };
        format!("{:width$}  {earlier}{}", d.name, d.scenario().name)
    };
    demo::DEMOS.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn report(source: &Source) -> Result<(), Failure> {
    let report = evaluate(&source.scenario()?).map_err(|e| Failure::scenario(&source.name(), &e))?;
    print(&json(&report)?)
}

fn safety(source: &Source) -> Result<(), Failure> {
    let scenario = source.scenario()?;
    let here = usable(&scenario, 0);
    let (mut shares, mut openings) = (vec![here], Vec::new());
    if here == Some(0.0) {
        openings = side_by_side(CHANGED + 1, "windows", |change| opening(&scenario, change));
    } else if here.is_some() {
        shares.extend(side_by_side(LASTING, "windows", |change| usable(&scenario, change + 1)));
    }
    let openings = openings.into_iter().flatten().collect();
    let progress = Progress::waiting("set points, shots and answers");
    let found = gatefrost_safety::safety(&scenario, &shares, openings)
        .map_err(|e| Failure::scenario(&source.name(), &e))?;
    drop(progress);
    print(&json(&found)?)
}

/// What `window` prints: the window, and what lies over it where there is such a thing.
#[derive(Serialize)]
struct Traced {
    #[serde(flatten)]
    window: Window,
    #[serde(skip_serializing_if = "Option::is_none")]
    bands: Option<Bands>,
    #[serde(skip_serializing_if = "Option::is_none")]
    beside: Option<Beside>,
    /// What differs between the two scenarios.
    #[serde(skip_serializing_if = "Option::is_none")]
    differences: Option<Vec<Difference>>,
}

fn trace(
    source: &Source,
    detail: Detail,
    beside: Option<&Source>,
    out: Option<PathBuf>,
) -> Result<(), Failure> {
    let scenario = source.scenario()?;
    let other = beside.map(|beside| Ok((beside, beside.scenario()?))).transpose()?;
    let out = out.unwrap_or_else(|| source.figure());
    if [Some(source), beside].into_iter().flatten().any(|source| source.path() == Some(out.as_path())) {
        return Err(Failure::Usage(format!("{}: the SVG would overwrite the scenario", out.display())));
    }
    let failed = |e| Failure::scenario(&source.name(), &e);
    let surface = gatefrost_window::surface(&scenario, detail).map_err(failed)?;
    let uncertain = scenario.feedstock.uncertainty.as_ref().is_some_and(|u| !u.numbers.is_empty());
    let bands = uncertain
        .then(|| gatefrost_window::bands(&scenario, detail, &surface))
        .transpose()
        .map_err(failed)?;
    let there = other.as_ref().map(|(beside, other)| {
        gatefrost_window::beside(other, &scenario.window, detail)
            .map_err(|e| Failure::scenario(&beside.name(), &e))
    });
    let traced = Traced {
        window: gatefrost_window::told(&detail.scenario(&scenario), &surface),
        bands,
        beside: there.transpose()?,
        differences: other.map(|(_, other)| scenario.differences(&other)),
    };
    let figure = Figure::Window {
        window: &traced.window,
        set_point: traced.window.plane.place_of(&scenario),
        over: Over { bands: traced.bands.as_ref(), beside: traced.beside.as_ref(), ..Over::default() },
    };
    let style = Style { title: true, ..Style::default() };
    let figure = svg(&figure, FIGURE.0, FIGURE.1, &style)
        .map_err(|e| Failure::Bad(vec![format!("{}: {e}", out.display())]))?;
    std::fs::write(&out, figure).map_err(|e| Failure::io(&out.display().to_string(), &e))?;
    complain(&format!("the figure is in {}", out.display()));
    print(&json(&traced)?)
}

fn open(text: &str) -> Result<(), Failure> {
    // A whole address may be pasted; the scenario is what stands behind the #.
    let opened = link::decode(text.split_once('#').map_or(text, |(_, fragment)| fragment));
    let logged = opened.scenario.logged();
    if logged > opened.scenario.shots.len() {
        tell(&format!(
            "link: the trial log has {} shots; it is in the file of the scenario, not in the link",
            logged
        ));
    }
    if opened.problems.is_empty() {
        return print(&opened.scenario.to_json());
    }
    let mut problems = Failure::problems("link", &opened.problems);
    // A demo in the place of a link that cannot be read would be taken for what the sender meant.
    if opened.kept > 0 {
        print(&opened.scenario.to_json())?;
    }
    if let Failure::Bad(lines) = &mut problems {
        if opened.unlisted > 0 {
            lines.push(format!("link: {} more entries were left out", opened.unlisted));
        }
        if opened.kept == 0 {
            lines.push("link: nothing in it could be read".to_owned());
        } else if opened.only_demo {
            lines.push(format!(
                "link: only the name of its demo could be read; that demo, “{}”, is printed",
                opened.scenario.name
            ));
        }
    }
    Err(problems)
}
