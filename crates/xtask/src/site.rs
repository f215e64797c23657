//! The page as a folder of static files, `dist/site`, for any host that serves files.
//!
//! **Layout.** The pages and the service worker stand at the top. All that they are made of stands in a
//! folder that is named after the build's content. So a page and its parts always fit together, whatever
//! a browser, a proxy or the service worker still has of another build.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result, ensure};
use gatefrost_calibration::Read;
use gatefrost_scenario::Limit;
use gatefrost_scenario::catalogue::{self, Parameter};
use gatefrost_scenario::scenario::start::SHELF;
use gatefrost_scenario::scenario::{Axis, Family, FlowLawKind};
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::files::{Files, clear, gzipped, kilobytes, read, replace, text};
use crate::page::{self, Module};
use crate::{classroom, handbook, heads, offline, styles, wasm, workspace};

/// What all for the first window may weigh on the wire, bytes.
const FIRST_WINDOW_BUDGET: usize = 520_000;
/// What any other page may weigh that the page of the window does not have: its module and its
/// scripts, bytes.
const OTHER_PAGE_BUDGET: usize = 350_000;
/// The page of the window.
pub const FIRST: &str = "index.html";

/// The module that the one file begins with; the site has no use for it.
pub const SINGLE_ENTRY: &str = "js/shared/single.js";

/// The folder of the WebAssembly modules.
const CORES: &str = "core";
/// The WebAssembly module of that page.
const FIRST_CORE: &str = wasm::CORES[0].name;

/// The modules that are written here. Those of the limits, the results and the usual parts are for the window alone.
const WORDS: &str = "js/shared/words.js";
const WORDS_AFTER: &str = "js/after/words.js";
const WORDS_LOG: &str = "js/calibration/words.js";
const LIMITS: &str = "js/shared/limits.js";
const RESULTS: &str = "js/shared/results.js";
const USUAL: &str = "js/window/settings/usual.js";

/// A site that has been built.
pub struct Built {
    /// Where it stands.
    pub folder: PathBuf,
    /// What it was made of.
    pub sources: Files,
    /// What it is.
    pub files: Files,
}

/// Builds the WebAssembly modules and assembles the pages.
pub fn build() -> Result<Built> {
    let sources = sources()?;
    let files = assemble(&sources)?;
    weigh(&files)?;
    let folder = workspace::root()?.join("dist/site");
    replace(&folder, &files)?;
    println!("the page is in {}", folder.display());
    Ok(Built { folder, sources, files })
}

/// What every form of the pages is made of: `www`, and the WebAssembly modules beside it.
pub fn sources() -> Result<Files> {
    let root = workspace::root()?;
    let mut sources = read(&root.join("www"))?;
    ensure!(sources.contains_key("index.html"), "www/index.html is missing");
    for (name, bytes) in &mut sources {
        // A browser hashes inline text with plain line ends, whatever the checkout has.
        if is_text(name) && bytes.contains(&b'\r') {
            *bytes = text(bytes, name)?.replace("\r\n", "\n").into_bytes();
        }
        if name.ends_with(".html") {
            let said = classroom::say(text(bytes, name)?).with_context(|| format!("www/{name}"))?;
            *bytes = heads::fill(&said).with_context(|| format!("www/{name}"))?.into_bytes();
        }
        if name.ends_with(".js") {
            *bytes = without_comments(text(bytes, name)?).into_bytes();
        }
    }
    let cores = root.join("dist").join(CORES);
    clear(&cores)?;
    fs::create_dir_all(&cores).with_context(|| format!("making {}", cores.display()))?;
    wasm::build(&cores)?;
    for (name, bytes) in read(&cores)? {
        let name = format!("{CORES}/{name}");
        ensure!(!sources.contains_key(&name), "www/{name} would be overwritten");
        let script = name.ends_with(".js");
        let bytes = if script { without_comments(text(&bytes, &name)?).into_bytes() } else { bytes };
        sources.insert(name, bytes);
    }
    for (name, written) in [
        (WORDS, words()?),
        (WORDS_AFTER, words_after()?),
        (WORDS_LOG, words_log()?),
        (LIMITS, limit_words()?),
        (RESULTS, results()?),
        (USUAL, usual()?),
    ] {
        ensure!(!sources.contains_key(name), "www/{name} would be overwritten");
        sources.insert(name.to_owned(), written.into_bytes());
    }
    styles::build(&mut sources)?;
    handbook::build(&mut sources)?;
    Ok(sources)
}

