//! What stands behind each result, with the numbers of the first demo.

use anyhow::{Context, Result, ensure};
use gatefrost_core::case::Case;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::demo;
use gatefrost_explain::{Entry, Facts, Planned, Stands, View, all};
use gatefrost_report::report_of;

use super::escaped;

/// The results whose path begins with a part of the report, or with `plan`.
pub fn of_part(part: &str) -> Result<String> {
    let scenario = demo::default_demo().scenario();
    let case = Case::resolve(&scenario);
    let point = case.evaluate();
    let report = report_of(&scenario, &point);
    let planned = Planned::of(&scenario).context("the first demo is valid")?;
    let facts = Facts { scenario: &scenario, point: &point, report: &report, planned: Some(&planned) };
    let entries = all().filter(|entry| entry.key.split('.').next() == Some(part));
    let sections: Vec<String> = entries.map(|entry| section(entry, &facts)).collect();
    ensure!(!sections.is_empty(), "no result is in the part {part:?} of the report");
    Ok(sections.join("\n"))
}

fn section(entry: &Entry, facts: &Facts<'_>) -> String {
    let (key, title) = (entry.key, escaped(entry.title));
    let place = if key.starts_with("plan.") { "In the plan" } else { "In the report" };
    let mut facts_told = vec![(place, format!("<code>{key}</code>"))];
    facts_told.push(("Solved", formula(entry.equation.mathml)));
    facts_told.push(("Letters", letters(entry)));
    facts_told.extend(example(entry, facts));
    if !entry.why.is_empty() {
        facts_told.push(("Why they differ", escaped(entry.why)));
    }
    facts_told.extend(entry.limit.map(|limit| ("Limit", limit_link(limit))));
    let (chapter, anchor) = entry.chapter;
    let more = format!("{}. <a href=\"{chapter}.html#{anchor}\">The model</a>.", escaped(entry.source));
    facts_told.push(("Source", more));
    let told: String =
        facts_told.iter().map(|(name, text)| format!("<dt>{name}</dt><dd>{text}</dd>\n")).collect();
    format!(
        "<h3 id=\"{key}\">{title} <a class=\"anchor\" href=\"#{key}\" aria-label=\"Link to: {title}\">#</a></h3>\n\
         <p>{}</p>\n<dl class=\"facts\">\n{told}</dl>",
        escaped(entry.meaning)
    )
}

/// The estimate by hand with the numbers of the demo, and the result beside it.
fn example(entry: &Entry, facts: &Facts<'_>) -> Vec<(&'static str, String)> {
    let view = View::default();
    let told = |value: f64| escaped(&view.told(value, entry.unit, entry.digits));
    if entry.count(&facts.results()) == 0 {
        return vec![("By hand", "The demo has none.".to_owned())];
    }
    let lines = match (entry.hand)(facts, 0) {
        Ok(lines) => lines,
        Err(reason) => return vec![("By hand", escaped(reason))],
    };
    let set =
        lines.iter().flat_map(|line| [formula(&line.mathml()), formula(&line.mathml_with_numbers(&view))]);
    let mut out = vec![("By hand", set.collect::<String>())];
    let bound = match entry.stands {
        Stands::Same => return out,
        Stands::Estimate => "",
        Stands::AtMost => " The estimate is an upper bound.",
        Stands::AtLeast => " The estimate is a lower bound.",
    };
    let estimate = lines.last().map_or_else(String::new, |line| told(line.value()));
    let value = (entry.value)(&facts.results(), 0).map_or_else(|| "none".to_owned(), told);
    out.push(("In the demo", format!("{estimate} by hand, {value} computed.{bound}")));
    out
}

/// What the letters of the equation are.
fn letters(entry: &Entry) -> String {
    let told = entry.equation.letters.iter().map(|l| format!("{} {}", l.mathml, escaped(l.words)));
    told.collect::<Vec<_>>().join("; ")
}

fn formula(mathml: &str) -> String {
    format!("<span class=\"formula\" tabindex=\"0\">{mathml}</span>")
}

fn limit_link(limit: Limit) -> String {
    format!("<a href=\"limits.html#{}\">{}</a>", limit.name(), escaped(limit.label()))
}
