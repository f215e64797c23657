//! From powder, binder and readings to a feedstock: recipes, fits, critical loading.

use crate::args::FitCall;
use crate::failure::Failure;
use crate::input::Source;
use crate::output::{complain, json, print};
use gatefrost_core::format::{number, quoted};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_core::uncertainty::Uncertainty;
use gatefrost_laboratory::critical::{
    self, CriticalEstimate, CriticalOptions, DensityFit, Peak, ResistanceFit,
};
use gatefrost_laboratory::recipe::{EXAMPLES, library};
use gatefrost_laboratory::rheometry::fit::{
    self as fitting, DataRange, Fit, Ranking, Refusal, coverage_warnings,
};
use gatefrost_laboratory::rheometry::{self, Reduction, WallFlow};
use gatefrost_report::{PartSpan, Report, evaluate};
use serde::Serialize;
use std::path::Path;

/// Estimates a feedstock.
pub(crate) fn estimate(source: &Source, feedstock: bool) -> Result<(), Failure> {
    let estimate = source.recipe()?.estimate().map_err(|e| Failure::scenario(&source.name(), &e))?;
    if feedstock {
        estimate.remarks.iter().for_each(|remark| complain(remark));
        return print(&json(&estimate.feedstock)?);
    }
    print(&json(&estimate)?)?;
    if estimate.batch_refused.is_empty() {
        return Ok(());
    }
    let refused = ScenarioError { problems: estimate.batch_refused };
    Err(Failure::scenario(&source.name(), &refused))
}

/// Prints an example recipe.
pub(crate) fn example(name: &str) -> Result<(), Failure> {
    match EXAMPLES.iter().find(|e| e.name == name) {
        Some(found) => print(&found.recipe().to_json()),
        None => {
            let names: Vec<&str> = EXAMPLES.iter().map(|e| e.name).collect();
            let message =
                format!("recipe: {} is not an example; there are {}", quoted(name), names.join(", "));
            Err(Failure::Bad(vec![message]))
        }
    }
}

/// The library as text: key, name and what tells one row from another.
pub(crate) fn library() -> String {
    let powders = library::powders().iter().map(|p| {
        let figures = format!(
            "{} kg/m³, critical loading {} vol%",
            number(p.density.value, 4),
            number(p.critical_loading.value, 3)
        );
        (p.key.as_str(), p.name.as_str(), figures)
    });
    let parts = library::binders().iter().map(|b| {
        let figures = format!(
            "{} kg/m³, melts at {} to {} °C",
            number(b.density_room.value, 4),
            number(b.melting_from.value, 3),
            number(b.melting_to.value, 3)
        );
        (b.key.as_str(), b.name.as_str(), figures)
    });
    let examples = EXAMPLES.iter().map(|e| (e.name, e.recipe().title()));
    let examples: Vec<String> = examples.map(|(key, name)| format!("  {key}  {name}")).collect();
    format!(
        "powders\n{}\n\nbinder parts\n{}\n\nexamples\n{}",
        rows(powders.collect()),
        rows(parts.collect()),
        examples.join("\n")
    )
}

fn rows(rows: Vec<(&str, &str, String)>) -> String {
    let wide = |text: &str| text.chars().count();
    let key = rows.iter().map(|r| wide(r.0)).max().unwrap_or(0);
    let name = rows.iter().map(|r| wide(r.1)).max().unwrap_or(0);
    let lines: Vec<String> = rows.iter().map(|(k, n, f)| format!("  {k:key$}  {n:name$}  {f}")).collect();
    lines.join("\n")
}

/// What `fit` prints.
#[derive(Serialize)]
struct FitDocument {
    /// How the table was understood.
    notes: Vec<String>,
    reduction: Reduction,
    fits: Vec<Fit>,
    refused: Vec<Refusal>,
    remarks: Vec<String>,
    /// Standard errors and correlation of the best law's constants, to draw from.
    #[serde(skip_serializing_if = "Option::is_none")]
    uncertainty: Option<Uncertainty>,
    #[serde(skip_serializing_if = "Option::is_none")]
    part: Option<PartCoverage>,
}

