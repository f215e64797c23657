//! The double nearest to a decimal number.
//!
//! Numbers of up to 15 digits are one product or quotient of doubles. All others are whole-number division of two long
//! numbers: slower than methods with tables of powers, and a tenth of their size in the page.

use std::cmp::Ordering;

/// Digits of a number that are taken as they are. No double, and no middle between two, has as many (767 digits, from
/// IEEE 754); of what follows it counts only whether it is zero.
const DIGITS: usize = 800;
/// A first digit at a higher power of ten than this makes a number too large, at a lower one than its negative zero.
const FARTHEST: i64 = 400;
/// Digits of a number, and powers of ten, up to which both are doubles without rounding.
const SHORT: (usize, i64) = (15, 22);
/// Binary digits of a quotient: more than the 53 of a double, so that the last ones tell how it is rounded.
const QUOTIENT: i64 = 66;

/// The double nearest to `digits` · 10^`power`, a tie to the even one. `digits` are decimal digits, from the most
/// significant on; other characters are left out. Infinity for a number too large for a double.
pub fn nearest(digits: impl Iterator<Item = u8>, power: i64) -> f64 {
    // No text is so long that it makes up for more.
    let mut power = power.clamp(i64::MIN / 2, i64::MAX / 2);
    let mut whole = Natural(Vec::new());
    let (mut count, mut more) = (0, false);
    for digit in digits.filter(u8::is_ascii_digit).map(|digit| u32::from(digit - b'0')) {
        if count == DIGITS {
            more |= digit > 0;
            power += 1;
        } else if count > 0 || digit > 0 {
            whole.times_plus(10, digit);
            count += 1;
        }
    }
    let highest = count as i64 + power;
    if count == 0 || highest < -FARTHEST {
        return 0.0;
    }
    if highest > FARTHEST {
        return f64::INFINITY;
    }
    if count <= SHORT.0 && power.abs() <= SHORT.1 {
        // Both are exact, so that their product or quotient is rounded once.
        let size = whole.0.iter().rev().fold(0.0, |size, part| size * 4_294_967_296.0 + f64::from(*part));
        let scale = (0..power.abs()).fold(1.0, |scale, _| scale * 10.0);
        return if power < 0 { size / scale } else { size * scale };
    }
    if more {
        whole.times_plus(10, 1);
        power -= 1;
    }
    // 10 = 5 · 2: the powers of two go straight into the exponent.
    let mut below = Natural(vec![1]);
    let scaled = if power < 0 { &mut below } else { &mut whole };
    (0..power.abs()).for_each(|_| scaled.times_plus(5, 0));
    rounded(whole, below, power)
}

/// The double nearest to `above` / `below` · 2^`exponent`.
fn rounded(mut above: Natural, mut below: Natural, exponent: i64) -> f64 {
    // Both with the same highest bit: the quotient is between 1/2 and 2.
    let shift = below.bits() - above.bits();
    above.shift(shift);
    below.shift(-shift);
    let mut quotient = 0_u128;
    for _ in 0..QUOTIENT {
        quotient <<= 1;
        if above.compared(&below) != Ordering::Less {
            above.subtract(&below);
            quotient |= 1;
        }
        above.shift(1);
    }
    // What is left over only tells that the quotient is not a tie.
    quotient = quotient << 1 | u128::from(!above.0.is_empty());
    let exponent = exponent - shift - QUOTIENT;
    let bits = i64::from(128 - quotient.leading_zeros());
    // The power of two of the last digit: 52 below the first, and never below that of the smallest double.
    let last = (exponent + bits - 53).max(-1074);
    let away = last - exponent;
    if away > bits {
        return 0.0;
    }
    let (kept, rest) = (quotient >> away, quotient & ((1 << away) - 1));
    let half = 1_u128 << (away - 1);
    let up = rest > half || rest == half && kept & 1 == 1;
    let kept = kept as u64 + u64::from(up);
    // A carry out of the digits goes into the exponent by itself. From 2^1024 on the result is infinite.
    let biased = (last + 1074) as u64;
    if biased > 2045 { f64::INFINITY } else { f64::from_bits((biased << 52) + kept) }
}

/// A natural number, from the lowest 32 bits on, without zeros at the end.
struct Natural(Vec<u32>);

impl Natural {
    /// Multiplies by a number and adds another.
    fn times_plus(&mut self, factor: u32, plus: u32) {
        let mut carry = u64::from(plus);
        for part in &mut self.0 {
            carry += u64::from(*part) * u64::from(factor);
            *part = carry as u32;
            carry >>= 32;
        }
        if carry > 0 {
            self.0.push(carry as u32);
        }
    }

    fn bits(&self) -> i64 {
        self.0.last().map_or(0, |last| 32 * self.0.len() as i64 - i64::from(last.leading_zeros()))
    }

