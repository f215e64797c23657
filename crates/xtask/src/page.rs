//! What the build writes into a page: its import map and its Content-Security-Policy.
//!
//! A page of the site carries two comments in its head ([`crate::heads`] writes them), in this order and
//! before any element that loads something:
//!
//! ```html
//! <meta charset="utf-8">
//! <!-- gatefrost:csp -->
//! …
//! <!-- gatefrost:importmap window -->
//! <script type="module">import "app/window/start";</script>
//! ```
//!
//! - `<!-- gatefrost:importmap NAME -->` becomes `<script type="importmap">`. It gives every script that the page comes to import,
//!   `www/js/FOLDER/NAME.js` the specifier `app/FOLDER/NAME`, and the
//!   binding script of the WebAssembly module that the mark names, if it names one, the specifier `gatefrost`. Scripts import
//!   each other by these names only, never by path, so that the same sources can be packed into one file,
//!   where the names stand for `data:` addresses. A name that the map lacks is refused by the build. After
//!   the map the build asks for the page's scripts and its WebAssembly module at once, instead of one
//!   after the other as they import each other.
//! - `<!-- gatefrost:csp -->` becomes the `<meta>` with the policy. It allows exactly the inline
//!   scripts that the page has, by the SHA-256 of their text, and no inline style or handler; a page
//!   that has one is refused here, because the browser would drop it without a visible word.
//! - The WebAssembly module stands beside its binding script, as `NAME_bg.wasm`. The binding script has no
//!   default address for it: the page fetches it and hands over the module.

use anyhow::{Context, Result, bail, ensure};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

/// Where the policy goes.
pub const CSP_MARK: &str = "<!-- gatefrost:csp -->";
/// Where the import map goes: this, the name of the page's WebAssembly module, and [`MARK_END`].
pub const IMPORT_MAP_MARK: &str = "<!-- gatefrost:importmap";
/// The end of a mark.
const MARK_END: &str = " -->";
/// The name by which scripts import the bindings of their page's WebAssembly module.
pub const BINDINGS: &str = "gatefrost";
/// Stands for the address of the bindings until the page in one file knows which page it is.
const BINDINGS_TO_COME: &str = "gatefrost:bindings";

/// One entry of the import map.
#[derive(Clone)]
pub struct Module {
    /// The name by which modules import it.
    pub specifier: String,
    /// Its address from the page.
    pub address: String,
    /// What its text must hash to, where the address holds the text itself.
    pub integrity: Option<String>,
}

/// The WebAssembly module that a page asks for, by its name; `None` for a page without one.
pub fn core_of(html: &str) -> Result<Option<&str>> {
    Ok(Some(mark_of(html)?.1.trim()).filter(|name| !name.is_empty()))
}

/// The import map's mark in full, and what it names.
fn mark_of(html: &str) -> Result<(String, &str)> {
    once(html, IMPORT_MAP_MARK)?;
    let named = html.split_once(IMPORT_MAP_MARK).and_then(|(_, rest)| rest.split_once(MARK_END));
    let (name, _) = named.with_context(|| format!("the mark {IMPORT_MAP_MARK}… has no end"))?;
    Ok((format!("{IMPORT_MAP_MARK}{name}{MARK_END}"), name))
}

/// Fills the marks of a page of the site. `preloads` are the elements that stand after its import map.
pub fn render(html: &str, modules: &[Module], preloads: &str) -> Result<String> {
    once(html, CSP_MARK)?;
    let (mark, _) = mark_of(html)?;
    for loading in ["<script", "<link", "<style", "<img"] {
        if let Some(at) = html.find(loading) {
            ensure!(
                html.find(CSP_MARK) < Some(at),
                "{CSP_MARK} must stand before the first {loading}>: a policy binds only what follows"
            );
        }
    }
    refuse_inline_style(html)?;
    for script in inline_scripts(html)? {
        check_imports(script, modules)?;
    }
    let map = format!("<script type=\"importmap\">{}</script>\n{preloads}", import_map(modules));
    let html = html.replacen(&mark, &map, 1);
    let scripts = hashes(&inline_scripts(&html)?);
    Ok(html.replacen(CSP_MARK, &policy_element(&site_policy(&scripts)), 1))
}

