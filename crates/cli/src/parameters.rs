//! The parameter catalogue as tables for the documentation.

use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::format::in_full;

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
        p.default.map_or_else(|| "none".to_owned(), in_full),
        format!("{}. {}", p.title, p.help),
        p.source.to_owned(),
        format!("`{}`", p.link),
    ];
    format!("| {} |", cells.map(|cell| escaped(&cell)).join(" | "))
}

fn range(p: &Parameter) -> String {
    let unit = if p.unit.is_empty() { String::new() } else { format!(" {}", p.unit) };
    format!("{} to {}{unit}", in_full(p.min), in_full(p.max))
}

/// What Markdown would take for the end of a cell or for emphasis.
fn escaped(cell: &str) -> String {
    if cell.starts_with('`') {
        cell.to_owned()
    } else {
        cell.replace('|', "\\|").replace('*', "\\*").replace('_', "\\_")
    }
}