    /// Multiplies by a power of two; a negative one leaves the number as it is.
    fn shift(&mut self, bits: i64) {
        if bits <= 0 || self.0.is_empty() {
            return;
        }
        self.times_plus(1 << (bits % 32), 0);
        if bits >= 32 {
            self.0.splice(0..0, std::iter::repeat_n(0, bits as usize / 32));
        }
    }

    fn compared(&self, other: &Self) -> Ordering {
        let lengths = self.0.len().cmp(&other.0.len());
        lengths.then_with(|| self.0.iter().rev().cmp(other.0.iter().rev()))
    }

    /// Subtracts a number that is not greater.
    fn subtract(&mut self, other: &Self) {
        let mut borrow = 0;
        for (place, part) in self.0.iter_mut().enumerate() {
            let less = i64::from(other.0.get(place).copied().unwrap_or(0)) + borrow;
            let left = i64::from(*part) - less;
            *part = left as u32;
            borrow = i64::from(left < 0);
        }
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::nearest;

    /// Reads a text such as `12.5e-3`.
    fn read(text: &str) -> f64 {
        let (digits, power) = text.split_once('e').unwrap_or((text, "0"));
        let fraction = digits.split_once('.').map_or(0, |(_, fraction)| fraction.len() as i64);
        nearest(digits.bytes(), power.parse::<i64>().unwrap() - fraction)
    }

    fn same(text: &str) {
        let expected: f64 = text.parse().unwrap();
        assert_eq!(read(text).to_bits(), expected.to_bits(), "{text}: {} {expected}", read(text));
    }

    #[test]
    fn edges_of_the_doubles_are_read_to_the_last_bit() {
        for text in [
            "0",
            "1",
            "0.1",
            "0.30000000000000004",
            "9007199254740993",
            "9007199254740993.0000000000000000000000000000000000001",
            "9007199254740992.9999999999999999999999999999999999999",
            "1.7976931348623157e308",
            "1.7976931348623158e308",
            "179769313486231580793e289",
            "1.8e308",
            "1e309",
            "1e400",
            "1e99999",
            "2.2250738585072011e-308",
            "2.2250738585072014e-308",
            "2.2250738585072012e-308",
            "5e-324",
            "4.9e-324",
            "2.4703282292062328e-324",
            "2.4703282292062327e-324",
            "2.5e-324",
            "1e-400",
            "1e-99999",
            "0.000000000000000000000000000001",
            "123456789012345678901234567890",
        ] {
            same(text);
        }
    }

    #[test]
    fn a_long_tail_decides_a_tie() {
        // Half of the smallest double, written in full: 2^-1075 has 751 digits.
        let half = format!("{:.1075}", 5e-324_f64);
        let digits: String = half.chars().filter(char::is_ascii_digit).collect();
        let halved = digits.bytes().fold((String::new(), 0), |(mut out, rest), digit| {
            let value = rest * 10 + u32::from(digit - b'0');
            out += &(value / 2).to_string();
            (out, value % 2)
        });
        let tie = format!("{}5e-1076", halved.0);
        for tail in ["", "0", &"0".repeat(900), &format!("{}1", "0".repeat(900)), "1"] {
            let (digits, _) = tie.split_once('e').unwrap();
            same(&format!("{digits}{tail}e{}", -1076 - tail.len() as i64));
        }
    }

    #[test]
    fn any_double_is_read_from_what_is_written_of_it() {
        let mut bits = 0x9e37_79b9_7f4a_7c15_u64;
        for turn in 0..20_000 {
            bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            // Every other one has few binary digits, so that ties occur.
            let value = f64::from_bits(if turn % 2 == 0 { bits } else { bits & !0xff_ffff_ffff }).abs();
            if !value.is_finite() {
                continue;
            }
            assert_eq!(read(&format!("{value:e}")).to_bits(), value.to_bits());
            same(&format!("{value:.17e}"));
            same(&format!("{value:.3e}"));
            let next = f64::from_bits(value.to_bits() + 1);
            if value > 1e-5 && value < 1e15 && next.is_finite() {
                // The middle between two neighbours has one binary digit more than a double.
                let spacing = format!("{:.120}", (next - value) / 2.0);
                let (mut sum, mut carry) = (Vec::new(), 0);
                let exact = format!("{value:.120}");
                for (a, b) in exact.bytes().rev().zip(spacing.bytes().rev().chain(std::iter::repeat(b'0'))) {
                    if a == b'.' {
                        sum.push(a);
                        continue;
                    }
                    let digit = a - b'0' + if b == b'.' { 0 } else { b - b'0' } + carry;
                    carry = digit / 10;
                    sum.push(b'0' + digit % 10);
                }
                sum.reverse();
                same(&String::from_utf8(sum).unwrap());
            }
        }
    }
}
