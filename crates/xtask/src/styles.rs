//! The style sheets of the pages.
//!
//! A file at the top of `www/css` is a sheet that a page asks for. It imports its parts with
//! `@import "FILE" layer(NAME);`, a line each; the build puts each part in its place as `@layer NAME { … }`.
//! `made/palette.css` and `made/drawings.css` are written here, from the colours of `gatefrost-palette`.

use anyhow::{Context, Result, bail, ensure};
use gatefrost_palette::{FONT_FAMILY, MONOSPACE, Palette, hex};

use crate::files::{Files, text};

/// Where the style sheets stand among the sources.
const FOLDER: &str = "css/";

/// Takes the parts of the style sheets out of the sources, and puts the sheets made of them in.
pub fn build(sources: &mut Files) -> Result<()> {
    let names: Vec<String> = sources.keys().filter(|name| name.starts_with(FOLDER)).cloned().collect();
    let mut parts = Files::new();
    for name in names {
        if let Some(bytes) = sources.remove(&name) {
            parts.insert(name[FOLDER.len()..].to_owned(), bytes);
        }
    }
    parts.insert("made/palette.css".to_owned(), palette().into_bytes());
    parts.insert("made/drawings.css".to_owned(), drawings().into_bytes());
    let mut used = vec!["made/palette.css", "made/drawings.css"];
    for name in parts.keys().filter(|name| !name.contains('/')) {
        let sheet = sheet(name, &parts, &mut used).with_context(|| format!("www/{FOLDER}{name}"))?;
        sources.insert(format!("{FOLDER}{name}"), sheet.into_bytes());
    }
    let unused = parts.keys().find(|name| name.contains('/') && !used.contains(&name.as_str()));
    ensure!(unused.is_none(), "no style sheet imports www/{FOLDER}{}", unused.map_or("", String::as_str));
    Ok(())
}

/// A sheet with its parts in their places.
fn sheet<'a>(name: &str, parts: &'a Files, used: &mut Vec<&'a str>) -> Result<String> {
    let mut whole = String::new();
    for line in bare(text(&parts[name], name)?).lines() {
        let Some(import) = line.strip_prefix("@import \"") else {
            whole += line;
            whole.push('\n');
            continue;
        };
        let parsed =
            import.split_once("\" layer(").and_then(|(file, rest)| Some((file, rest.strip_suffix(");")?)));
        let (file, layer) = parsed.with_context(|| format!("{line} is not @import \"FILE\" layer(NAME);"))?;
        let Some((file, bytes)) = parts.get_key_value(file) else {
            bail!("it imports {file}, which is not there")
        };
        used.push(file);
        whole += &format!("@layer {layer} {{\n{}}}\n", bare(text(bytes, file)?));
    }
    Ok(whole)
}

/// A style sheet without its comments, indentation and empty lines, which no reader of the page sees.
fn bare(style: &str) -> String {
    let mut pieces = style.split("/*");
    let mut kept = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        kept += piece.split_once("*/").map_or("", |(_, rest)| rest);
    }
    kept.lines().map(str::trim).filter(|line| !line.is_empty()).flat_map(|line| [line, "\n"]).collect()
}

/// The custom properties of the colours and fonts: on the screen, light and dark, and on paper. The toolmaker's
/// sheet has the colours of paper on the screen, too.
fn palette() -> String {
    let block = |selector: &str, palette: &Palette| {
        let lines = palette.named().map(|(name, color)| format!("--{name}:#{};", hex(color).to_lowercase()));
        format!("{selector}{{{}}}\n", lines.concat())
    };
    format!(
        ":root{{--font:{FONT_FAMILY};--mono:{MONOSPACE}}}\n{}@media (prefers-color-scheme: dark){{{}}}\n\
         @media print{{{}}}\n{}",
        block(":root", &Palette::LIGHT),
        block(":root", &Palette::DARK),
        block(":root", &Palette::PRINT),
        block("#sheet-page", &Palette::PRINT),
    )
}

/// Rules by which a drawing in a page takes the page's colours. Drawings are made in the light ones.
pub fn drawings() -> String {
    let rules = Palette::LIGHT.named().map(|(name, color)| {
        let hex = hex(color);
        format!(
            "svg [fill=\"#{hex}\"]{{fill:var(--{name})}}\nsvg [stroke=\"#{hex}\"]{{stroke:var(--{name})}}\n"
        )
    });
    rules.concat()
}

/// The icon of every page: a gate between runner and part, in the accent.
pub fn icon() -> String {
    let accent = hex(Palette::LIGHT.accent).to_lowercase();
    format!(
        "<link rel=\"icon\" href=\"data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E\
         %3Cpath d='M1 4h6v3h2V1h6v14H9V9H7v3H1z' fill='%23{accent}'/%3E%3C/svg%3E\">"
    )
}

#[cfg(test)]
#[path = "styles_tests.rs"]
mod tests;
