//! One chapter: from Markdown to HTML.

use anyhow::{Result, bail, ensure};
use pulldown_cmark::{CowStr, Event, Options, Parser, Tag, TagEnd, html};

use super::{directives, escaped, math};
use crate::files::Files;

/// A formula with more TeX than this may be wider than a narrow screen.
const LONG: usize = 60;

/// A heading that the contents list.
pub struct Section {
    /// Its anchor.
    pub id: String,
    /// What it says, without markup.
    pub title: String,
}

/// A chapter as HTML.
pub struct Chapter {
    /// Its file's name without the ending.
    pub name: &'static str,
    /// Its title.
    pub title: String,
    /// Its second-level headings.
    pub sections: Vec<Section>,
    /// Its text, below the title.
    pub body: String,
}

impl Chapter {
    /// Reads a chapter; `raw` are the files beside it.
    pub fn read(name: &'static str, markdown: &str, raw: &Files) -> Result<Self> {
        let markdown = directives::expand(markdown, raw)?;
        let options = Options::ENABLE_TABLES | Options::ENABLE_MATH | Options::ENABLE_HEADING_ATTRIBUTES;
        let mut reader =
            Reader { title: String::new(), sections: Vec::new(), out: Vec::new(), heading: None };
        for event in Parser::new_ext(&markdown, options) {
            reader.take(event)?;
        }
        ensure!(!reader.title.is_empty(), "there is no title: the first line must be one, with a single #");
        let mut body = String::new();
        html::push_html(&mut body, reader.out.into_iter());
        // What is wider than the screen scrolls by itself, with the keyboard too.
        let body = body.replace("<table>", "<div class=\"scroll\" tabindex=\"0\"><table>");
        let body = body.replace("</table>", "</table></div>").replace("<pre>", "<pre tabindex=\"0\">");
        Ok(Self { name, title: reader.title, sections: reader.sections, body })
    }
}

/// What has been read of a chapter so far.
struct Reader<'a> {
    title: String,
    sections: Vec<Section>,
    out: Vec<Event<'a>>,
    /// The heading that is being read: its level, its anchor, its text, and where it began.
    heading: Option<(u8, Option<String>, String, usize)>,
}

impl<'a> Reader<'a> {
    fn take(&mut self, event: Event<'a>) -> Result<()> {
        match event {
            Event::InlineMath(tex) => {
                let formula = math::mathml(&tex, false)?;
                self.out.push(Event::InlineHtml(formula.into()));
            }
            Event::DisplayMath(tex) => {
                let formula = math::mathml(&tex, true)?;
                let scrolls = if tex.len() > LONG { " tabindex=\"0\"" } else { "" };
                let formula = format!("<span class=\"formula\"{scrolls}>{formula}</span>");
                self.out.push(Event::InlineHtml(formula.into()));
            }
            Event::Start(Tag::Heading { level, id, .. }) => {
                let id = id.map(|id| id.to_string());
                self.heading = Some((level as u8, id, String::new(), self.out.len()));
            }
            Event::End(TagEnd::Heading(_)) => self.close_heading()?,
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                let dest_url = to_page(&dest_url);
                self.out.push(Event::Start(Tag::Link { link_type, dest_url, title, id }));
            }
            Event::Text(text) if text.contains('$') => bail!("a $ that belongs to no formula, in: {text}"),
            event => {
                if let (Some(heading), Event::Text(text) | Event::Code(text)) = (&mut self.heading, &event) {
                    heading.2.push_str(text);
                }
                self.out.push(event);
            }
        }
        Ok(())
    }

    /// Writes the heading that ends: the title apart, the others with an anchor to link to.
    fn close_heading(&mut self) -> Result<()> {
        let Some((level, id, text, from)) = self.heading.take() else { return Ok(()) };
        let inside: Vec<Event<'a>> = self.out.drain(from..).collect();
        if level == 1 {
            ensure!(self.title.is_empty(), "there are two titles: {} and {text}", self.title);
            self.title = text;
            return Ok(());
        }
        let id = id.unwrap_or_else(|| slug(&text));
        let mut words = String::new();
        html::push_html(&mut words, inside.into_iter());
        let heading = format!(
            "<h{level} id=\"{id}\">{words} <a class=\"anchor\" href=\"#{id}\" aria-label=\"Link to: {}\">#</a></h{level}>\n",
            escaped(&text)
        );
        self.out.push(Event::Html(heading.into()));
        if level == 2 {
            self.sections.push(Section { id, title: text });
        }
        Ok(())
    }
}

/// A link to a chapter's file leads to its page.
fn to_page(address: &CowStr<'_>) -> CowStr<'static> {
    let (file, fragment) = address.split_once('#').map_or((&**address, None), |(f, a)| (f, Some(a)));
    let local = !address.contains(':') && !file.contains('/');
    let file = match file.strip_suffix(".md") {
        Some(stem) if local => format!("{stem}.html"),
        _ => file.to_owned(),
    };
    fragment.map_or_else(|| file.clone(), |fragment| format!("{file}#{fragment}")).into()
}

/// An anchor made of a heading's words.
fn slug(text: &str) -> String {
    let words = text.to_lowercase();
    let words: Vec<&str> = words.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    words.join("-")
}