/// Fills the marks of the page in one file. `modules` are those of every page, `bindings` those of each by the
/// page's name, that of the first page first.
///
/// Which page it is stands in the address, so a script makes the import map: that of all pages, with the
/// bindings of this one. The policy allows the maps that it may make.
pub fn render_single(html: &str, modules: &[Module], bindings: &[(&str, Module)]) -> Result<String> {
    once(html, CSP_MARK)?;
    let (mark, _) = mark_of(html)?;
    let mut all = modules.to_vec();
    all.push(Module {
        specifier: BINDINGS.to_owned(),
        address: BINDINGS_TO_COME.to_owned(),
        integrity: None,
    });
    let map = import_map_with(&all, bindings.iter().map(|(_, module)| module));
    let addresses: Map<String, Value> =
        bindings.iter().map(|(page, module)| ((*page).to_owned(), Value::from(&*module.address))).collect();
    let blocks = format!(
        "<script type=\"application/json\" id=\"importmap-of-pages\">{map}</script>\n\
         <script type=\"application/json\" id=\"bindings-of-pages\">{}</script>\n\
         <script>{CHOOSE}</script>",
        Value::from(addresses)
    );
    let html = html.replacen(&mark, &blocks, 1);
    let mut scripts = hashes(&inline_scripts(&html)?);
    for (_, module) in bindings {
        scripts.push_str(&hashes(&[&map.replace(BINDINGS_TO_COME, &module.address)]));
    }
    for integrity in modules.iter().chain(bindings.iter().map(|b| &b.1)).filter_map(|m| m.integrity.as_ref())
    {
        scripts.push_str(&format!(" '{integrity}'"));
    }
    let styles = elements(&html, "<style>", "</style>");
    let styles: Vec<&str> = styles.iter().map(|e| &e["<style>".len()..e.len() - "</style>".len()]).collect();
    Ok(html.replacen(CSP_MARK, &policy_element(&single_policy(&scripts, &hashes(&styles))), 1))
}

/// Makes the import map of the page that the address names, before any module is loaded.
const CHOOSE: &str = r#"
{
  const text = (id) => document.getElementById(id).textContent;
  const bindings = JSON.parse(text("bindings-of-pages"));
  const query = new URLSearchParams(location.search);
  const pages = Object.keys(bindings);
  const page = pages.find((name) => query.has(name)) ?? pages[0];
  const map = document.createElement("script");
  map.type = "importmap";
  map.textContent = text("importmap-of-pages").replace("gatefrost:bindings", bindings[page]);
  document.head.append(map);
}
"#;

/// The elements or tags of a text that begin and end so.
pub fn elements<'a>(html: &'a str, start: &str, end: &str) -> Vec<&'a str> {
    let mut found = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find(start) {
        let after = at + start.len();
        let Some(length) = rest[after..].find(end) else { break };
        let stop = after + length + end.len();
        found.push(&rest[at..stop]);
        rest = &rest[stop..];
    }
    found
}

fn once(html: &str, mark: &str) -> Result<()> {
    match html.matches(mark).count() {
        1 => Ok(()),
        n => bail!("{mark} must stand in the page once, not {n} times"),
    }
}

/// The text of an import map.
fn import_map(modules: &[Module]) -> String {
    import_map_with(modules, std::iter::empty())
}

/// The same, with the integrity of further modules.
fn import_map_with<'a>(modules: &'a [Module], further: impl Iterator<Item = &'a Module>) -> String {
    let imports: Map<String, Value> =
        modules.iter().map(|m| (m.specifier.clone(), Value::from(m.address.as_str()))).collect();
    let integrity: Map<String, Value> = modules
        .iter()
        .chain(further)
        .filter_map(|m| Some((m.address.clone(), Value::from(m.integrity.as_deref()?))))
        .collect();
    let map = if integrity.is_empty() {
        json!({ "imports": imports })
    } else {
        json!({ "imports": imports, "integrity": integrity })
    };
    // A file name cannot end the element early: `<` never stands in the text.
    map.to_string().replace('<', "\\u003c")
}

/// The policy of the hosted page. Its worker comes from a blob, because import maps do not reach into
/// workers; the service worker is a file of the site.
fn site_policy(scripts: &str) -> String {
    let scripts = format!("script-src 'self' 'wasm-unsafe-eval'{scripts}");
    policy(&[&scripts, "worker-src 'self' blob:", "connect-src 'self'", "style-src 'self'"])
        .replace("img-src ", "img-src 'self' ")
}

