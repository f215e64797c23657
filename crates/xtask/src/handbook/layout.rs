//! The page around a chapter: head, contents, the ways on.

use super::chapter::Chapter;
use super::escaped;
use crate::heads::Head;
use crate::offline;

/// A page of the handbook. It loads by names relative to its folder, as the site's other pages do.
pub fn page(chapters: &[Chapter], place: usize) -> String {
    let chapter = &chapters[place];
    let title = escaped(&chapter.title);
    let tab =
        if place == 0 { "Gatefrost handbook".to_owned() } else { format!("{title} – Gatefrost handbook") };
    let head = Head {
        title: &tab,
        style: "handbook",
        scripts: vec![offline::MODULE],
        top: "../",
        ..Head::default()
    };
    format!(
        "{}<header class=\"title-block handbook-head\">\n<p class=\"cell\">Gatefrost handbook</p>\n\
         <nav class=\"cell row\" aria-label=\"Pages\"><a class=\"way\" href=\"../index.html\">The window</a>\n\
         <a class=\"way\" href=\"../laboratory.html\">Feedstock laboratory</a>\n\
         <a class=\"way\" href=\"../after.html\">After the mould</a>\n\
         <a class=\"way\" href=\"../plan.html\">The plan</a>\n\
         <a class=\"way\" href=\"#chapters\">Chapters</a></nav>\n</header>\n\
         <main class=\"handbook\">\n<article>\n<h1>{title}</h1>\n{}{}</article>\n{}</main>\n</body>\n</html>\n",
        head.html(),
        chapter.body,
        ways_on(chapters, place),
        contents(chapters, place),
    )
}

/// The chapters, and the sections of this one.
fn contents(chapters: &[Chapter], place: usize) -> String {
    let item = |(at, chapter): (usize, &Chapter)| {
        let title = escaped(&chapter.title);
        if at != place {
            return format!("<li><a href=\"{}.html\">{title}</a></li>\n", chapter.name);
        }
        let section = |s: &super::chapter::Section| {
            format!("<li><a href=\"#{}\">{}</a></li>\n", s.id, escaped(&s.title))
        };
        let sections: String = chapter.sections.iter().map(section).collect();
        let sections = if sections.is_empty() { sections } else { format!("<ul>\n{sections}</ul>") };
        format!("<li><a href=\"{}.html\" aria-current=\"page\">{title}</a>{sections}</li>\n", chapter.name)
    };
    let items: String = chapters.iter().enumerate().map(item).collect();
    format!("<nav id=\"chapters\" aria-label=\"Chapters\">\n<h2>Chapters</h2>\n<ol>\n{items}</ol>\n</nav>\n")
}

/// The chapters before and after.
fn ways_on(chapters: &[Chapter], place: usize) -> String {
    let way = |place: Option<usize>, words: &str, rel: &str| {
        let Some(chapter) = place.and_then(|place| chapters.get(place)) else { return String::new() };
        let (name, title) = (chapter.name, escaped(&chapter.title));
        format!("<a class=\"way\" rel=\"{rel}\" href=\"{name}.html\">{words}: {title}</a>\n")
    };
    let before = way(place.checked_sub(1), "Before", "prev");
    let after = way(Some(place + 1), "Next", "next");
    format!("<nav class=\"ways-on\" aria-label=\"Before and after this chapter\">\n{before}{after}</nav>\n")
}
