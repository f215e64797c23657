//! An answer as a person types it: a number and a unit.
//!
//! Accepted are a decimal point or comma, blanks or apostrophes between groups of digits, a power of ten in the usual ways
//! (`1.26e4`, `1.26·10^4`, `1,26 x 10⁴`), and a unit after the number, with the usual signs for the same thing (`1/s`,
//! `s^-1`, `s⁻¹`; `g/cm3`, `g/cm³`; `um`, `µm`).

use crate::texts::Said;
use gatefrost_core::format;

/// Characters of an answer, at most.
const LONGEST: usize = 80;

/// A number with a unit, as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// The number.
    pub value: f64,
    /// The other number that the text may mean: `12,609` is 12.609, or 12609 where the comma parts groups of digits.
    pub grouped: Option<f64>,
    /// Its significant digits, the least and the most that it can be said to have: `1200` has 2 to 4.
    pub digits: [u32; 2],
    /// The unit; empty if none was typed.
    pub unit: String,
}

/// Reads an answer.
///
/// # Errors
/// Says what is not a number. Nothing typed is an error, too.
pub fn read(typed: &str) -> Result<Typed, Said> {
    let text = typed.trim();
    if text.is_empty() {
        return Err(Said::new("answer-empty"));
    }
    if text.chars().count() > LONGEST {
        return Err(Said::new("answer-long").with("most", LONGEST));
    }
    let not_a_number = || Said::new("answer-no-number").with("typed", format::quoted(text));
    let alone = text.strip_prefix("10").is_some_and(|rest| rest.starts_with(['^', '⁻']) || raised(rest));
    let (mantissa, rest) = if alone { ("1".to_owned(), text) } else { split_mantissa(text) };
    let (power, unit) = split_power(rest).ok_or_else(not_a_number)?;
    let plain = plain_number(&mantissa).ok_or_else(not_a_number)?;
    let number = |mantissa: &str| format::parsed(&format!("{mantissa}e{power}"));
    let value = number(&plain.decimal).ok_or_else(not_a_number)?;
    let grouped = plain.grouped.as_deref().and_then(number);
    let unit = unit.trim().to_owned();
    let per = unit.strip_prefix('1').is_some_and(|after| after.trim_start().starts_with('/'));
    if unit.starts_with(|c: char| c.is_ascii_digit()) && !per {
        return Err(not_a_number());
    }
    Ok(Typed { value, grouped, digits: significant(&plain.decimal), unit })
}

/// Parts the digits at the beginning, with their sign and their marks, from what follows.
fn split_mantissa(text: &str) -> (String, &str) {
    let mut end = 0;
    let mut after_digit = false;
    for (at, c) in text.char_indices() {
        let signs = at == 0 && matches!(c, '+' | '-' | '−');
        let after = &text[at + c.len_utf8()..];
        let belongs = c.is_ascii_digit()
            || signs
            || (".,".contains(c) && (after_digit || starts_with_digit(after)))
            || (is_blank(c) && begins_with_group(after));
        if !belongs {
            break;
        }
        after_digit = c.is_ascii_digit();
        end = at + c.len_utf8();
    }
    (text[..end].replace('−', "-"), &text[end..])
}

/// A blank or an apostrophe, which part groups of digits.
fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\'' | '’')
}

fn starts_with_digit(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// Whether a text begins with three digits and no fourth.
fn begins_with_group(text: &str) -> bool {
    let digits = text.bytes().take(4).take_while(u8::is_ascii_digit).count();
    digits == 3
}

/// Whether a text begins with a raised digit.
fn raised(text: &str) -> bool {
    text.starts_with(|c: char| !c.is_ascii() && plain_digit(c).is_some_and(|plain| plain.is_ascii_digit()))
}

/// A mantissa with a decimal point alone.
struct PlainNumber {
    decimal: String,
    grouped: Option<String>,
}

/// Decides which marks part groups of three digits and which one is the decimal mark. `None` where they fit neither way.
fn plain_number(mantissa: &str) -> Option<PlainNumber> {
    let joined: String = if mantissa.contains(is_blank) {
        let (whole, fraction) = mantissa.split_once(['.', ',']).map_or((mantissa, ""), |(w, f)| (w, f));
        if !in_groups(whole.trim_start_matches(['+', '-']).split(is_blank)) || fraction.contains(is_blank) {
            return None;
        }
        mantissa.chars().filter(|&c| !is_blank(c)).collect()
    } else {
        mantissa.to_owned()
    };
    let (points, commas) = (joined.matches('.').count(), joined.matches(',').count());
    let without = |mark: char| joined.replace(mark, "");
    let plain = |decimal: String| Some(PlainNumber { decimal, grouped: None });
    match (points, commas) {
        (0, 0) => plain(joined),
        (1, 0) | (0, 1) => {
            let decimal = joined.replace(',', ".");
            let unsigned = joined.trim_start_matches(['+', '-']);
            let mut parts = unsigned.split(['.', ',']);
            let leads = parts.next().is_some_and(|first| !first.starts_with('0'));
            let grouped = leads && in_groups(unsigned.split(['.', ','])) && !mantissa.contains(is_blank);
            Some(PlainNumber { grouped: grouped.then(|| decimal.replace('.', "")), decimal })
        }
        (1, _) if joined.rfind(',') < joined.find('.') => plain(without(',')),
        (_, 1) if joined.rfind('.') < joined.find(',') => plain(without('.').replace(',', ".")),
        (_, 0) if in_groups(joined.trim_start_matches(['+', '-']).split('.')) => plain(without('.')),
        (0, _) if in_groups(joined.trim_start_matches(['+', '-']).split(',')) => plain(without(',')),
        _ => None,
    }
}

/// Whether parts of a number are groups of three digits after one of one to three.
fn in_groups<'a>(parts: impl Iterator<Item = &'a str>) -> bool {
    parts.enumerate().all(|(at, part)| {
        let digits = part.bytes().all(|b| b.is_ascii_digit());
        digits && if at == 0 { (1..=3).contains(&part.len()) } else { part.len() == 3 }
    })
}