/// A script without its comments and types, which nobody reads on the page: each line that is a comment becomes
/// empty, so that the console names the lines of the source.
fn without_comments(script: &str) -> String {
    let mut inside = false;
    let mut kept = |line: &str| {
        let start = line.trim_start();
        inside |= start.starts_with("/**");
        let comment = inside || start.starts_with("//");
        // A block ends at the end of its line; what follows on the line is code with its type before it.
        let code = if inside { line.split_once("*/").map(|(_, rest)| rest) } else { None };
        inside &= code.is_none();
        if comment { code.map(str::trim_start).unwrap_or_default().to_owned() } else { without_types(line) }
    };
    script.split('\n').map(&mut kept).collect::<Vec<_>>().join("\n")
}

/// A line of code without the types that stand within it.
fn without_types(line: &str) -> String {
    let mut parts = line.split("/** @");
    let mut code = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        code += part.split_once("*/").map_or(part, |(_, rest)| rest.strip_prefix(' ').unwrap_or(rest));
    }
    code
}

/// Whether only the page of what follows the mould, or that of the plan, has a field for a number.
fn is_after(p: &Parameter) -> bool {
    ["sizes", "debinding", "sintering", "plan"].iter().any(|group| p.group.split('.').next() == Some(group))
}

/// Whether only the page that calibrates has a field for a number.
fn is_of_log(p: &Parameter) -> bool {
    matches!(p.group.split('.').next(), Some("trials" | "shots"))
}

/// Help and source of the numbers that are wanted, as JSON.
fn words_of(wanted: impl Fn(&Parameter) -> bool) -> Result<String> {
    let of = |p: &Parameter| (p.path(), json!({ "help": p.help, "source": p.source }));
    let words: serde_json::Map<_, _> = catalogue::all().filter(|p| wanted(p)).map(of).collect();
    Ok(serde_json::to_string(&words)?)
}

/// What people read of the numbers of debinding, sintering, sizes and the plan: a script for their pages alone.
fn words_after() -> Result<String> {
    Ok(format!("export const wordsAfter = {};\n", words_of(is_after)?))
}

/// The same of the trial log, and which of its fields are read of a shot.
fn words_log() -> Result<String> {
    let read = serde_json::to_string(&Read::ALL)?;
    Ok(format!("export const wordsLog = {};\nexport const readFields = {read};\n", words_of(is_of_log)?))
}

/// The module of what only people read of each parameter, flow law and family of binders, which the core does without, and
/// of the steps in which a machine takes its settings.
fn words() -> Result<String> {
    let words = words_of(|p| !is_after(p) && !is_of_log(p))?;
    let law =
        |kind: &FlowLawKind| json!({ "name": kind.name(), "title": kind.title(), "scales": kind.scales() });
    let laws: Vec<_> = FlowLawKind::ALL.iter().map(law).collect();
    let family = |family: Family| json!({ "name": family.name(), "title": family.title() });
    let families: Vec<_> = Family::ALL.into_iter().map(family).collect();
    let dialled = |axis: Axis| Some((json!(axis).as_str()?.to_owned(), json!(axis.steps_in_unit()?)));
    let steps: serde_json::Map<_, _> = Axis::ALL.into_iter().filter_map(dialled).collect();
    Ok(format!(
        "export const words = {};\nexport const flowLaws = {};\nexport const families = {};\nexport const stepsInUnit = {};\n",
        words,
        serde_json::to_string(&laws)?,
        serde_json::to_string(&families)?,
        serde_json::to_string(&steps)?
    ))
}

/// What is said of each limit, by its name.
fn limit_words() -> Result<String> {
    let of = |limit: Limit| {
        let said = json!({
            "label": limit.label(), "ground": limit.ground().label(), "why": limit.why(), "since": limit.since()
        });
        (limit.name().to_owned(), said)
    };
    let words: serde_json::Map<_, _> = Limit::ALL.into_iter().map(of).collect();
    Ok(format!("export const limitWords = {};\n", serde_json::to_string(&words)?))
}

/// The usual parts and gates in words.
fn usual() -> Result<String> {
    let shelf: serde_json::Value = serde_json::from_str(SHELF)?;
    Ok(format!("export const usual = {shelf};\n"))
}

/// The results that the window's page lists, group by group.
fn results() -> Result<String> {
    let row = |path: &&str| {
        let (entry, _) =
            gatefrost_explain::at(path).with_context(|| format!("{path} is no result that can be opened"))?;
        Ok(json!([path, entry.title, entry.unit, entry.digits, entry.rheology]))
    };
    let mut groups = serde_json::Map::new();
    for (name, paths) in gatefrost_explain::PAGE {
        let rows = paths.iter().map(row).collect::<Result<Vec<_>>>()?;
        groups.insert((*name).to_owned(), rows.into());
    }
    Ok(format!("export const results = {};\n", serde_json::Value::from(groups)))
}

