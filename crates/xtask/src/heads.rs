//! The head of every page, and the way through the tool that each page but the handbook's begins with.
//!
//! **Contract with `www/`.** A page of `www` begins with what only it can say of itself:
//!
//! ```html
//! <!-- gatefrost:head
//! title: After the mould – Gatefrost
//! description: …
//! style: after
//! module: after
//! scripts: app/after/start app/window/ways-on
//! -->
//! ```
//!
//! - `style` is a style sheet at the top of `www/css`, `module` a WebAssembly module, `scripts` are imported in their order. All
//!   are needed.
//! - `<!-- gatefrost:way NAME -->` becomes the way from route to plan, from the page of that name.
//! - `<!-- gatefrost:notices -->` becomes the place of messages.

use anyhow::{Context, Result, bail, ensure};

use crate::page::{CSP_MARK, IMPORT_MAP_MARK};
use crate::{offline, styles};

/// Where a page of `www` says what stands in its head.
const HEAD_MARK: &str = "<!-- gatefrost:head\n";
/// Where the way through the tool goes: this, the page's name, and [`MARK_END`].
const WAY_MARK: &str = "<!-- gatefrost:way ";
/// Where messages go.
const NOTICES_MARK: &str = "<!-- gatefrost:notices -->";
/// The end of a mark.
const MARK_END: &str = " -->";

/// What only a page can say of its head.
#[derive(Default)]
pub struct Head<'a> {
    /// What stands in the tab.
    pub title: &'a str,
    /// What a search engine shows; empty for none.
    pub description: &'a str,
    /// Its style sheet beside the shared one.
    pub style: &'a str,
    /// Its WebAssembly module; empty for none.
    pub module: &'a str,
    /// The scripts that it begins with, by the names of the import map.
    pub scripts: Vec<&'a str>,
    /// The way to the top of the site.
    pub top: &'a str,
}

impl Head<'_> {
    /// The beginning of the page, to the start of its body.
    pub fn html(&self) -> String {
        let Self { title, description, style, module, scripts, top } = self;
        let description = match *description {
            "" => String::new(),
            words => format!("<meta name=\"description\" content=\"{words}\">\n"),
        };
        let module = if module.is_empty() { String::new() } else { format!(" {module}") };
        let scripts: Vec<String> = scripts.iter().map(|name| format!("import \"{name}\";")).collect();
        format!(
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{CSP_MARK}\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta name=\"color-scheme\" content=\"light dark\">\n{description}<title>{title}</title>\n{}\n\
             <link rel=\"stylesheet\" href=\"{top}css/shared.css\">\n\
             <link rel=\"stylesheet\" href=\"{top}css/{style}.css\">\n\
             {IMPORT_MAP_MARK}{module}{MARK_END}\n<script type=\"module\">{}</script>\n</head>\n<body>\n",
            styles::icon(),
            scripts.join(" ")
        )
    }
}

/// A page of `www` with its head, the way through the tool and the place of messages.
pub fn fill(page: &str) -> Result<String> {
    let told = page.strip_prefix(HEAD_MARK).with_context(|| format!("a page begins with {HEAD_MARK}"))?;
    let (told, body) = told.split_once("-->\n").context("the mark of the head has no end")?;
    let mut head = Head::default();
    for line in told.lines() {
        let (name, words) = line.split_once(": ").with_context(|| format!("{line}: a name, then words"))?;
        match name {
            "title" => head.title = words,
            "description" => head.description = words,
            "style" => head.style = words,
            "module" => head.module = words,
            "scripts" => head.scripts = words.split(' ').collect(),
            _ => bail!("a head has no {name}"),
        }
    }
    let said = [head.title, head.description, head.style, head.module];
    ensure!(!said.contains(&"") && !head.scripts.is_empty(), "a head lacks one of its lines");
    head.scripts.extend(["app/shared/jumps", offline::MODULE]);
    let (before, rest) = body.split_once(WAY_MARK).context("the page has no way through the tool")?;
    let (name, after) = rest.split_once(MARK_END).context("the mark of the way has no end")?;
    ensure!(after.contains(NOTICES_MARK), "the page has no place for messages");
    Ok(format!("{}{before}{}{}", head.html(), way(name)?, after.replacen(NOTICES_MARK, NOTICES, 1)))
}

