//! What the build writes into a page: its import map and its Content-Security-Policy.
//!
//! **Contract with `www/`.** A page of the site carries two comments in its head, in this order and
//! before any element that loads something:
//!
//! ```html
//! <meta charset="utf-8">
//! <!-- gatefrost:csp -->
//! …
//! <!-- gatefrost:importmap -->
//! <script type="module">import "app/main";</script>
//! ```
//!
//! - `<!-- gatefrost:importmap -->` becomes `<script type="importmap">`. It gives every module
//!   `www/js/NAME.js` the specifier `app/NAME` (folders included: `app/figures/window`), and the
//!   binding script of the core the specifier `gatefrost`. Modules import each other by these names
//!   only, never by path, so that the same sources can be packed into one file, where the names
//!   stand for `data:` addresses. A name that the map lacks is refused by the build.
//! - `<!-- gatefrost:csp -->` becomes the `<meta>` with the policy. It allows exactly the inline
//!   scripts that the page has, by the SHA-256 of their text, and no inline style or handler; a page
//!   that has one is refused here, because the browser would drop it without a visible word.
//! - The core is `gatefrost_bg.wasm` beside the binding script. The binding script has no default
//!   address for it: the page fetches it and hands over the module.

use anyhow::{Result, bail, ensure};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

/// Where the policy goes.
pub const CSP_MARK: &str = "<!-- gatefrost:csp -->";
/// Where the import map goes.
pub const IMPORT_MAP_MARK: &str = "<!-- gatefrost:importmap -->";

/// One entry of the import map.
pub struct Module {
    /// The name by which modules import it.
    pub specifier: String,
    /// Its address from the page.
    pub address: String,
}

/// Fills the marks of a page of the site.
pub fn render(html: &str, modules: &[Module]) -> Result<String> {
    once(html, CSP_MARK)?;
    once(html, IMPORT_MAP_MARK)?;
    for loading in ["<script", "<link", "<style", "<img"] {
        if let Some(at) = html.find(loading) {
            ensure!(
                html.find(CSP_MARK) < Some(at),
                "{CSP_MARK} must stand before the first {loading}>: a policy binds only what follows"
            );
        }
    }
    refuse_inline_style(html)?;
    let html = html.replacen(IMPORT_MAP_MARK, &import_map(modules), 1);
    let hashes = inline_scripts(&html)?.into_iter().map(hash).collect::<Vec<_>>();
    Ok(html.replacen(CSP_MARK, &policy_element(&site_policy(&hashes)), 1))
}

fn once(html: &str, mark: &str) -> Result<()> {
    match html.matches(mark).count() {
        1 => Ok(()),
        n => bail!("{mark} must stand in the page once, not {n} times"),
    }
}

/// The import map as an element.
fn import_map(modules: &[Module]) -> String {
    let imports: Map<String, Value> =
        modules.iter().map(|m| (m.specifier.clone(), Value::from(m.address.as_str()))).collect();
    // A file name cannot end the element early: `<` never stands in the text.
    let text = json!({ "imports": imports }).to_string().replace('<', "\\u003c");
    format!("<script type=\"importmap\">{text}</script>")
}

/// The policy of the hosted page. The worker comes from a blob, because import maps do not reach
/// into workers.
fn site_policy(script_hashes: &[String]) -> String {
    let mut scripts = String::from("'self' 'wasm-unsafe-eval'");
    for hash in script_hashes {
        scripts.push_str(&format!(" '{hash}'"));
    }
    [
        "default-src 'none'",
        &format!("script-src {scripts}"),
        "worker-src blob:",
        "connect-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "base-uri 'none'",
        "form-action 'none'",
    ]
    .join("; ")
}

fn policy_element(policy: &str) -> String {
    format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">")
}

/// The source expression of a script: its SHA-256 in base64.
pub fn hash(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
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
fn refuse_inline_style(html: &str) -> Result<()> {
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
    for name in imported(script) {
        ensure!(
            modules.iter().any(|module| module.specifier == name),
            "imports `{name}`, which is not in the import map: modules are named `app/NAME` after \
             www/js/NAME.js, and the core is `gatefrost`"
        );
    }
    Ok(())
}

/// What the import and re-export statements of a module name, and what it resolves by name. Not a
/// parser: it reads statements as they are usually laid out.
fn imported(script: &str) -> Vec<&str> {
    let mut names = Vec::new();
    for line in script.lines().map(str::trim) {
        let statement = ["import ", "import{", "export ", "}"].iter().any(|start| line.starts_with(start));
        let from = if statement { line.rsplit_once(" from ").map(|(_, name)| name) } else { None };
        let alone = line.strip_prefix("import ").filter(|rest| rest.starts_with(['"', '\'']));
        names.extend(from.or(alone).and_then(quoted));
        for call in line.split("import.meta.resolve(").skip(1) {
            names.extend(quoted(call));
        }
    }
    names
}

/// The text of the quotation that a piece of script starts with.
fn quoted(text: &str) -> Option<&str> {
    let quote = text.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    text[1..].split_once(quote).map(|(inside, _)| inside)
}
