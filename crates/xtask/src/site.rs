//! The page as a folder of static files, `dist/site`.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use flate2::Compression;
use flate2::write::GzEncoder;

use crate::page::{self, Module};
use crate::{wasm, workspace};

/// What the core may weigh on the wire, bytes.
const WASM_BUDGET: usize = 450_000;
/// What the whole page may weigh on the wire, bytes.
const PAGE_BUDGET: usize = 600_000;

/// Builds the core and assembles the page; returns the folder.
pub fn build() -> Result<PathBuf> {
    let root = workspace::root()?;
    let source = root.join("www");
    ensure!(source.join("index.html").is_file(), "www/index.html is missing");
    // Assembled aside, so that a page being served is replaced whole or not at all.
    let fresh = root.join("dist/site.new");
    clear(&fresh)?;
    fs::create_dir_all(&fresh).with_context(|| format!("making {}", fresh.display()))?;
    wasm::build(&fresh)?;
    assemble(&source, &fresh)?;
    weigh(&fresh)?;
    let site = root.join("dist/site");
    clear(&site)?;
    fs::rename(&fresh, &site).with_context(|| format!("making {}", site.display()))?;
    println!("the page is in {}", site.display());
    Ok(site)
}

fn clear(folder: &Path) -> Result<()> {
    if folder.exists() {
        fs::remove_dir_all(folder).with_context(|| format!("clearing {}", folder.display()))?;
    }
    Ok(())
}

/// Copies `www` beside the core and fills in its pages.
fn assemble(source: &Path, site: &Path) -> Result<()> {
    let names = files(source)?;
    let scripts: Vec<&str> =
        names.iter().filter_map(|name| name.strip_prefix("js/")?.strip_suffix(".js")).collect();
    for name in &names {
        let (from, to) = (source.join(name), site.join(name));
        ensure!(!to.exists(), "www/{name} would overwrite a file of the core");
        if let Some(folder) = to.parent() {
            fs::create_dir_all(folder)?;
        }
        let modules = modules(&scripts, name);
        if name.ends_with(".js") {
            let script = fs::read_to_string(&from).with_context(|| format!("reading www/{name}"))?;
            page::check_imports(&script, &modules).with_context(|| format!("www/{name}"))?;
        }
        if name.ends_with(".html") {
            let html = fs::read_to_string(&from).with_context(|| format!("reading www/{name}"))?;
            let html = page::render(&html, &modules).with_context(|| format!("www/{name}"))?;
            fs::write(&to, html).with_context(|| format!("writing {}", to.display()))?;
        } else {
            fs::copy(&from, &to).with_context(|| format!("copying www/{name}"))?;
        }
    }
    Ok(())
}

/// The modules as a page sees them. Addresses are relative, so that the site may stand anywhere
/// below a host.
fn modules(scripts: &[&str], page: &str) -> Vec<Module> {
    let up = match page.matches('/').count() {
        0 => "./".to_owned(),
        depth => "../".repeat(depth),
    };
    let glue = Module { specifier: "gatefrost".to_owned(), address: format!("{up}gatefrost.js") };
    let app = scripts
        .iter()
        .map(|script| Module { specifier: format!("app/{script}"), address: format!("{up}js/{script}.js") });
    app.chain([glue]).collect()
}

/// All files below a folder, by their names from there with `/`, in order. Hidden ones are left
/// out.
fn files(folder: &Path) -> Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| format!("reading {}", folder.display()))? {
        let entry = entry?;
        let Ok(name) = entry.file_name().into_string() else {
            bail!("{} has a name that is not text", entry.path().display());
        };
        if name.starts_with('.') {
            continue;
        }
        if entry.path().is_dir() {
            let inner = files(&entry.path())?;
            names.extend(inner.into_iter().map(|n| format!("{name}/{n}")));
        } else {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}

/// Prints what the page weighs and fails when it is over its budget.
fn weigh(site: &Path) -> Result<()> {
    let mut total = 0;
    let mut core = 0;
    for name in files(site)? {
        let bytes = fs::read(site.join(&name)).with_context(|| format!("reading {name}"))?;
        let packed = gzipped(&bytes)?;
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

fn kilobytes(bytes: usize) -> String {
    format!("{}.{}", bytes / 1000, bytes % 1000 / 100)
}

fn gzipped(bytes: &[u8]) -> Result<usize> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_in_a_folder_reaches_the_modules_above_it() {
        let addresses = |page| -> Vec<String> {
            let modules = modules(&["main", "figures/window"], page);
            modules.into_iter().map(|m| format!("{} {}", m.specifier, m.address)).collect()
        };
        assert_eq!(
            addresses("index.html"),
            [
                "app/main ./js/main.js",
                "app/figures/window ./js/figures/window.js",
                "gatefrost ./gatefrost.js"
            ]
        );
        assert_eq!(addresses("exercises/index.html")[0], "app/main ../js/main.js");
    }

    #[test]
    fn a_weight_over_the_budget_is_refused_and_named() {
        assert!(within("the core", 450_000, WASM_BUDGET).is_ok());
        let message = within("the core", 450_100, WASM_BUDGET).unwrap_err().to_string();
        assert_eq!(message, "the core is 450.1 kB gzipped, over its budget of 450.0 kB");
    }
}