/// The part of a scenario against the readings.
#[derive(Serialize)]
struct PartCoverage {
    scenario: String,
    /// Least and greatest shear rate at the wall.
    shear_rate_1_s: [f64; 2],
    /// Coldest flow front and hottest melt.
    temperature_c: [f64; 2],
    warnings: Vec<String>,
    /// Which loading the law is taken to belong to.
    loading: String,
}

/// Reduces readings, fits and ranks.
pub(crate) fn fit(call: &FitCall) -> Result<(), Failure> {
    let name = call.source.name();
    let scenario = call.scenario.as_ref().map(Source::scenario).transpose()?;
    if let Some(out) = &call.apply {
        let inputs = [Some(&call.source), call.scenario.as_ref()];
        if inputs.into_iter().flatten().filter_map(Source::path).any(|path| same_file(path, out)) {
            return Err(Failure::Usage(format!("{}: an input would be overwritten", out.display())));
        }
    }
    let table = rheometry::read(&call.source.table()?).map_err(|e| Failure::table(&name, &e))?;
    let reduction = rheometry::reduce(&table.readings);
    let ranking = match call.law {
        None => fitting::rank(&reduction.points, &call.options()),
        Some(law) => {
            let (mut fits, mut refused) = (Vec::new(), Vec::new());
            match fitting::fit(&reduction.points, law, &call.options()) {
                Ok(fit) => fits.push(fit),
                Err(refusal) => refused.push(refusal),
            }
            Ranking { fits, best: None, refused, remarks: Vec::new() }
        }
    };
    let applied = match (&scenario, ranking.fits.first()) {
        (Some(scenario), Some(best)) => Some(applied(scenario, best, &reduction.wall_flow, call)?),
        _ => None,
    };
    // A law that only stands first because none is offered as the best has to be asked for by name.
    let unasked = call.law.is_none() && ranking.fits.first().is_some_and(Fit::at_end);
    let part = applied.as_ref().map(|(report, scenario)| {
        coverage(report, loading_remark(scenario, call.loading), DataRange::of(&reduction.points))
    });
    if let (Some(out), Some((_, scenario)), false) = (&call.apply, &applied, unasked) {
        let text = scenario.to_json() + "\n";
        std::fs::write(out, text).map_err(|e| Failure::io(&out.display().to_string(), &e))?;
        complain(&format!("the scenario with the best law is in {}", out.display()));
    }
    let Ranking { fits, refused, remarks, .. } = ranking;
    let uncertainty =
        fits.first().map(|fit| gatefrost_laboratory::uncertainty::of_study(fit, &reduction.wall_flow));
    let document = FitDocument { notes: table.notes, reduction, fits, refused, remarks, uncertainty, part };
    print(&json(&document)?)?;
    let unwritten = call.apply.as_ref().map(|out| format!("{}: no scenario was written", out.display()));
    if document.fits.is_empty() {
        let reasons = document.refused.iter().map(|r| format!("{name}: {}: {}", r.kind.label(), r.reason));
        return Err(Failure::Bad(reasons.chain(unwritten).collect()));
    }
    match unwritten {
        Some(unwritten) if unasked => {
            let reasons = document.remarks.iter().map(|remark| format!("{name}: {remark}"));
            let hint = "name a law with --law to use it nevertheless";
            Err(Failure::Bad(reasons.chain([format!("{unwritten}; {hint}")]).collect()))
        }
        _ => Ok(()),
    }
}