/// The site, made of the sources.
pub fn assemble(sources: &Files) -> Result<Files> {
    let version = version_of(sources);
    let parts: Vec<&String> = sources.keys().filter(|name| is_part(name)).collect();
    let scripts = specifiers(parts.iter().copied());
    let known = modules(&with_bindings(&scripts, FIRST_CORE), &version, FIRST);
    let mut site = Files::new();
    for (name, bytes) in sources {
        if name.ends_with(".html") {
            let html = text(bytes, name)?;
            let rendered = render(name, html, &scripts, sources, &version);
            let html = rendered.with_context(|| format!("www/{name}"))?;
            site.insert(name.clone(), point_into(&html, &parts, &version, name).into_bytes());
        } else if is_part(name) {
            check(name, bytes, &known)?;
            site.insert(format!("{version}/{name}"), bytes.clone());
        }
    }
    let worker =
        sources.get(offline::WORKER).with_context(|| format!("www/{} is missing", offline::WORKER))?;
    let worker = offline::worker(text(worker, offline::WORKER)?, &version, &site);
    site.insert(offline::WORKER.to_owned(), worker.into_bytes());
    Ok(site)
}

/// A page with its import map, its preloads and its policy.
fn render(
    name: &str,
    html: &str,
    scripts: &[(String, String)],
    sources: &Files,
    version: &str,
) -> Result<String> {
    let core = page::core_of(html)?;
    let specifiers = match core {
        Some(core) => with_bindings(scripts, core),
        None => scripts.to_vec(),
    };
    let first = reached(html, &specifiers, sources, page::imported)?;
    let reached = reached(html, &specifiers, sources, page::imported_ever)?;
    let named: Vec<(String, String)> =
        specifiers.iter().filter(|(_, file)| reached.contains(&file.as_str())).cloned().collect();
    let modules = modules(&named, version, name);
    let preloads = preloads(core, &first, sources, &format!("{}{version}", up(name)))?;
    page::render(html, &modules, &preloads)
}

/// The scripts that a page comes to import, by their files, where `imported` tells what a script imports.
fn reached<'a>(
    html: &str,
    specifiers: &'a [(String, String)],
    sources: &'a Files,
    imported: impl Fn(&str) -> Vec<&str>,
) -> Result<Vec<&'a str>> {
    let file_of = |name: &str| specifiers.iter().find(|(s, _)| s == name).map(|(_, file)| file.as_str());
    let mut found: Vec<&str> = Vec::new();
    let mut scripts: Vec<&str> = page::inline_scripts(html)?;
    while let Some(script) = scripts.pop() {
        for file in imported(script).into_iter().filter_map(file_of) {
            if !found.contains(&file) {
                found.push(file);
                scripts.extend(sources.get(file).map(|bytes| text(bytes, file)).transpose()?);
            }
        }
    }
    Ok(found)
}

/// Elements that ask for a page's WebAssembly module and for every script that it imports at its start.
fn preloads(core: Option<&str>, scripts: &[&str], sources: &Files, at: &str) -> Result<String> {
    let scripts = scripts.iter().map(|file| format!("<link rel=\"modulepreload\" href=\"{at}/{file}\">\n"));
    let wasm = |core: &str| -> Result<String> {
        let file = wasm_file(core);
        let bytes =
            sources.get(&file).with_context(|| format!("there is no WebAssembly module {core}"))?.len();
        // The page tells how much of it is there.
        Ok(format!(
            "<link rel=\"preload\" href=\"{at}/{file}\" as=\"fetch\" type=\"application/wasm\" crossorigin \
             data-bytes=\"{bytes}\">\n"
        ))
    };
    Ok(core.map(wasm).transpose()?.into_iter().chain(scripts).collect())
}

/// The file of a page's WebAssembly module among the sources.
pub fn wasm_file(core: &str) -> String {
    format!("{CORES}/{core}_bg.wasm")
}

/// The binding script of a page's WebAssembly module among the sources.
pub fn bindings_file(core: &str) -> String {
    format!("{CORES}/{core}.js")
}

/// Refuses a module that imports what there is not.
pub fn check(name: &str, bytes: &[u8], modules: &[Module]) -> Result<()> {
    if !name.starts_with("js/") {
        return Ok(());
    }
    page::check_imports(text(bytes, name)?, modules).with_context(|| format!("www/{name}"))
}

/// Whether a file of the sources is what the site's pages are made of.
fn is_part(name: &str) -> bool {
    !name.ends_with(".html") && name != offline::WORKER && name != SINGLE_ENTRY
}

