//! A class's own readings: a table of numbers as people paste it.

use crate::texts::Said;
use gatefrost_core::format::quoted;

/// Longest text that is read, bytes.
const MOST_BYTES: usize = 200_000;
/// Most rows.
const MOST_ROWS: usize = 1000;
/// Largest number that is taken for a reading.
const MOST: f64 = 1e9;

/// The numbers of a line. Between them stand tabs, semicolons or spaces, or commas where these are no decimal marks.
fn numbers(line: &str, columns: usize) -> Option<Vec<f64>> {
    let parts: Vec<String> = if line.contains(['\t', ';']) {
        line.split(['\t', ';']).map(|part| part.trim().replace(',', ".")).collect()
    } else if line.split(',').count() == columns && !line.trim().contains(' ') {
        line.split(',').map(|part| part.trim().to_owned()).collect()
    } else {
        let spaced = line.split_whitespace();
        spaced.map(|part| part.trim_end_matches(',').replace(',', ".")).collect()
    };
    let read = |part: &String| part.parse::<f64>().ok().filter(|value| (0.0..=MOST).contains(value));
    let found: Vec<f64> = parts.iter().filter(|part| !part.is_empty()).map(read).collect::<Option<_>>()?;
    (found.len() == columns).then_some(found)
}

/// The rows of a table with so many columns. Empty lines and those that begin with `#` are passed over, and a first line
/// without a digit is its head.
///
/// # Errors
/// Names the first line that is no row. There are 2 to 1000 rows of numbers from 0 to 10⁹.
pub fn table(text: &str, columns: usize) -> Result<Vec<Vec<f64>>, Said> {
    if text.len() > MOST_BYTES {
        return Err(Said::new("own-long").with("most", MOST_BYTES / 1000));
    }
    let mut rows = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim_matches(['\u{feff}', ' ', '\r']);
        let head = rows.is_empty() && !line.contains(|c: char| c.is_ascii_digit());
        if line.is_empty() || line.starts_with('#') || head {
            continue;
        }
        let row = numbers(line, columns);
        rows.push(row.ok_or_else(|| {
            let said = Said::new("own-line").with("line", at + 1);
            said.with("typed", quoted(line)).with("count", columns)
        })?);
    }
    match rows.len() {
        0 | 1 => Err(Said::new("own-few")),
        found if found > MOST_ROWS => Err(Said::new("own-many").with("most", MOST_ROWS)),
        _ => Ok(rows),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_read_as_people_paste_them() {
        let wanted = Ok(vec![vec![0.5, 3.741], vec![1.0, 3.76]]);
        for text in [
            "time s\tmass g\n0.5\t3.741\n1\t3.76\n",
            "0,5; 3,741\r\n1;3,760\r\n",
            "\u{feff}# weighed\n0.5 3.741\n\n1.0   3.76",
            "0.5,3.741\n1,3.76",
            "0,5 3,741\n1 3,76",
        ] {
            assert_eq!(table(text, 2), wanted, "{text}");
        }
        assert_eq!(table("150 100 400\n150 1000 120", 3).map(|rows| rows[1][2]), Ok(120.0));
    }

    #[test]
    fn what_is_no_reading_is_named_with_its_line() {
        for (text, key) in [
            ("1 2\n3 x", "own-line"),
            ("1 2\n3", "own-line"),
            ("1 2\n-3 4", "own-line"),
            ("1 2\nNaN 4", "own-line"),
            ("1 2\ninf 4", "own-line"),
            ("1 2", "own-few"),
            ("<b>", "own-few"),
        ] {
            assert_eq!(table(text, 2).map_err(|said| said.key().to_owned()), Err(key.to_owned()), "{text}");
        }
        assert!(table(&"1 2\n".repeat(1001), 2).is_err() && table(&"x".repeat(300_000), 2).is_err());
    }
}
