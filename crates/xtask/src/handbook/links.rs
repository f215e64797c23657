//! Every link of the handbook leads somewhere.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::{Result, ensure};

use super::chapter::Chapter;
use crate::page::elements;

/// Pages outside of the handbook that chapters may link to.
const PAGES: [&str; 6] = [
    "../index.html",
    "../laboratory.html",
    "../calibration.html",
    "../after.html",
    "../plan.html",
    "../classroom.html",
];

/// Refuses a link to a page or an anchor that there is not, and an anchor that stands twice in a page.
pub fn check(chapters: &[Chapter]) -> Result<()> {
    let mut anchors: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for chapter in chapters {
        let inside = anchors.entry(format!("{}.html", chapter.name)).or_default();
        for id in attributes(&chapter.body, "id") {
            ensure!(inside.insert(id), "{}.md has the anchor #{id} twice", chapter.name);
        }
    }
    for chapter in chapters {
        let own = format!("{}.html", chapter.name);
        for address in attributes(&chapter.body, "href") {
            if address.starts_with("https://") || PAGES.contains(&address) {
                continue;
            }
            let (file, anchor) = address.split_once('#').map_or((address, None), |(f, a)| (f, Some(a)));
            let file = if file.is_empty() { &own } else { file };
            let there = anchors.get(file);
            let found = there.is_some_and(|ids| anchor.is_none_or(|anchor| ids.contains(anchor)));
            ensure!(found, "{}.md links to {address}, which does not exist", chapter.name);
        }
    }
    Ok(())
}

/// The values of an attribute in a piece of HTML.
pub fn attributes<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let start = format!(" {name}=\"");
    elements(html, &start, "\"").into_iter().map(|e| &e[start.len()..e.len() - 1]).collect()
}
