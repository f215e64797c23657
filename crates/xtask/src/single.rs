//! All pages in one file, `dist/gatefrost.html`, which opens by a double click and asks for nothing.
//!
//! The sources are those of the site. The head is the first page's; each page's body waits in a
//! `<template>`, with its title and the modules that its own script imports. `www/js/shared/single.js` takes
//! the one that the address names: `gatefrost.html` is the window, `gatefrost.html?laboratory` the
//! laboratory. Modules stand in the import map as `data:` addresses; the policy allows each by its hash
//! alone, which the import map's `integrity` lets the browser check. Each WebAssembly module waits once in a
//! template of its own, as a block of text: base64 of the compressed wasm. Two pages may share one. Its bindings enter the import map as
//! the page is chosen ([`page::render_single`]).

use anyhow::{Context, Result, ensure};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use percent_encoding::{AsciiSet, CONTROLS, utf8_percent_encode};

use crate::files::{Files, text, tightly_gzipped};
use crate::offline;
use crate::page::{self, Module};
use crate::site::{self, FIRST, check};

/// What a script's text in a `data:` address does without: what ends the address, its JSON string or its element, and the
/// `$` of a replacement's pattern. All else stands as it is, so that a packed file is smaller than with base64.
const ENCODED: &AsciiSet = &CONTROLS.add(b'"').add(b'#').add(b'$').add(b'%').add(b'<').add(b'\\');

/// A page of the site, taken apart.
struct PageParts<'a> {
    /// Its name in an address.
    name: &'a str,
    title: &'a str,
    head: &'a str,
    body: &'a str,
    /// Its WebAssembly module, by name, if it has one.
    core: Option<&'a str>,
    /// The element that starts it.
    entry: &'a str,
    /// What that imports.
    modules: Vec<&'a str>,
    /// Its style sheets, as elements and by name.
    styles: Vec<(&'a str, String)>,
}

/// The one file.
pub fn pack(sources: &Files) -> Result<String> {
    let mut pages = Vec::new();
    for (name, bytes) in sources.iter().filter(|(name, _)| name.ends_with(".html")) {
        let html = text(bytes, name)?;
        page::refuse_inline_style(html).with_context(|| format!("www/{name}"))?;
        pages.push(take_apart(name, html).with_context(|| format!("www/{name}"))?);
    }
    pages.sort_by_key(|page| page.name != FIRST);
    let first = pages.first().context("there is no page")?;

    let modules = modules(sources)?;
    let bindings: Vec<(&str, Module)> = pages
        .iter()
        .filter_map(|page| Some((stem(page.name), page.core?)))
        .map(|(page, core)| Ok((page, bindings(core, sources)?)))
        .collect::<Result<_>>()?;
    check_all(sources, &modules, &bindings)?;
    let shared = |style: &str| pages.iter().all(|page| page.styles.iter().any(|s| s.1 == style));
    let mut head = first.head.to_owned();
    for (element, style) in &first.styles {
        let inline = if shared(style) { inline_style(sources, style)? } else { String::new() };
        head = head.replace(element, &inline);
    }
    head = head.replace(first.entry, "<script type=\"module\">import \"app/shared/single\";</script>");
    let mut body = String::new();
    let names: Vec<&str> = pages.iter().map(|page| page.name).collect();
    for page in &pages {
        let own = page.styles.iter().map(|style| style.1.as_str()).filter(|style| !shared(style));
        body += &template(page, &ways(page, &names), own, sources)?;
    }
    body += &cores(&pages, sources)?;
    let html = format!(
        "<!doctype html>\n<html lang=\"en\" data-single>\n<head>{head}</head>\n<body>\n\
         <p id=\"starting\">Starting… If this line stays, JavaScript is off, or the browser is too old for the \
         page in one file: it needs one of 2025 or later.</p>\n{body}</body>\n</html>\n"
    );
    page::render_single(&html, &modules, &bindings)
}

/// The script that asks for the service worker. Here it has nothing to ask for.
fn asks_for_worker(name: &str) -> bool {
    site::specifier(name).as_deref() == Some(offline::MODULE)
}

/// The scripts of all pages as `data:` addresses.
fn modules(sources: &Files) -> Result<Vec<Module>> {
    site::specifiers(sources.keys().filter(|name| !asks_for_worker(name)))
        .into_iter()
        .map(|(specifier, name)| data_module(specifier, &name, sources))
        .collect()
}

