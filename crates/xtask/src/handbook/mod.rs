//! The handbook: chapters in Markdown under `www/handbook/`, built into pages of the site and of the one file.
//!
//! A chapter is CommonMark with tables. `$…$` and `$$…$$` hold TeX and become MathML ([`math`]). A line
//! `{{…}}` of its own is a directive ([`directives`]): it puts in what is known elsewhere, so that no number,
//! limit or figure is written twice. The first line is the chapter's title. The pages need no script; the one
//! that they carry only asks for the service worker.

mod chapter;
mod directives;
mod layout;
mod limits;
mod links;
mod math;
mod numbers;
mod results;
#[cfg(test)]
mod tests;

use anyhow::{Context, Result, ensure};

use crate::files::{self, Files, text};
use crate::{page, styles, workspace};
use chapter::Chapter;

/// Where the chapters stand among the sources.
pub const FOLDER: &str = "handbook/";

/// The chapters, in their order, by the names of their files.
const CHAPTERS: [&str; 15] = [
    "index",
    "page",
    "laboratory",
    "calibration",
    "scenario",
    "model",
    "after",
    "plan",
    "classroom",
    "results",
    "limits",
    "numerics",
    "hosting",
    "commands",
    "CHANGELOG",
];

/// Takes the chapters out of the sources of the page, and puts the pages made of them in.
pub fn build(sources: &mut Files) -> Result<()> {
    let inside: Vec<String> = sources.keys().filter(|name| name.starts_with(FOLDER)).cloned().collect();
    let mut raw = Files::new();
    for name in inside {
        if let Some(bytes) = sources.remove(&name) {
            raw.insert(name[FOLDER.len()..].to_owned(), bytes);
        }
    }
    for (name, html) in pages(&raw)? {
        page::refuse_inline_style(&html).with_context(|| format!("{FOLDER}{name}"))?;
        sources.insert(format!("{FOLDER}{name}"), html.into_bytes());
    }
    Ok(())
}

/// The pages, by the names of their files in the folder.
fn pages(raw: &Files) -> Result<Vec<(String, String)>> {
    for name in raw.keys().filter_map(|name| name.strip_suffix(".md")) {
        ensure!(CHAPTERS.contains(&name), "www/{FOLDER}{name}.md is not in the list of chapters");
    }
    let read = |name: &&'static str| -> Result<Chapter> {
        let file = format!("{name}.md");
        let bytes = raw.get(&file).with_context(|| format!("www/{FOLDER}{file} is missing"))?;
        Chapter::read(name, text(bytes, &file)?, raw).with_context(|| format!("www/{FOLDER}{file}"))
    };
    let chapters: Vec<Chapter> = CHAPTERS.iter().map(read).collect::<Result<_>>()?;
    links::check(&chapters)?;
    let page = |place: usize| {
        let name = format!("{}.html", chapters[place].name);
        (name, layout::page(&chapters, place))
    };
    Ok((0..chapters.len()).map(page).collect())
}

/// Writes the chapters alone into `dist/handbook`, to be read while they are written: without the core, and so
/// within a second.
pub fn preview() -> Result<()> {
    let root = workspace::root()?;
    let mut sources = files::read(&root.join("www"))?;
    styles::build(&mut sources)?;
    build(&mut sources)?;
    sources.retain(|name, _| name.starts_with(FOLDER) || name.ends_with(".css"));
    let folder = root.join("dist/handbook");
    files::replace(&folder, &sources)?;
    println!("the handbook is in {}", folder.join("handbook/index.html").display());
    Ok(())
}

/// A text as it stands in HTML, in an element or in a quoted attribute.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
