//! From the bytes of a file to text that can be a table.

use super::problem::{TableError, TableProblem};

/// Greatest number of bytes.
pub const MAX_BYTES: usize = 16_000_000;

/// Refuses data that are too long or not text.
pub(crate) fn is_text(text: &str) -> Result<(), TableProblem> {
    let refuse = |line, message: String| Err(TableProblem { line, column: None, message });
    if text.len() > MAX_BYTES {
        let size = text.len() as f64 / 1e6;
        return refuse(
            None,
            format!(
                "{size:.1} MB; at most {} MB are read: use fewer readings or split the file.",
                MAX_BYTES / 1_000_000
            ),
        );
    }
    let odd = |c: char| c.is_control() && !matches!(c, '\t' | '\r' | '\n' | '\u{c}');
    if let Some(at) = text.find(odd) {
        let line = text[..at].matches('\n').count() + 1;
        return refuse(
            Some(line),
            "This is not text: it looks like a spreadsheet or another binary file. Save the readings as CSV and give that.".to_owned(),
        );
    }
    let lost = text.matches('\u{fffd}').count();
    if lost > 20 && lost * 20 > text.chars().count() {
        return refuse(
            Some(1),
            "This is not text, or its encoding is unknown. Save the readings as CSV in UTF-8 and give that."
                .to_owned(),
        );
    }
    Ok(())
}

/// The text of a file: UTF-8, UTF-16 with its mark, else Latin-1 as older spreadsheets write it.
///
/// # Errors
/// If the bytes are not text.
pub fn decode(bytes: &[u8]) -> Result<String, TableError> {
    if bytes.len() > 2 * MAX_BYTES {
        let size = bytes.len() as f64 / 1e6;
        return Err(TableError::whole(format!(
            "{size:.1} MB; at most {} MB are read.",
            MAX_BYTES / 1_000_000
        )));
    }
    let wide = |pair: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes[2..].chunks_exact(2).map(|c| pair([c[0], c[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    Ok(match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes),
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
        },
    })
}