/// The scenario with a fitted law, and its report.
fn applied(
    scenario: &Scenario,
    best: &Fit,
    wall_flow: &WallFlow,
    call: &FitCall,
) -> Result<(Report, Scenario), Failure> {
    let readings = &call.source;
    let mut scenario = scenario.clone();
    if let Some(loading) = call.loading {
        scenario.feedstock.measured_loading = loading;
    }
    scenario.feedstock.flow_law = best.law.clone();
    wall_flow.put(&mut scenario.feedstock);
    let known = scenario.feedstock.uncertainty.take();
    scenario.feedstock.uncertainty = Some(
        gatefrost_laboratory::uncertainty::of_study(best, wall_flow)
            .beside(known.as_ref(), "feedstock.flow_law."),
    );
    let file = readings.path().and_then(Path::file_name).map(|f| f.to_string_lossy().into_owned());
    let file: String = file.unwrap_or_else(|| readings.name()).chars().take(60).collect();
    scenario.feedstock.provenance =
        format!("{} fitted to {} points of {file}", best.kind.label(), best.points);
    let report = evaluate(&scenario).map_err(|e| Failure::scenario("scenario with the fitted law", &e))?;
    Ok((report, scenario))
}

/// Where the part asks for more than was measured.
fn coverage(report: &Report, loading: String, range: Option<DataRange>) -> PartCoverage {
    let span = PartSpan::of(&report.fill);
    PartCoverage {
        scenario: report.scenario.clone(),
        warnings: range.map_or_else(Vec::new, |range| coverage_warnings(&range, &span)),
        shear_rate_1_s: span.shear_rates,
        temperature_c: span.temperatures,
        loading,
    }
}

fn loading_remark(scenario: &Scenario, given: Option<f64>) -> String {
    let loading = number(scenario.feedstock.measured_loading, 4);
    match given {
        Some(_) => format!(
            "The law holds at {loading} vol%, as given, and is scaled from there to the {} vol% of the scenario.",
            number(scenario.feedstock.solids_loading, 4)
        ),
        None => format!(
            "The law is taken to hold at feedstock.measured_loading, {loading} vol%: give the loading of the readings with --loading."
        ),
    }
}

/// Whether two paths lead to one file, also by different names.
fn same_file(a: &Path, b: &Path) -> bool {
    a == b || a.canonicalize().ok().zip(b.canonicalize().ok()).is_some_and(|(a, b)| a == b)
}

/// What `critical` prints: a sign that could not be fitted is `null`, with the reason beside it.
#[derive(Serialize)]
struct CriticalDocument {
    notes: Vec<String>,
    critical_loading: Option<CriticalEstimate>,
    /// Where torque or viscosity stopped rising, if it did.
    peak: Option<Peak>,
    verdict: String,
    recommended_loading: Option<[f64; 2]>,
    reason: String,
    agree: Option<bool>,
    density: Option<DensityFit>,
    density_refused: Option<String>,
    resistance: Option<ResistanceFit>,
    resistance_refused: Option<String>,
}

/// Finds the critical loading.
pub(crate) fn critical(source: &Source, options: &CriticalOptions) -> Result<(), Failure> {
    let table = critical::read(&source.table()?).map_err(|e| Failure::table(&source.name(), &e))?;
    let found = critical::assess(&table, options);
    let (density, density_refused) = either(found.density);
    let (resistance, resistance_refused) = either(found.resistance);
    let document = CriticalDocument {
        notes: table.notes,
        critical_loading: found.critical,
        peak: found.peak,
        verdict: found.verdict,
        recommended_loading: found.recommended,
        reason: found.reason,
        agree: found.agree,
        density,
        density_refused,
        resistance,
        resistance_refused,
    };
    print(&json(&document)?)?;
    if document.critical_loading.is_none() {
        return Err(Failure::Bad(vec![format!("{}: {}", source.name(), document.verdict)]));
    }
    Ok(())
}

fn either<T>(found: Result<T, String>) -> (Option<T>, Option<String>) {
    match found {
        Ok(fit) => (Some(fit), None),
        Err(why) => (None, Some(why)),
    }
}
