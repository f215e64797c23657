//! The parameter catalogue as tables for the documentation.

use gatefrost_core::catalogue::{self, Parameter};

/// One table for each group, under the group's path.
pub(crate) fn markdown() -> String {
    let all: Vec<&Parameter> = catalogue::all().collect();
    let groups = all.chunk_by(|a, b| a.group == b.group);
    groups.map(group).collect::<Vec<_>>().join("\n\n")
}

fn group(parameters: &[&Parameter]) -> String {
    let path = parameters.first().map_or("", |p| p.group);
    let mut lines = vec![
        format!("#### `{path}`"),
        String::new(),
        "| field | symbol | accepted | default | what it is | source | link |".to_owned(),
        "|---|---|---|---|---|---|---|".to_owned(),
    ];
    lines.extend(parameters.iter().map(|p| row(p)));
    lines.join("\n")
}

fn row(p: &Parameter) -> String {
    let whole = if p.whole { ", whole" } else { "" };
    let cells = [
        format!("`{}`", p.field),
        p.symbol.to_owned(),
        format!("{}{whole}", range(p)),
        p.default.map_or_else(|| "none".to_owned(), plain),
        format!("{}. {}", p.title, p.help),
        p.source.to_owned(),
        format!("`{}`", p.link),
    ];
    format!("| {} |", cells.map(|cell| escaped(&cell)).join(" | "))
}

fn range(p: &Parameter) -> String {
    let unit = if p.unit.is_empty() { String::new() } else { format!(" {}", p.unit) };
    format!("{} to {}{unit}", plain(p.min), plain(p.max))
}

/// A number in full, not rounded, as it would stand in a scenario.
fn plain(value: f64) -> String {
    let magnitude = value.abs();
    if magnitude == 0.0 || (1e-4..1e7).contains(&magnitude) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// What Markdown would take for the end of a cell or for emphasis.
fn escaped(cell: &str) -> String {
    if cell.starts_with('`') {
        cell.to_owned()
    } else {
        cell.replace('|', "\\|").replace('*', "\\*").replace('_', "\\_")
    }
}
