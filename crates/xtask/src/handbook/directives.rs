//! Lines of a chapter that stand for what is known elsewhere:
//!
//! ```text
//! {{numbers GROUP}}          the table of a group of the parameter catalogue
//! {{families}}               what is usual in each family of binders
//! {{limits}}                 the table of all limits
//! {{limit NAME}}             the facts about one limit
//! {{results PART}}           what stands behind the results of a part of the report
//! {{figure NAME | caption}}  figures/NAME.svg, drawn by the program
//! ```

use anyhow::{Context, Result, bail, ensure};

use super::{escaped, limits, numbers, results};
use crate::files::{Files, text};

/// The chapter with its directives replaced by HTML.
pub fn expand(markdown: &str, raw: &Files) -> Result<String> {
    let mut expanded = String::new();
    for line in markdown.lines() {
        match line.strip_prefix("{{").and_then(|line| line.strip_suffix("}}")) {
            Some(directive) => expanded += &block(directive, raw)?,
            None => expanded += line,
        }
        expanded.push('\n');
    }
    Ok(expanded)
}

fn block(directive: &str, raw: &Files) -> Result<String> {
    let (name, argument) = directive.split_once(' ').unwrap_or((directive, ""));
    match name {
        "numbers" => numbers::table(argument),
        "families" => Ok(numbers::families()),
        "limits" => Ok(limits::table()),
        "limit" => limits::facts(argument),
        "results" => results::of_part(argument),
        "figure" => figure(argument, raw),
        _ => bail!("{{{{{directive}}}}} is no directive"),
    }
}

/// A drawing of the program with its caption. It stands in the page itself, so that it takes the page's colours.
fn figure(argument: &str, raw: &Files) -> Result<String> {
    let (name, caption) = argument.split_once(" | ").context("a figure needs a name and a caption")?;
    let file = format!("figures/{name}.svg");
    let bytes = raw.get(&file).with_context(|| format!("www/handbook/{file} is missing"))?;
    let drawing = text(bytes, &file)?;
    let start = drawing.find("<svg").context("the file holds no <svg>")?;
    let drawing = compact(&drawing[start..]);
    ensure!(!drawing.contains("<script"), "{file} holds a script");
    let caption = escaped(caption);
    Ok(format!(
        "<figure>\n<div class=\"scroll\" tabindex=\"0\">\n{}\n</div>\n<figcaption>{caption}</figcaption>\n</figure>",
        drawing.trim()
    ))
}

/// A drawing with neighbouring lines of one style as one path: hatches are thousands of lines.
fn compact(svg: &str) -> String {
    let mut out = String::new();
    let mut open: Option<&str> = None;
    for line in svg.lines().filter(|line| !line.is_empty()) {
        let style = line.strip_prefix("<polyline ").and_then(|rest| rest.split_once(" points=\""));
        let style = style.and_then(|(style, rest)| Some((style, rest.strip_suffix("\"/>")?.trim_end())));
        if open.is_some() && open != style.map(|(style, _)| style) {
            out.push_str("\"/>\n");
        }
        if let Some((style, points)) = style {
            if open != Some(style) {
                out.push_str(&format!("<path {} d=\"", style.replace(" opacity=\"1\"", "")));
            }
            out.push_str(&format!("M{}", points.replace(' ', "L")));
        } else {
            out.push_str(line);
            out.push('\n');
        }
        open = style.map(|(style, _)| style);
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn lines_of_one_style_become_one_path_and_all_else_stays() {
        let line = |stroke: &str, points: &str| {
            format!("<polyline fill=\"none\" opacity=\"1\" stroke=\"{stroke}\" points=\"{points} \"/>\n")
        };
        let (a, b, c) = (line("#111", "1,2 3,4"), line("#111", "5,6 7,8"), line("#222", "9,9 8,8"));
        assert_eq!(
            super::compact(&format!("<svg>\n<text>\nx\n</text>\n{a}{b}{c}</svg>\n")),
            "<svg>\n<text>\nx\n</text>\n<path fill=\"none\" stroke=\"#111\" d=\"M1,2L3,4M5,6L7,8\"/>\n\
             <path fill=\"none\" stroke=\"#222\" d=\"M9,9L8,8\"/>\n</svg>\n"
        );
    }
}