const NOTICES: &str = "<div id=\"notices\" role=\"alert\"></div>\n\
    <noscript><p class=\"notice\">This page computes in your browser: it needs JavaScript and WebAssembly.</p></noscript>";

/// The steps from route to plan: name, page, words. The first and the last are stations of one page.
const STEPS: [[&str; 3]; 6] = [
    ["plan", "plan", "1 Route"],
    ["laboratory", "laboratory", "2 Feedstock"],
    ["window", "index", "3 Moulding"],
    ["calibration", "calibration", "4 Shots"],
    ["after", "after", "5 Sizes, furnace"],
    ["sheet", "plan", "6 Plan"],
];

/// The page beside the way: name, page, words.
const BESIDE: [&str; 3] = ["classroom", "classroom", "Classroom"];

/// The way from route to plan, from the page with the step of that name or from the one beside it.
fn way(here: &str) -> Result<String> {
    let page_of = |name: &str| STEPS.iter().chain([&BESIDE]).find(|step| step[0] == name).map(|step| step[1]);
    let here = page_of(here).with_context(|| format!("{here} is no step of the way"))?;
    let step = |[name, page, words]: [&str; 3]| match (page == here, name) {
        (true, "plan") => {
            format!("<button type=\"button\" class=\"quiet\" data-to=\"route\">{words}</button>")
        }
        (true, "sheet") => {
            format!("<button type=\"button\" class=\"quiet\" data-to=\"sheet\">{words}</button>")
        }
        (true, _) => format!("<span aria-current=\"page\">{words}</span>"),
        // Scripts and tests press these two.
        (false, "laboratory" | "after") => {
            format!("<a id=\"to-{name}\" class=\"way\" data-way=\"{name}\" href=\"{page}.html\">{words}</a>")
        }
        (false, _) => format!("<a class=\"way\" data-way=\"{name}\" href=\"{page}.html\">{words}</a>"),
    };
    let steps: String =
        STEPS.into_iter().chain([BESIDE]).map(|one| format!("    <li>{}</li>\n", step(one))).collect();
    Ok(format!(
        "<nav class=\"through\" aria-label=\"The way from route to plan\">\n  <ol>\n{steps}  </ol>\n</nav>"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "<!-- gatefrost:head\ntitle: T\ndescription: D\nstyle: s\nmodule: m\nscripts: app/a app/b\n-->\n\
        <p>one</p>\n<!-- gatefrost:way after -->\n<!-- gatefrost:notices -->\n<main></main>\n</body>\n</html>\n";

    #[test]
    fn a_page_gets_its_head_and_the_way_with_itself_in_it() {
        let page = fill(PAGE).unwrap();
        for wanted in [
            "<title>T</title>",
            "content=\"D\"",
            "href=\"css/s.css\"",
            "<!-- gatefrost:importmap m -->",
            "import \"app/a\"; import \"app/b\"; import \"app/shared/jumps\"; import \"app/shared/offline\";",
            "</head>\n<body>\n<p>one</p>\n<nav class=\"through\"",
            "<span aria-current=\"page\">5 Sizes, furnace</span>",
            "<a class=\"way\" data-way=\"sheet\" href=\"plan.html\">6 Plan</a>",
            "<div id=\"notices\"",
        ] {
            assert_eq!(page.matches(wanted).count(), 1, "{wanted}\n{page}");
        }
        let plan = fill(&PAGE.replace("way after", "way plan")).unwrap();
        assert!(
            plan.contains("data-to=\"route\">1 Route") && plan.contains("data-to=\"sheet\">6 Plan"),
            "{plan}"
        );
    }

    #[test]
    fn a_page_that_lacks_a_line_or_a_place_is_refused() {
        for (gone, instead) in [
            ("title: T\n", ""),
            ("scripts: app/a app/b\n", ""),
            ("style: s", "stile: s"),
            ("<!-- gatefrost:notices -->", ""),
            ("way after", "way nowhere"),
            ("<!-- gatefrost:head", "<!doctype html>"),
        ] {
            assert!(fill(&PAGE.replace(gone, instead)).is_err(), "{gone}");
        }
    }
}
