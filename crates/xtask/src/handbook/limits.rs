//! What the core says about its limits.

use anyhow::{Context, Result};
use gatefrost_core::limits::{Limit, about};
use gatefrost_scenario::catalogue::{self, Parameter};
use gatefrost_scenario::format::in_full;

use super::escaped;
use super::numbers::symbol;

/// The number that moves a limit.
fn threshold(limit: Limit) -> Option<&'static Parameter> {
    catalogue::at(limit.threshold())
}

fn shown(p: &Parameter) -> String {
    let unit = if p.unit.is_empty() { String::new() } else { format!(" {}", p.unit) };
    p.default.map_or_else(|| "none".to_owned(), |value| format!("{}{unit}", in_full(value)))
}

/// All limits: name, what moves it, its default, what it rests on.
pub fn table() -> String {
    let row = |limit: Limit| {
        let number = threshold(limit).map_or_else(String::new, |p| {
            format!(
                "<td><a href=\"scenario.html#{}\">{}</a> ({})</td><td>{}</td>",
                p.path(),
                escaped(p.title),
                symbol(p.symbol),
                shown(p)
            )
        });
        format!(
            "<tr><th scope=\"row\"><a href=\"#{}\">{}</a></th>{number}<td>{}</td></tr>",
            limit.name(),
            escaped(limit.label()),
            limit.ground().label()
        )
    };
    let rows: Vec<String> = Limit::ALL.into_iter().map(row).collect();
    let head = ["Limit", "Number that moves it", "Default", "Rests on"];
    let head: String = head.iter().map(|cell| format!("<th scope=\"col\">{cell}</th>")).collect();
    format!("<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{}\n</tbody>\n</table>", rows.join("\n"))
}

/// Text whose address of a publication, `doi …`, is a link.
fn linked(text: &str) -> String {
    let text = escaped(text);
    let Some((before, rest)) = text.split_once("doi ") else { return text };
    let end = rest.find([',', ')', ' ']).unwrap_or(rest.len());
    let (doi, after) = rest.split_at(end);
    format!("{before}doi <a href=\"https://doi.org/{doi}\">{doi}</a>{after}")
}

/// The heading of a limit and what the report says of it.
pub fn facts(wanted: &str) -> Result<String> {
    let limit = Limit::ALL
        .into_iter()
        .find(|&limit| limit.name() == wanted)
        .with_context(|| format!("{wanted:?} is no limit"))?;
    let said = about(limit);
    let unit = if said.unit.is_empty() { String::new() } else { format!(" [{}]", escaped(said.unit)) };
    let number = threshold(limit).context("the limit has no number")?;
    let new = match limit.since() {
        1 => String::new(),
        since => format!(" New since version {since} of the document."),
    };
    Ok(format!(
        "<h3 id=\"{wanted}\">{label} <a class=\"anchor\" href=\"#{wanted}\" aria-label=\"Link to: {label}\">#</a></h3>\n\
         <dl class=\"facts\">\n<dt>In the report</dt><dd>“{} …{unit}”</dd>\n<dt>Beyond it</dt><dd>{}.</dd>\n\
         <dt>What helps</dt><dd>{}</dd>\n\
         <dt>Rests on</dt><dd>{}: {}{new}</dd>\n\
         <dt>Number that moves it</dt><dd><a href=\"scenario.html#{}\">{}</a>, by default {}. Source: {}.</dd>\n</dl>",
        escaped(said.found),
        escaped(said.beyond),
        escaped(said.remedy),
        limit.ground().label(),
        linked(limit.why()),
        number.path(),
        escaped(number.title),
        shown(number),
        escaped(number.source),
        label = escaped(limit.label()),
    ))
}