fn is_text(name: &str) -> bool {
    [".html", ".css", ".js", ".md", ".svg"].iter().any(|ending| name.ends_with(ending))
}

/// A name of the build after all that is in it.
fn version_of(sources: &Files) -> String {
    let mut hash = Sha256::new();
    for (name, bytes) in sources {
        for part in [name.as_bytes(), bytes] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

/// The scripts among some files, by the names that they import each other by: specifier and file.
pub fn specifiers<'a>(names: impl Iterator<Item = &'a String>) -> Vec<(String, String)> {
    names.filter_map(|name| Some((specifier(name)?, name.clone()))).collect()
}

/// The name by which scripts import a file of the sources: `app/FOLDER/NAME` for `js/FOLDER/NAME.js`.
pub fn specifier(file: &str) -> Option<String> {
    Some(format!("app/{}", file.strip_prefix("js/")?.strip_suffix(".js")?))
}

/// The scripts and the bindings of a WebAssembly module.
fn with_bindings(scripts: &[(String, String)], core: &str) -> Vec<(String, String)> {
    [scripts, &[(page::BINDINGS.to_owned(), bindings_file(core))]].concat()
}

/// The modules as a page sees them. Addresses are relative, so that the site may stand anywhere
/// below a host.
fn modules(specifiers: &[(String, String)], version: &str, page: &str) -> Vec<Module> {
    let at = format!("{}{version}", up(page));
    let module = |(specifier, file): &(String, String)| Module {
        specifier: specifier.clone(),
        address: format!("{at}/{file}"),
        integrity: None,
    };
    specifiers.iter().map(module).collect()
}

/// The way from a page to the top of the site.
fn up(page: &str) -> String {
    match page.matches('/').count() {
        0 => "./".to_owned(),
        depth => "../".repeat(depth),
    }
}

/// Points what a page loads by name into the folder of its version.
fn point_into(html: &str, parts: &[&String], version: &str, page: &str) -> String {
    let top = up(page);
    let top = top.strip_prefix("./").unwrap_or(&top);
    parts.iter().fold(html.to_owned(), |html, part| {
        html.replace(&format!("href=\"{top}{part}\""), &format!("href=\"{top}{version}/{part}\""))
    })
}

/// Prints what the pages weigh and fails when one is over its budget.
fn weigh(site: &Files) -> Result<()> {
    for core in &wasm::CORES {
        let file = wasm_file(core.name);
        let (_, bytes) = site.iter().find(|(name, _)| name.ends_with(&file)).context("no module")?;
        let packed = gzipped(bytes)?.len();
        println!("{file}: {} kB, {} kB gzipped", kilobytes(bytes.len()), kilobytes(packed));
        within(&file, packed, core.budget)?;
    }
    let first = loaded(site, FIRST)?;
    let mut known = BTreeMap::new();
    for name in &first {
        known.insert(*name, gzipped(&site[*name])?.len());
    }
    let total = known.values().sum();
    println!("all for the first window: {} kB gzipped", kilobytes(total));
    within("all for the first window", total, FIRST_WINDOW_BUDGET)?;
    for page in site.keys().filter(|name| name.ends_with(".html") && *name != FIRST) {
        let mut own = 0;
        for name in loaded(site, page)? {
            if !known.contains_key(name) {
                own += gzipped(&site[name])?.len();
            }
        }
        println!("{page}: {} kB gzipped of its own", kilobytes(own));
        within(page, own, OTHER_PAGE_BUDGET)?;
    }
    Ok(())
}

/// The files that a page loads: itself, its style sheets, scripts and WebAssembly module.
fn loaded<'a>(site: &'a Files, page: &'a str) -> Result<Vec<&'a str>> {
    let html = text(&site[page], page)?;
    let top = up(page);
    let bare = top.strip_prefix("./").unwrap_or(&top);
    let asked_for =
        |name: &&String| [&*top, bare].iter().any(|top| html.contains(&format!("href=\"{top}{name}\"")));
    let parts = site.keys().filter(|name| !name.ends_with(".html")).filter(asked_for);
    Ok(std::iter::once(page).chain(parts.map(String::as_str)).collect())
}

/// Refuses what weighs more, packed, than it may.
pub fn within(what: &str, bytes: usize, budget: usize) -> Result<()> {
    ensure!(
        bytes <= budget,
        "{what} is {} kB gzipped, over its budget of {} kB",
        kilobytes(bytes),
        kilobytes(budget)
    );
    Ok(())
}

#[cfg(test)]
#[path = "site_tests.rs"]
pub mod tests;