/// The bindings of a WebAssembly module.
fn bindings(core: &str, sources: &Files) -> Result<Module> {
    data_module(page::BINDINGS.to_owned(), &site::bindings_file(core), sources)
}

fn data_module(specifier: String, name: &str, sources: &Files) -> Result<Module> {
    let bytes = sources.get(name).with_context(|| format!("{name} is missing"))?;
    let address = format!("data:text/javascript,{}", utf8_percent_encode(text(bytes, name)?, ENCODED));
    Ok(Module { specifier, address, integrity: Some(page::hash(bytes)) })
}

/// Refuses a script that imports what no page has.
fn check_all(sources: &Files, modules: &[Module], bindings: &[(&str, Module)]) -> Result<()> {
    let with_bindings: Vec<Module> = modules.iter().chain(bindings.iter().map(|b| &b.1)).cloned().collect();
    sources
        .iter()
        .filter(|(name, _)| !asks_for_worker(name))
        .try_for_each(|(name, bytes)| check(name, bytes, &with_bindings))
}

fn take_apart<'a>(name: &'a str, html: &'a str) -> Result<PageParts<'a>> {
    let head = between(html, "<head>", "</head>")?;
    let core = page::core_of(html)?;
    let entry = page::elements(head, "<script type=\"module\">", "</script>");
    ensure!(entry.len() == 1, "the head must have one module script, not {}", entry.len());
    let modules = page::imported(entry[0]);
    ensure!(!modules.is_empty(), "its script imports nothing");
    let styles = page::elements(head, "<link rel=\"stylesheet\"", ">");
    let styles = styles
        .into_iter()
        .map(|element| Ok((element, from(name, between(element, "href=\"", "\"")?))))
        .collect::<Result<_>>()?;
    Ok(PageParts {
        name,
        title: between(head, "<title>", "</title>")?,
        head,
        body: between(html, "<body>", "</body>")?,
        core,
        entry: entry[0],
        modules,
        styles,
    })
}

/// The body of a page, where a way to another page is a way to this file with another query.
fn ways(page: &PageParts<'_>, names: &[&str]) -> String {
    let mut parts = page.body.split("href=\"");
    let mut body = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (address, rest) = part.split_once('"').unwrap_or((part, ""));
        let end = address.find('#').unwrap_or(address.len());
        let (file, fragment) = address.split_at(end);
        let file = from(page.name, file);
        let query = match names.contains(&file.as_str()) {
            true if file == FIRST => format!("?{fragment}"),
            true => format!("?{}{fragment}", stem(&file)),
            false => address.to_owned(),
        };
        body += &format!("href=\"{query}\"{rest}");
    }
    body
}

/// The name of what a page calls by an address relative to itself.
fn from(page: &str, address: &str) -> String {
    let mut folders: Vec<&str> = page.split('/').collect();
    folders.pop();
    for part in address.split('/') {
        match part {
            ".." => drop(folders.pop()),
            "." => {}
            part => folders.push(part),
        }
    }
    folders.join("/")
}

/// The body of a page, to be taken out; style sheets that are its own go with it.
fn template<'a>(
    page: &PageParts<'_>,
    body: &str,
    styles: impl Iterator<Item = &'a str>,
    sources: &Files,
) -> Result<String> {
    let mut own = String::new();
    for style in styles {
        own += &inline_style(sources, style)?;
    }
    let core = page.core.map_or_else(String::new, |core| format!(" data-module=\"{core}\""));
    let modules: Vec<&str> = page.modules.iter().copied().filter(|m| *m != offline::MODULE).collect();
    let (name, title) = (stem(page.name), page.title);
    ensure!(!title.contains('"'), "the title must do without a straight quotation mark");
    Ok(format!(
        "<template data-page=\"{name}\" data-title=\"{title}\"{core} data-modules=\"{}\">{own}{body}</template>\n",
        modules.join(" ")
    ))
}

