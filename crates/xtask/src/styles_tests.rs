use super::*;
use crate::{files, workspace};

fn made(list: &[(&str, &str)]) -> Files {
    list.iter().map(|(name, style)| (format!("css/{name}"), style.as_bytes().to_vec())).collect()
}

/// The files of `www` as they were written.
fn www() -> Files {
    files::read(&workspace::root().unwrap().join("www")).unwrap()
}

#[test]
fn a_sheet_is_its_parts_in_their_layers_and_in_their_order() {
    let mut sources = made(&[
        (
            "page.css",
            "/* a page */\n@layer base, pages;\n@import \"b/one.css\" layer(base);\n@import \"two/2.css\" layer(pages);\n",
        ),
        ("b/one.css", "p { color: red; } /* said */\n"),
        ("two/2.css", "/* of two\n   lines */\n\nb { color: blue; }\n"),
    ]);
    build(&mut sources).unwrap();
    assert_eq!(sources.keys().collect::<Vec<_>>(), ["css/page.css"]);
    assert_eq!(
        text(&sources["css/page.css"], "").unwrap(),
        "@layer base, pages;\n@layer base {\np { color: red; }\n}\n@layer pages {\nb { color: blue; }\n}\n"
    );
}

#[test]
fn a_part_that_is_missing_or_that_no_page_takes_is_refused() {
    for wrong in [
        made(&[("page.css", "@import \"a/b.css\" layer(base);\n")]),
        made(&[("page.css", ""), ("a/b.css", "")]),
        made(&[("page.css", "@import url(a/b.css);\n@import \"a/b.css\";\n"), ("a/b.css", "")]),
    ] {
        assert!(build(&mut wrong.clone()).is_err(), "{wrong:?}");
    }
}

/// Colours stand in `gatefrost-palette` and nowhere else: not in a style sheet, page or script, and not in what
/// draws the figures.
#[test]
fn no_colour_stands_outside_the_palette() {
    let mut texts = www();
    texts.retain(|name, _| [".css", ".html", ".js"].iter().any(|end| name.ends_with(end)));
    for (name, bytes) in files::read(&workspace::root().unwrap().join("crates/plot/src")).unwrap() {
        texts.insert(format!("plot/{name}"), bytes);
    }
    assert!(texts.len() > 80);
    for (name, bytes) in &texts {
        for (at, line) in text(bytes, name).unwrap().lines().enumerate() {
            assert!(!has_colour(line), "{name}:{}: {line}", at + 1);
        }
    }
    for line in
        ["color: #fff;", "fill='%23a03f1a'", "[0xf6, 0xf0, 0xe4]", "rgb(0 0 0 / 45%)", "a: hsl(1 2% 3%)"]
    {
        assert!(has_colour(line), "{line}");
    }
}

/// Whether a line holds a colour in hexadecimal digits or as a function.
fn has_colour(line: &str) -> bool {
    let digits = |rest: &str| rest.bytes().take_while(u8::is_ascii_hexdigit).count();
    let ends =
        |rest: &str| !rest[digits(rest)..].starts_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_');
    let hash =
        |mark: &str| line.split(mark).skip(1).any(|rest| matches!(digits(rest), 3 | 4 | 6 | 8) && ends(rest));
    let function =
        ["rgb(", "rgba(", "hsl(", "hsla(", "oklch(", "lab("].iter().any(|name| line.contains(name));
    let bytes = line.split("0x").skip(1).filter(|rest| digits(rest) == 2).count();
    hash("#") || hash("%23") || function || bytes >= 3
}

/// Sizes of text, spaces, radii and line widths come from the scales of `css/base/tokens.css`.
#[test]
fn every_size_and_space_comes_from_the_scale() {
    for (name, bytes) in www().iter().filter(|(name, _)| name.ends_with(".css")) {
        for line in bare(text(bytes, name).unwrap()).lines() {
            assert!(!has_length_of_its_own(line), "{name}: {line}");
        }
    }
    for line in
        ["  padding: 0.3rem 0;", "margin-top: -4px;", "border: 1px solid var(--hair);", "gap: 1rem 2rem;"]
    {
        assert!(has_length_of_its_own(line), "{line}");
    }
}

/// Whether a line sets a size of text, a space or a line width to so many pixels or root ems. Percent, `em` and
/// what paper is measured in are allowed.
fn has_length_of_its_own(line: &str) -> bool {
    let scaled = ["font-size", "margin", "padding", "gap", "row-gap", "column-gap", "border", "outline"];
    let Some((property, value)) = line.trim().split_once(": ") else { return false };
    let of = |name: &&str| {
        property == *name || property.strip_prefix(*name).is_some_and(|rest| rest.starts_with('-'))
    };
    let words = value.split(|c: char| c.is_whitespace() || "(),;".contains(c));
    let literal = |word: &str| {
        let number = word.strip_suffix("px").or_else(|| word.strip_suffix("rem"));
        number.is_some_and(|number| number.parse::<f64>().is_ok())
    };
    scaled.iter().any(of) && words.into_iter().any(literal)
}

/// A class or id that no page and no script makes has no rule.
#[test]
fn every_rule_is_for_something_that_a_page_has() {
    let files = www();
    let made: String = files
        .iter()
        .filter(|(name, _)| name.ends_with(".js") || name.ends_with(".html"))
        .map(|(name, bytes)| text(bytes, name).unwrap())
        .chain([
            include_str!("heads.rs"),
            include_str!("handbook/layout.rs"),
            include_str!("handbook/chapter.rs"),
            include_str!("handbook/limits.rs"),
        ])
        .chain([
            include_str!("handbook/directives.rs"),
            include_str!("handbook/math.rs"),
            include_str!("handbook/numbers.rs"),
        ])
        .collect();
    let words: std::collections::HashSet<&str> =
        made.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '_')).collect();
    for (name, bytes) in files.iter().filter(|(name, _)| name.ends_with(".css")) {
        let style = bare(text(bytes, name).unwrap());
        for selector in style.split(['{', '}']).filter(|piece| !piece.contains(';')) {
            for piece in selector.split(['.', '#']).skip(1) {
                let end = piece.find(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '_'));
                let word = &piece[..end.unwrap_or(piece.len())];
                let number = word.starts_with(|c: char| c.is_ascii_digit());
                assert!(number || word.is_empty() || words.contains(word), "{name}: {selector}: {word}");
            }
        }
    }
}
