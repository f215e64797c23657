//! An explanation as plain text, for a terminal.

use crate::{Explanation, Move};

/// Width of the text, in characters.
const WIDTH: usize = 100;

impl Explanation {
    /// The explanation as lines of text, with the inputs that move the result most.
    pub fn text(&self, moves: &[Move]) -> String {
        let mut out = String::new();
        let value = self.value.as_deref().unwrap_or("none");
        out += &format!("{}: {value}\n({})\n\n{}\n", self.title, self.key, wrapped(self.meaning, ""));
        out += &format!("\nSolved (TeX)\n  {}\n", self.tex);
        let wide = |texts: &mut dyn Iterator<Item = usize>| texts.max().unwrap_or(0);
        let width = wide(&mut self.letters.iter().map(|l| l.letter.chars().count()));
        for l in &self.letters {
            out += &format!("    {}  {}\n", padded(l.letter, width), l.words);
        }
        out += "\nBy hand\n";
        for line in &self.lines {
            out += &format!("  {}\n    {}\n", line.text, line.text_with_numbers);
        }
        let letters = wide(&mut self.symbols.iter().map(|s| s.letter.chars().count()));
        let values = wide(&mut self.symbols.iter().map(|s| s.value.chars().count()));
        for s in &self.symbols {
            out += &format!("  {}  {}  {}\n", padded(&s.letter, letters), padded(&s.value, values), s.words);
        }
        out += &format!("\n{}\n", wrapped(&self.compared, ""));
        if !self.why.is_empty() {
            out += &format!("{}\n", wrapped(&self.why, ""));
        }
        out += &rows(
            "Causes, one after another left out",
            self.causes
                .iter()
                .map(|cause| (cause.words.clone(), cause.value.clone().unwrap_or_else(|| "none".to_owned()))),
        );
        out += &rows(
            "What moves it most",
            moves.iter().map(|m| {
                let error = m
                    .by_error
                    .as_ref()
                    .map_or_else(String::new, |error| format!("   standard error {error}"));
                (m.input.clone(), format!("{}{error}", m.change))
            }),
        );
        if let Some(limit) = &self.limit {
            let said = if limit.sentence.is_empty() { "Nothing can break it here." } else { &limit.sentence };
            out += &format!("\nLimit: {}\n{}\n", limit.label, wrapped(said, "  "));
        }
        out += &format!("\nSource: {}\nHandbook: results.html#{}\n", self.source, self.section);
        out
    }
}

fn rows(title: &str, rows: impl Iterator<Item = (String, String)>) -> String {
    let rows: Vec<(String, String)> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    let width = rows.iter().map(|(words, _)| words.chars().count()).max().unwrap_or(0);
    let row = |(words, value): &(String, String)| format!("  {}  {value}\n", padded(words, width));
    format!("\n{title}\n{}", rows.iter().map(row).collect::<String>())
}

fn padded(text: &str, width: usize) -> String {
    // A combining dot takes no place of its own.
    let taken = text.chars().filter(|c| *c != '\u{307}').count();
    format!("{text}{}", " ".repeat(width.saturating_sub(taken)))
}

/// A text in lines of a bounded width, each after an indent.
fn wrapped(text: &str, indent: &str) -> String {
    let mut lines = vec![indent.to_owned()];
    for word in text.split_whitespace() {
        let last = lines.len() - 1;
        if lines[last].chars().count() + word.chars().count() >= WIDTH && lines[last].len() > indent.len() {
            lines.push(format!("{indent}{word}"));
        } else {
            if lines[last].len() > indent.len() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines.join("\n")
}