/// The WebAssembly modules, each in a template, and the bindings of those that are no page's own as addresses. A script
/// hands these to a worker, so that no policy has to allow them.
fn cores(pages: &[PageParts<'_>], sources: &Files) -> Result<String> {
    let name = |file: &str| file.strip_prefix("core/")?.strip_suffix("_bg.wasm").map(str::to_owned);
    let own = |core: &String| pages.iter().any(|page| page.core == Some(core));
    let mut bound = serde_json::Map::new();
    let mut body = String::new();
    for core in sources.keys().filter_map(|file| name(file)) {
        if !own(&core) {
            bound.insert(core.clone(), bindings(&core, sources)?.address.into());
        }
        body += &format!("<template data-core=\"{core}\">{}</template>\n", wasm_block(&core, sources)?);
    }
    if bound.is_empty() {
        return Ok(body);
    }
    let bound = serde_json::Value::from(bound);
    Ok(format!("{body}<script type=\"application/json\" id=\"bindings-apart\">{bound}</script>\n"))
}

/// A WebAssembly module as a block of text.
fn wasm_block(core: &str, sources: &Files) -> Result<String> {
    let file = site::wasm_file(core);
    let wasm = sources.get(&file).with_context(|| format!("{file} is missing"))?;
    let wasm = STANDARD.encode(tightly_gzipped(wasm)?);
    Ok(format!("<script type=\"application/octet-stream\" id=\"wasm-b64\">{wasm}</script>"))
}

fn inline_style(sources: &Files, name: &str) -> Result<String> {
    let bytes = sources.get(name).with_context(|| format!("the style sheet {name} is missing"))?;
    let style = text(bytes, name)?;
    ensure!(!style.contains("</"), "{name} would end its own element");
    ensure!(!style.contains("url(") && !style.contains("@import"), "{name} would load something");
    Ok(format!("<style>{style}</style>"))
}

fn between<'a>(text: &'a str, start: &str, end: &str) -> Result<&'a str> {
    let inside = text.split_once(start).and_then(|(_, rest)| rest.split_once(end));
    Ok(inside.with_context(|| format!("there is no {start}…{end}"))?.0)
}