/// The policy of the page in one file: it has everything and reaches nothing.
fn single_policy(scripts: &str, styles: &str) -> String {
    let scripts = format!("script-src 'wasm-unsafe-eval'{scripts}");
    policy(&[&scripts, "worker-src blob:", &format!("style-src{styles}")])
}

fn policy(own: &[&str]) -> String {
    let shared = ["img-src data: blob:", "base-uri 'none'", "form-action 'none'"];
    [&["default-src 'none'"], own, &shared].concat().join("; ")
}

/// The source expressions of some inline texts, each after a blank.
fn hashes(texts: &[&str]) -> String {
    texts.iter().map(|text| format!(" '{}'", hash(text))).collect()
}

fn policy_element(policy: &str) -> String {
    format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">")
}

/// The source expression of a script or style: its SHA-256 in base64.
pub fn hash(text: impl AsRef<[u8]>) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text.as_ref())))
}

/// The exact texts of the scripts that stand in the page itself and would run.
pub fn inline_scripts(html: &str) -> Result<Vec<&str>> {
    let mut scripts = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find("<script") {
        let element = &rest[start..];
        let Some((tag, after)) = element.split_once('>') else {
            bail!("a <script> tag is not closed");
        };
        let Some((text, after)) = after.split_once("</script>") else {
            bail!("a <script> element is not closed");
        };
        if !tag.contains(" src=") && !is_data(tag) {
            scripts.push(text);
        }
        rest = after;
    }
    Ok(scripts)
}

/// Data blocks do not run and need no hash.
fn is_data(tag: &str) -> bool {
    ["application/octet-stream", "application/json", "text/plain"]
        .iter()
        .any(|kind| tag.contains(&format!("type=\"{kind}\"")))
}

/// Refuses what the policy would make the browser drop.
pub fn refuse_inline_style(html: &str) -> Result<()> {
    ensure!(!html.contains("<style"), "a <style> element is not allowed: use style.css");
    for tag in html.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap_or_default();
        if tag.starts_with("!--") {
            continue;
        }
        ensure!(!tag.contains(" style="), "a style attribute is not allowed: <{tag}>");
        let handler = tag.split_whitespace().skip(1).any(|word| word.starts_with("on") && word.contains('='));
        ensure!(!handler, "an event handler in markup is not allowed: <{tag}>");
    }
    Ok(())
}

/// Refuses a module that imports what the import map does not name.
pub fn check_imports(script: &str, modules: &[Module]) -> Result<()> {
    for name in imported_ever(script) {
        ensure!(
            modules.iter().any(|module| module.specifier == name),
            "imports `{name}`, which is not in the import map: scripts are named `app/FOLDER/NAME` after \
             www/js/FOLDER/NAME.js, and the bindings of the page's WebAssembly module `gatefrost`"
        );
    }
    Ok(())
}

/// What the import and re-export statements of a module name, and what it resolves by name. Not a
/// parser: it reads statements as they are usually laid out.
pub fn imported(script: &str) -> Vec<&str> {
    let mut names = Vec::new();
    for line in script.lines().map(str::trim) {
        let statement = ["import ", "import{", "export ", "}"].iter().any(|start| line.starts_with(start));
        let from = if statement { line.rsplit_once(" from ").map(|(_, name)| name) } else { None };
        names.extend(from.and_then(quoted));
        for alone in line.split("import ").skip(1).filter(|rest| rest.starts_with(['"', '\''])) {
            names.extend(quoted(alone));
        }
        for call in line.split("import.meta.resolve(").skip(1) {
            names.extend(quoted(call));
        }
    }
    names
}

/// The same with what a module imports only once it needs it, by `import("…")` in an expression.
pub fn imported_ever(script: &str) -> Vec<&str> {
    // Comments name types in the same way.
    let code = script.lines().map(str::trim).filter(|line| !line.starts_with(['*', '/']));
    let later = code.flat_map(|line| line.split("import(").skip(1)).filter_map(quoted);
    imported(script).into_iter().chain(later).collect()
}

/// The text of the quotation that a piece of script starts with.
fn quoted(text: &str) -> Option<&str> {
    let quote = text.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    text[1..].split_once(quote).map(|(inside, _)| inside)
}