/// The power of ten after a mantissa, as digits with their sign, and the rest. `None` for a power that is cut off.
fn split_power(rest: &str) -> Option<(String, &str)> {
    let after = rest.trim_start();
    if let Some(power) = after.strip_prefix(['e', 'E']) {
        let (exponent, unit) = split_exponent(power);
        // An `e` without digits begins a unit or a word.
        return Some(if exponent.is_empty() { ("0".to_owned(), rest) } else { (exponent, unit) });
    }
    let times = after.strip_prefix(['·', '*', '×', 'x', 'X', '⋅']).map_or(after, str::trim_start);
    let Some(power) = times.strip_prefix("10") else { return Some(("0".to_owned(), rest)) };
    let (exponent, unit) =
        split_exponent(power.strip_prefix("**").or(power.strip_prefix('^')).unwrap_or(power));
    (!exponent.is_empty()).then_some((exponent, unit))
}

/// An exponent in plain or raised digits, at most three of them, and the rest.
fn split_exponent(text: &str) -> (String, &str) {
    let mut exponent = String::new();
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let Some(plain) = plain_digit(c) else { break };
        let is_sign = !plain.is_ascii_digit();
        if (is_sign && at > 0) || exponent.len() > 3 {
            break;
        }
        exponent.push(plain);
        end = at + c.len_utf8();
    }
    if exponent.ends_with(|c: char| c.is_ascii_digit()) {
        (exponent, &text[end..])
    } else {
        (String::new(), text)
    }
}

/// A digit or a sign, be it raised or not.
pub fn plain_digit(c: char) -> Option<char> {
    Some(match c {
        '0'..='9' | '+' | '-' => c,
        '−' | '⁻' => '-',
        '⁺' => '+',
        '⁰' => '0',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁴'..='⁹' => char::from_digit(u32::from(c) - u32::from('⁰'), 10)?,
        _ => return None,
    })
}

/// Significant digits of a number with a decimal point: zeros at the end of a whole number may be significant or not.
fn significant(decimal: &str) -> [u32; 2] {
    let digits: String = decimal.chars().filter(char::is_ascii_digit).collect();
    let count = |text: &str| text.trim_start_matches('0').len().max(1) as u32;
    let all = count(&digits);
    if decimal.contains('.') { [all, all] } else { [count(digits.trim_end_matches('0')), all] }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> f64 {
        read(text).unwrap_or_else(|_| panic!("{text}")).value
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, expected) in [
            ("12609", 12609.0_f64),
            ("12 609", 12609.0),
            ("12\u{202f}609.5", 12609.5),
            ("12'609", 12609.0),
            ("12.609,5", 12609.5),
            ("12,609.5", 12609.5),
            ("1,234,567", 1_234_567.0),
            ("1.26e4", 12600.0),
            ("1,26E+4", 12600.0),
            ("1.26·10^4", 12600.0),
            ("1.26 x 10⁴", 12600.0),
            ("1.26*10**4", 12600.0),
            ("2.236 × 10⁻¹⁰", 2.236e-10),
            ("10^4", 1e4),
            ("10⁻³", 1e-3),
            ("−0.25", -0.25),
            (".5", 0.5),
            ("12.", 12.0),
            ("+3", 3.0),
        ] {
            assert_eq!(read(text).map(|typed| typed.value.to_bits()), Ok(expected.to_bits()), "{text}");
        }
        for wrong in ["", "abc", "1.2.3", "12 6 09", "1e999", "3·10^", "--2", "1 2 3", "5 10^x"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        assert!(read(&"1".repeat(81)).is_err());
    }

    #[test]
    fn the_unit_is_what_follows_the_number() {
        for (text, unit) in [
            ("642 1/s", "1/s"),
            ("642 /s", "/s"),
            ("642 s^-1", "s^-1"),
            ("92.99wt%", "wt%"),
            ("5 e", "e"),
            ("3 cm", "cm"),
            ("1.2·10^3 kg/m³", "kg/m³"),
        ] {
            assert_eq!(read(text).map(|typed| typed.unit), Ok(unit.to_owned()), "{text}");
        }
    }

    #[test]
    fn one_comma_before_three_digits_can_be_read_in_two_ways() {
        assert_eq!(read("12,609").map(|t| (t.value, t.grouped)), Ok((12.609, Some(12609.0))));
        assert_eq!(read("0,609").map(|t| t.grouped), Ok(None));
        assert_eq!(read("12,6").map(|t| t.grouped), Ok(None));
    }

    #[test]
    fn zeros_at_the_end_of_a_whole_number_may_be_significant() {
        for (text, digits) in [
            ("1200", [2, 4]),
            ("1200.", [4, 4]),
            ("0.0120", [3, 3]),
            ("12.00", [4, 4]),
            ("0", [1, 1]),
            ("7", [1, 1]),
        ] {
            assert_eq!(read(text).map(|t| t.digits), Ok(digits), "{text}");
        }
        assert!((value("1 200") - 1200.0).abs() < 1e-12);
    }
}