/// A file's name without its ending.
fn stem(name: &str) -> &str {
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::{CSP_MARK, IMPORT_MAP_MARK};

    fn packed() -> String {
        pack(&site::tests::small()).unwrap()
    }

    #[test]
    fn both_pages_wait_in_one_file_that_names_no_other() {
        let html = packed();
        for page in [
            "<template data-page=\"index\" data-title=\"T\" data-module=\"window\" data-modules=\"app/main\">",
            "<template data-page=\"other\" data-title=\"U\" data-module=\"laboratory\" data-modules=\"app/other\">",
        ] {
            assert_eq!(html.matches(page).count(), 1, "{html}");
        }
        assert!(html.contains("<a href=\"?other\">") && html.contains("<a href=\"?\">"), "{html}");
        assert!(html.contains("<style>p { color: red; }</style>"), "{html}");
        for absent in ["src=", "stylesheet", ".html\"", "./", "offline", CSP_MARK, IMPORT_MAP_MARK] {
            assert!(!html.contains(absent), "{absent}: {html}");
        }
    }

    #[test]
    fn a_module_of_a_worker_waits_beside_the_pages() {
        let mut sources = site::tests::small();
        assert!(!packed().contains("data-core=\"apart\""));
        sources.insert("core/apart.js".to_owned(), b"export const f = 4;".to_vec());
        sources.insert("core/apart_bg.wasm".to_owned(), b"\0asm4".to_vec());
        let html = pack(&sources).unwrap();
        assert_eq!(
            html.matches("<template data-core=\"apart\"><script type=\"application/octet-stream\"").count(),
            1
        );
        let bound = between(&html, "id=\"bindings-apart\">", "</script>").unwrap();
        let bound: serde_json::Value = serde_json::from_str(bound).unwrap();
        let address = bound["apart"].as_str().unwrap();
        assert_eq!(address, "data:text/javascript,export const f = 4;");
    }

    /// A browser takes the text back from the address, and nothing in it ends the address, the JSON or the element.
    #[test]
    fn a_script_stands_in_its_address_and_comes_back() {
        let script = "const a = `${\"</script>\"} # 50 % “é” \\\\n`;\n\tconst b = '$&';\n";
        let mut sources = site::tests::small();
        sources.insert("js/a.js".to_owned(), script.as_bytes().to_vec());
        let address = data_module("app/a".to_owned(), "js/a.js", &sources).unwrap().address;
        let text = address.strip_prefix("data:text/javascript,").unwrap();
        assert!(!text.contains(['"', '#', '$', '<', '\\', '\n', '\t']) && text.is_ascii(), "{text}");
        assert_eq!(percent_encoding::percent_decode_str(text).decode_utf8().unwrap(), script);
    }

    #[test]
    fn a_page_in_a_folder_keeps_its_ways_and_its_styles() {
        let mut sources = site::tests::small();
        let page = String::from_utf8(sources["index.html"].clone()).unwrap();
        let page = page.replace("style.css", "../style.css").replace("import \"app/main\"; ", "");
        let ways = "<a href=\"../index.html\">a</a><a href=\"b.html#c\">b</a><a href=\"#d\">d</a>\
                    <a href=\"https://example.org/index.html\">e</a>";
        let page = page.replace("<a href=\"other.html\">other</a>", ways);
        for name in ["book/a.html", "book/b.html"] {
            sources.insert(name.to_owned(), page.clone().into_bytes());
        }
        let html = pack(&sources).unwrap();
        let expected = "<a href=\"?\">a</a><a href=\"?book/b#c\">b</a><a href=\"#d\">d</a>\
                        <a href=\"https://example.org/index.html\">e</a>";
        assert_eq!(html.matches(expected).count(), 2, "{html}");
        assert!(
            html.contains(
                "<template data-page=\"book/a\" data-title=\"T\" data-module=\"window\" data-modules=\"\">"
            ),
            "{html}"
        );
        assert_eq!(html.matches("<style>p {").count(), 1, "a style sheet of every page stands once: {html}");
    }

    #[test]
    fn a_style_sheet_of_one_page_stays_with_it() {
        let mut sources = site::tests::small();
        let page = String::from_utf8(sources["index.html"].clone()).unwrap();
        let link = "<link rel=\"stylesheet\" href=\"style.css\">";
        let page = page.replace(link, &format!("{link}\n{}", link.replace("style.css", "own.css")));
        sources.insert("index.html".to_owned(), page.into_bytes());
        sources.insert("own.css".to_owned(), b"b { color: blue; }".to_vec());
        let html = pack(&sources).unwrap();
        let (head, body) = html.split_once("<body>").unwrap();
        assert!(head.contains("<style>p {") && !head.contains("blue") && !head.contains("own.css"), "{head}");
        assert!(body.contains("data-modules=\"app/main\"><style>b {"), "{body}");
        assert_eq!(html.matches("blue").count(), 1);
    }

    #[test]
    fn the_policy_names_each_script_and_style_by_its_hash_and_no_place_at_all() {
        let html = packed();
        let policy = between(&html, "content=\"default-src", "\"").unwrap();
        let sources = site::tests::small();
        for name in ["js/main.js", "js/other.js", "js/shared/single.js", "core/window.js", "style.css"] {
            assert!(policy.contains(&page::hash(&sources[name])), "{name}: {policy}");
        }
        for script in page::inline_scripts(&html).unwrap() {
            assert!(policy.contains(&page::hash(script)), "{script}");
        }
        for absent in ["connect-src", "'self'", "unsafe-inline", "'unsafe-eval'", "http", "script-src data:"]
        {
            assert!(!policy.contains(absent), "{absent}: {policy}");
        }
        let map = between(&html, "id=\"importmap-of-pages\">", "</script>").unwrap();
        let bindings = between(&html, "id=\"bindings-of-pages\">", "</script>").unwrap();
        let bindings: serde_json::Value = serde_json::from_str(bindings).unwrap();
        for (page, file) in [("index", "core/window.js"), ("other", "core/laboratory.js")] {
            let map = map.replace("gatefrost:bindings", bindings[page].as_str().unwrap());
            assert!(policy.contains(&page::hash(&map)), "{policy}");
            let map: serde_json::Value = serde_json::from_str(&map).unwrap();
            for (name, file) in [("app/main", "js/main.js"), ("gatefrost", file)] {
                let address = map["imports"][name].as_str().unwrap();
                assert_eq!(map["integrity"][address], page::hash(&sources[file]));
            }
        }
    }

    #[test]
    fn a_style_sheet_that_would_load_or_break_out_is_refused() {
        for style in ["p { background: url(x.png); }", "@import 'x.css';", "/* </style> */"] {
            let mut sources = site::tests::small();
            sources.insert("style.css".to_owned(), style.as_bytes().to_vec());
            assert!(pack(&sources).is_err(), "{style}");
        }
    }
}
