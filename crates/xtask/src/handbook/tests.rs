//! Tests of the handbook as it stands, and of its builder.

use std::fs;

use gatefrost_core::limits::Limit;
use gatefrost_scenario::catalogue;

use super::chapter::Chapter;
use super::*;
use crate::files;

fn raw() -> Files {
    let folder = workspace::root().unwrap().join("www/handbook");
    files::read(&folder).unwrap()
}

fn chapter(markdown: &str) -> Result<Chapter> {
    Chapter::read("page", markdown, &Files::new())
}

#[test]
fn every_chapter_is_built_and_every_link_of_it_leads_somewhere() {
    let pages = pages(&raw()).unwrap();
    assert_eq!(pages.len(), CHAPTERS.len());
    for (name, html) in pages {
        page::refuse_inline_style(&html).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(!html.contains("{{") && !html.contains("$$"), "{name}");
    }
}

#[test]
fn every_number_has_a_row_and_every_limit_a_section() {
    let pages: std::collections::BTreeMap<_, _> = pages(&raw()).unwrap().into_iter().collect();
    for p in catalogue::all() {
        let row = format!("<tr id=\"{}\">", p.path());
        assert_eq!(pages["scenario.html"].matches(&row).count(), 1, "{row}");
    }
    for limit in Limit::ALL {
        let section = format!("<h3 id=\"{}\">", limit.name());
        assert_eq!(pages["limits.html"].matches(&section).count(), 1, "{section}");
    }
}

#[test]
fn every_result_that_can_be_opened_has_a_section() {
    let pages: std::collections::BTreeMap<_, _> = pages(&raw()).unwrap().into_iter().collect();
    for entry in gatefrost_explain::all() {
        let section = format!("<h3 id=\"{}\">", entry.key);
        assert_eq!(pages["results.html"].matches(&section).count(), 1, "{section}");
    }
}

#[test]
fn each_limit_says_whether_it_is_physics_a_habit_or_a_choice() {
    let pages: std::collections::BTreeMap<_, _> = pages(&raw()).unwrap().into_iter().collect();
    let sections: Vec<&str> = pages["limits.html"].split("<h3 id=\"").skip(1).collect();
    for limit in Limit::ALL {
        let own = |section: &&&str| section.starts_with(&format!("{}\"", limit.name()));
        let section = sections.iter().find(own).unwrap();
        let ground = format!("<dt>Rests on</dt><dd>{}: ", limit.ground().label());
        assert_eq!(section.matches(&ground).count(), 1, "{section}");
        assert_eq!(section.contains("New since version"), limit.since() > 1, "{section}");
    }
}

#[test]
fn every_colour_of_a_drawing_has_one_of_the_page() {
    let styles = styles::drawings();
    for (name, bytes) in raw().iter().filter(|(name, _)| name.ends_with(".svg")) {
        let drawing = std::str::from_utf8(bytes).unwrap();
        for what in ["fill", "stroke"] {
            let colours =
                links::attributes(drawing, what).into_iter().filter(|colour| colour.starts_with('#'));
            for colour in colours {
                assert!(styles.contains(&format!("[{what}=\"{colour}\"]")), "{name}: {what} {colour}");
            }
        }
    }
}

#[test]
fn a_formula_becomes_mathml_and_one_that_cannot_be_read_is_refused() {
    let body = chapter("# T\n\nA line with $x_1$.\n\n$$\\frac{a}{b}$$\n").unwrap().body;
    assert!(
        body.contains("<math><msub><mi>x</mi>") && body.contains("<math display=\"block\"><mfrac>"),
        "{body}"
    );
    for wrong in ["# T\n\n$\\nosuchthing$\n", "# T\n\n$$\\frac{a$$\n", "# T\n\n$a\\!b$\n"] {
        assert!(chapter(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn a_link_that_leads_nowhere_is_refused_and_named() {
    for wrong in ["[x](nowhere.md)", "[x](#nowhere)", "[x](page.md#nowhere)"] {
        let chapters = [chapter(&format!("# T\n\n## Here\n\n{wrong}\n")).unwrap()];
        let message = links::check(&chapters).unwrap_err().to_string();
        assert!(message.contains("nowhere"), "{message}");
    }
    let chapters = [chapter("# T\n\n## Here it is\n\n[x](page.md#here-it-is) [y](../index.html)\n").unwrap()];
    links::check(&chapters).unwrap();
    let twice = [chapter("# T\n\n## Here\n\n## Here\n").unwrap()];
    assert!(links::check(&twice).is_err());
}

#[test]
fn a_directive_or_a_number_that_does_not_exist_is_refused() {
    for wrong in [
        "{{numbers nothing}}",
        "{{limit nothing}}",
        "{{results nothing}}",
        "{{figure nothing | x}}",
        "{{nothing}}",
    ] {
        assert!(chapter(&format!("# T\n\n{wrong}\n")).is_err(), "{wrong}");
    }
}

#[test]
fn the_documents_of_the_repository_stay_short() {
    let root = workspace::root().unwrap();
    for (name, most) in [("README.md", 150), ("DEVELOPERS.md", 250)] {
        let lines = fs::read_to_string(root.join(name)).unwrap().lines().count();
        assert!(lines <= most, "{name} has {lines} lines, more than {most}");
    }
}

#[test]
fn the_documents_of_the_repository_link_to_what_there_is() {
    let root = workspace::root().unwrap();
    for name in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(root.join(name)).unwrap();
        for link in page::elements(&text, "](", ")") {
            let address = &link[2..link.len() - 1];
            let file = address.split('#').next().unwrap_or_default();
            if file.is_empty() || file.starts_with("https://") {
                continue;
            }
            assert!(root.join(file).exists(), "{name} links to {address}");
        }
    }
}
