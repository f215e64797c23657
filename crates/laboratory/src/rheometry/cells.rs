//! Cells of a table: how a line is split, and what a cell holds.

use std::borrow::Cow;

/// The number at the start of a cell, and what follows it.
pub(super) fn number(cell: &str) -> Option<(&str, &str)> {
    let cell = cell.trim();
    let mut end = 0;
    let mut digits = 0;
    let mut exponent = false;
    let mut before = ' ';
    for (i, c) in cell.char_indices() {
        let sign_fits = i == 0 || before == 'e' || before == 'E';
        match c {
            '0'..='9' => digits += 1,
            '.' | ',' if !exponent => {}
            '+' | '-' | '−' if sign_fits => {}
            'e' | 'E'
                if digits > 0
                    && !exponent
                    && cell[i + 1..].starts_with(|c: char| c.is_ascii_digit() || "+-−".contains(c)) =>
            {
                exponent = true;
            }
            _ => break,
        }
        before = c;
        end = i + c.len_utf8();
    }
    (digits > 0).then(|| (&cell[..end], cell[end..].trim()))
}

/// Tab before semicolon before comma, outside brackets and quotes.
pub(super) fn separator_of(header: &str) -> char {
    let (mut depth, mut quoted) = (0, false);
    let (mut tab, mut semicolon) = (false, false);
    for c in header.chars() {
        match c {
            '"' => quoted = !quoted,
            '[' | '(' => depth += 1,
            ']' | ')' => depth -= 1,
            '\t' => tab = true,
            ';' if depth <= 0 && !quoted => semicolon = true,
            _ => {}
        }
    }
    if tab {
        '\t'
    } else if semicolon {
        ';'
    } else {
        ','
    }
}

/// Splits a line at the separator, outside double quotes; quotes and outer spaces fall away.
pub(super) fn split(line: &str, separator: char) -> Vec<Cow<'_, str>> {
    if !line.contains('"') {
        return line.split(separator).map(|cell| Cow::Borrowed(cell.trim())).collect();
    }
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            cells.push(String::new());
        } else if let Some(cell) = cells.last_mut() {
            cell.push(c);
        }
    }
    cells.into_iter().map(|cell| Cow::Owned(cell.trim().to_owned())).collect()
}

/// A cell short enough to repeat in a message.
pub(super) fn shortened(cell: &str) -> String {
    let mut out: String = cell.chars().filter(|c| !c.is_control()).take(40).collect();
    if out.len() < cell.len() && cell.chars().count() > 40 {
        out.push('…');
    }
    out
}
