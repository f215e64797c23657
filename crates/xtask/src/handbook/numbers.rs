//! The parameter catalogue as tables.

use anyhow::{Result, ensure};
use gatefrost_scenario::catalogue::{self, Parameter};
use gatefrost_scenario::format::in_full;

use gatefrost_scenario::document;
use gatefrost_scenario::scenario::{Family, demo};

use super::escaped;

/// The table of one group of the catalogue. Each row carries the parameter's path as its anchor.
pub fn table(group: &str) -> Result<String> {
    let rows: Vec<String> = catalogue::all().filter(|p| p.group == group).map(row).collect();
    ensure!(!rows.is_empty(), "the catalogue has no group {group:?}");
    let head = ["Field", "Symbol", "Accepted", "Default", "What it is", "Source", "Link key"];
    let head: String = head.iter().map(|cell| format!("<th scope=\"col\">{cell}</th>")).collect();
    Ok(format!("<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{}\n</tbody>\n</table>", rows.join("\n")))
}

/// What is usual in each family of binders: a row for each number, a column for each family. What is taken to begin with
/// stands beside it where it is another.
pub fn families() -> String {
    let taken = Family::ALL.map(|family| {
        let mut scenario = demo::default_demo().scenario();
        family.take(&mut scenario);
        document::tree(&scenario).unwrap_or_default()
    });
    let cell = |text: String| format!("<td>{text}</td>");
    let heads = Family::ALL.map(|family| {
        format!("<th scope=\"col\"><code>{}</code>: {}</th>", family.name(), escaped(family.label()))
    });
    let rows: Vec<String> = Family::ALL[0]
        .usual()
        .filter_map(|(path, _)| Some((path, catalogue::at(path)?)))
        .map(|(path, p)| {
            let values = Family::ALL.map(|family| {
                let value = family.usual().find(|(of, _)| *of == path).map_or(f64::NAN, |(_, value)| value);
                let range = family.range(path).map_or_else(String::new, |[low, high]| {
                    format!(" ({} to {})", in_full(low), in_full(high))
                });
                let other = taken[family as usize].pointer(&format!("/{}", path.replace('.', "/")));
                let other = other.and_then(serde_json::Value::as_f64).filter(|other| *other != value);
                let other = other.map_or_else(String::new, |other| format!("<br>taken: {}", in_full(other)));
                cell(format!("{}{range}{other}", in_full(value)))
            });
            let unit = if p.unit.is_empty() { String::new() } else { format!(", {}", p.unit) };
            let title = escaped(p.title);
            format!("<tr><th scope=\"row\">{title}{unit}<br><code>{path}</code></th>{}</tr>", values.concat())
        })
        .collect();
    format!(
        "<table>\n<thead><tr><th scope=\"col\">Number</th>{}</tr></thead>\n<tbody>\n{}\n</tbody>\n</table>",
        heads.concat(),
        rows.join("\n")
    )
}

fn row(p: &Parameter) -> String {
    let unit = if p.unit.is_empty() { String::new() } else { format!(" {}", p.unit) };
    let whole = if p.whole { ", whole" } else { "" };
    let default = p.default.map_or_else(|| "none".to_owned(), |value| format!("{}{unit}", in_full(value)));
    format!(
        "<tr id=\"{}\"><th scope=\"row\"><code>{}</code></th><td>{}</td><td>{} to {}{unit}{whole}</td><td>{default}</td>\
         <td><strong>{}.</strong> {}</td><td>{}</td><td><code>{}</code></td></tr>",
        p.path(),
        p.field,
        symbol(p.symbol),
        in_full(p.min),
        in_full(p.max),
        escaped(p.title),
        escaped(p.help),
        escaped(p.source),
        p.link,
    )
}

/// A symbol with its index set low.
pub fn symbol(symbol: &str) -> String {
    let symbol = escaped(symbol);
    match symbol.split_once('_') {
        Some((letter, index)) => format!("<i>{letter}</i><sub>{index}</sub>"),
        None => format!("<i>{symbol}</i>"),
    }
}
