//! The one way a number is written for a reader.

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
        // Round away what is not significant left of the point as well.
        let unit = 10_f64.powi(magnitude - last);
        return format!("{:.0}", (value / unit).round() * unit);
    }
    trimmed(&format!("{value:.*}", (last - magnitude) as usize)).to_owned()
}

fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

#[cfg(test)]
mod tests {
    use super::number;

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
