//! Writing a number for a reader, and reading one. There is no other formatter.

use gatefrost_numerics::decimal;

/// `value` to `digits` significant digits, without a tail of zeros; very large and very small
/// numbers as a power of ten.
pub fn number(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "–".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let last = digits.max(1) as i32 - 1;
    if !(-4..7).contains(&magnitude) {
        let text = format!("{value:.*e}", last as usize);
        let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
        return format!("{}e{exponent}", trimmed(mantissa));
    }
    if magnitude > last {
        // Digits left of the point may be beyond the significant ones too.
        let unit = 10_f64.powi(magnitude - last);
        return format!("{:.0}", (value / unit).round() * unit);
    }
    trimmed(&format!("{value:.*}", (last - magnitude) as usize)).to_owned()
}

fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

/// The beginning of a text, at most so many characters of it.
pub fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A text in quotation marks for a message: shortened, with unprintable characters escaped.
pub fn quoted(text: &str) -> String {
    format!("{:?}", shortened(text, 40))
}

/// A text as a CSV field. A spreadsheet would run a text that begins like a formula, so such a
/// text is given a leading apostrophe.
#[inline]
pub fn csv_field(text: &str) -> String {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let text = if formula { format!("'{text}") } else { text.to_owned() };
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

/// A decimal number such as `-.5`, `+12.` or `3e-4`. `None` for any other text and for numbers that are too large.
///
/// It is exact to the last bit. The parser of the standard library would add some 10 kB of tables to the page.
pub fn parsed(text: &str) -> Option<f64> {
    let (sign, unsigned) = match text.as_bytes().first()? {
        b'-' => (-1.0, &text[1..]),
        b'+' => (1.0, &text[1..]),
        _ => (1.0, text),
    };
    let (mantissa, exponent) = unsigned.split_once(['e', 'E']).unwrap_or((unsigned, "0"));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let power = exponent.strip_prefix(['-', '+']).unwrap_or(exponent);
    let none = (whole.is_empty() && fraction.is_empty()) || power.is_empty();
    if none || ![whole, fraction, power].into_iter().all(digits) {
        return None;
    }
    let digit = |power: i64, digit: u8| power.saturating_mul(10).saturating_add(i64::from(digit - b'0'));
    let size_of_power = power.bytes().fold(0, digit);
    let power = if exponent.starts_with('-') { -size_of_power } else { size_of_power };
    let power = power.saturating_sub(fraction.len() as i64);
    let size = decimal::nearest(whole.bytes().chain(fraction.bytes()), power);
    size.is_finite().then_some(sign * size)
}

/// A number in full, without rounding, as in a document.
pub fn in_full(value: f64) -> String {
    let magnitude = value.abs();
    if magnitude == 0.0 || (1e-4..1e7).contains(&magnitude) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

#[cfg(test)]
mod tests {
    use super::{number, parsed, quoted};

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in [
            "0",
            "-0",
            "007",
            "12",
            "12.",
            ".5",
            "-.5",
            "+3",
            "3e4",
            "3.E+4",
            "1e-7",
            "0.1",
            "0.30000000000000004",
            "123456789012345678901234567890",
            "1.7976931348623157e308",
            "4.9e-324",
            "1e-400",
            "2.2250738585072011e-308",
        ] {
            assert_eq!(parsed(text).map(f64::to_bits), text.parse().ok().map(f64::to_bits), "{text}");
        }
        for text in [
            "", ".", "-", "+-1", "e5", "1e", "1e+", "1.2.3", "1 2", "0x10", "1e999", "inf", "NaN", "é",
            "1e5.0",
        ] {
            assert_eq!(parsed(text), None, "{text}");
        }
    }

    #[test]
    fn a_quoted_text_is_short_and_cannot_steer_a_terminal() {
        assert_eq!(quoted("hot"), "\"hot\"");
        assert_eq!(quoted(&"ü".repeat(5000)), format!("\"{}…\"", "ü".repeat(40)));
        assert_eq!(quoted("a\u{1b}[2J"), "\"a\\u{1b}[2J\"");
    }

    #[test]
    fn numbers_read_as_a_person_writes_them() {
        for (value, digits, text) in [
            (0.0, 3, "0"),
            (12.3456, 3, "12.3"),
            (99.97, 3, "100"),
            (1234.5, 3, "1230"),
            (-0.04567, 2, "-0.046"),
            (60.0, 3, "60"),
            (2.1e11, 3, "2.1e11"),
            (5e-7, 2, "5e-7"),
            (f64::NAN, 3, "–"),
        ] {
            assert_eq!(number(value, digits), text, "{value}");
        }
    }
}
