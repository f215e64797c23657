//! The page as a folder of static files, `dist/site`, for any host that serves files.
//!
//! **Layout.** The pages and the service worker stand at the top. All that they are made of stands in a
//! folder that is named after the build's content. So a page and its parts always fit together, whatever
//! a browser, a proxy or the service worker still has of another build.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use flate2::Compression;
use flate2::write::GzEncoder;
use gatefrost_scenario::catalogue::{self, Parameter};
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::page::{self, Module};
use crate::{handbook, offline, single, wasm, workspace};

/// What the core may weigh on the wire, bytes.
const WASM_BUDGET: usize = 480_000;
/// What the whole page may weigh on the wire, bytes.
const PAGE_BUDGET: usize = 620_000;
/// What each page of the handbook may weigh, bytes.
const CHAPTER_BUDGET: usize = 350_000;

/// The module that is written here.
const WORDS: &str = "js/words.js";

/// Files by their names from one folder, with `/`, in order.
pub type Files = BTreeMap<String, Vec<u8>>;

/// A site that has been built.
pub struct Built {
    /// Where it stands.
    pub folder: PathBuf,
    /// What it was made of.
    pub sources: Files,
    /// What it is.
    pub files: Files,
}

/// Builds the core and assembles the page.
pub fn build() -> Result<Built> {
    let sources = sources()?;
    let files = assemble(&sources)?;
    weigh(&files)?;
    let folder = workspace::root()?.join("dist/site");
    replace(&folder, &files)?;
    println!("the page is in {}", folder.display());
    Ok(Built { folder, sources, files })
}

/// What every form of the page is made of: `www`, and the core beside it.
pub fn sources() -> Result<Files> {
    let root = workspace::root()?;
    let mut sources = read(&root.join("www"))?;
    ensure!(sources.contains_key("index.html"), "www/index.html is missing");
    for (name, bytes) in &mut sources {
        // A browser hashes inline text with plain line ends, whatever the checkout has.
        if is_text(name) && bytes.contains(&b'\r') {
            *bytes = text(bytes, name)?.replace("\r\n", "\n").into_bytes();
        }
    }
    let core = root.join("dist/core");
    clear(&core)?;
    fs::create_dir_all(&core).with_context(|| format!("making {}", core.display()))?;
    wasm::build(&core)?;
    for (name, bytes) in read(&core)? {
        ensure!(!sources.contains_key(&name), "www/{name} would overwrite a file of the core");
        sources.insert(name, bytes);
    }
    ensure!(!sources.contains_key(WORDS), "www/{WORDS} would be overwritten");
    sources.insert(WORDS.to_owned(), words()?.into_bytes());
    handbook::build(&mut sources)?;
    Ok(sources)
}

/// The module of what only people read of each parameter, which the core does without.
fn words() -> Result<String> {
    let of = |p: &Parameter| (p.path(), json!({ "help": p.help, "source": p.source }));
    let words: serde_json::Map<_, _> = catalogue::all().map(of).collect();
    Ok(format!("export const words = {};\n", serde_json::to_string(&words)?))
}

/// The site, made of the sources.
pub fn assemble(sources: &Files) -> Result<Files> {
    let version = version_of(sources);
    let parts: Vec<&String> = sources.keys().filter(|name| is_part(name)).collect();
    let specifiers = specifiers(parts.iter().copied());
    let mut site = Files::new();
    for (name, bytes) in sources {
        let modules = modules(&specifiers, &version, name);
        if name.ends_with(".html") {
            let html = page::render(text(bytes, name)?, &modules).with_context(|| format!("www/{name}"))?;
            site.insert(name.clone(), point_into(&html, &parts, &version, name).into_bytes());
        } else if is_part(name) {
            check(name, bytes, &modules)?;
            site.insert(format!("{version}/{name}"), bytes.clone());
        }
    }
    let worker =
        sources.get(offline::WORKER).with_context(|| format!("www/{} is missing", offline::WORKER))?;
    let worker = offline::worker(text(worker, offline::WORKER)?, &version, &site);
    site.insert(offline::WORKER.to_owned(), worker.into_bytes());
    Ok(site)
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
    !name.ends_with(".html") && name != offline::WORKER && name != single::ENTRY
}

