//! Writing to the terminal: nothing here panics when the other end is gone.

use crate::failure::Failure;
use serde::Serialize;
use std::io::{self, Write};

/// Longest line written to standard error, in characters; an input may hold a megabyte of name.
const MOST_CHARACTERS: usize = 600;

/// Size of the window's figure, in CSS pixels.
pub(crate) const FIGURE: (u32, u32) = (960, 640);

/// Writes a text and a line end to standard output.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    written(out.write_all(text.as_bytes()).and_then(|()| out.write_all(b"\n")).and_then(|()| out.flush()))
}

/// Writes bytes to standard output as they are.
pub(crate) fn print_bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    written(out.write_all(bytes).and_then(|()| out.flush()))
}

fn written(done: io::Result<()>) -> Result<(), Failure> {
    done.map_err(|e| match e.kind() {
        io::ErrorKind::BrokenPipe => Failure::ReaderGone,
        _ => Failure::io("standard output", &e),
    })
}

/// A result as indented JSON.
pub(crate) fn json(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value)
        .map_err(|e| Failure::Bad(vec![format!("the result cannot be written: {e}")]))
}

/// Writes one line to standard error, after the program's name.
pub(crate) fn complain(line: &str) {
    tell(&format!("gatefrost: {line}"));
}

/// Writes one line to standard error, without control characters.
pub(crate) fn tell(line: &str) {
    let mut shown: String = line.chars().take(MOST_CHARACTERS).map(harmless).collect();
    if line.chars().nth(MOST_CHARACTERS).is_some() {
        shown.push('…');
    }
    // Standard error may be closed as well; there is nowhere left to say so.
    let _ = writeln!(io::stderr(), "{shown}");
}

/// Replaces control characters and direction overrides of hostile input by a mark.
pub(crate) fn harmless(c: char) -> char {
    match c {
        '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
        c if c.is_control() => '\u{fffd}',
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn text_that_steers_a_terminal_is_disarmed() {
        let shown: String = "a\u{1b}[2Jb\u{202e}c\nü".chars().map(harmless).collect();
        assert_eq!(shown, "a\u{fffd}[2Jb\u{fffd}c\u{fffd}ü");
    }
}