fn is_text(name: &str) -> bool {
    [".html", ".css", ".js", ".md", ".svg"].iter().any(|ending| name.ends_with(ending))
}

/// The text of a file.
pub fn text<'a>(bytes: &'a [u8], name: &str) -> Result<&'a str> {
    std::str::from_utf8(bytes).with_context(|| format!("{name} is not text"))
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

/// The modules among some files, by the names that they import each other by, and the binding script of the
/// core: specifier and file.
pub fn specifiers<'a>(names: impl Iterator<Item = &'a String>) -> Vec<(String, String)> {
    let scripts = names.filter_map(|name| name.strip_prefix("js/")?.strip_suffix(".js"));
    let app = scripts.map(|script| (format!("app/{script}"), format!("js/{script}.js")));
    app.chain([("gatefrost".to_owned(), "gatefrost.js".to_owned())]).collect()
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

fn clear(folder: &Path) -> Result<()> {
    if folder.exists() {
        fs::remove_dir_all(folder).with_context(|| format!("clearing {}", folder.display()))?;
    }
    Ok(())
}

/// Puts files in the place of a folder. They are written aside first, so that a page being served is
/// replaced whole or not at all.
pub fn replace(folder: &Path, files: &Files) -> Result<()> {
    let fresh = folder.with_extension("new");
    clear(&fresh)?;
    for (name, bytes) in files {
        let path = fresh.join(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).with_context(|| format!("making {}", parent.display()))?;
        }
        fs::write(&path, bytes).with_context(|| format!("writing {}", path.display()))?;
    }
    clear(folder)?;
    fs::rename(&fresh, folder).with_context(|| format!("making {}", folder.display()))
}

/// All files below a folder. Hidden ones are left out.
pub fn read(folder: &Path) -> Result<Files> {
    let mut files = Files::new();
    for entry in fs::read_dir(folder).with_context(|| format!("reading {}", folder.display()))? {
        let path = entry?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            bail!("{} has a name that is not text", path.display());
        };
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            files.extend(read(&path)?.into_iter().map(|(inner, bytes)| (format!("{name}/{inner}"), bytes)));
        } else {
            let bytes = fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
            files.insert(name.to_owned(), bytes);
        }
    }
    Ok(files)
}

/// Prints what the page weighs and fails when it is over its budget.
fn weigh(site: &Files) -> Result<()> {
    let mut total = 0;
    let mut core = 0;
    for (name, bytes) in site {
        let packed = gzipped(bytes)?.len();
        if name.starts_with(handbook::FOLDER) {
            within(name, packed, CHAPTER_BUDGET)?;
            continue;
        }
        total += packed;
        if name.ends_with(".wasm") {
            core += packed;
            println!("{name}: {} kB, {} kB gzipped", kilobytes(bytes.len()), kilobytes(packed));
        }
    }
    println!("the whole page: {} kB gzipped", kilobytes(total));
    within("the core", core, WASM_BUDGET)?;
    within("the whole page", total, PAGE_BUDGET)
}

fn within(what: &str, bytes: usize, budget: usize) -> Result<()> {
    ensure!(
        bytes <= budget,
        "{what} is {} kB gzipped, over its budget of {} kB",
        kilobytes(bytes),
        kilobytes(budget)
    );
    Ok(())
}

/// Bytes in thousands, for messages.
pub fn kilobytes(bytes: usize) -> String {
    format!("{}.{}", bytes / 1000, bytes % 1000 / 100)
}

/// Packed as a host would send it.
pub fn gzipped(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

#[cfg(test)]
#[path = "site_tests.rs"]
pub mod tests;
