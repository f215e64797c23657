//! Own numbers: what an exercise draws for a student, from nothing but the id that the student types in.
//!
//! The generator is made of whole numbers alone, so that every machine draws the same for ever:
//!
//! 1. The id is cut at its ends, runs of spaces become one, and letters become small.
//! 2. The key `gatefrost/NAME/VERSION/ATTEMPT/ID` is hashed by FNV-1a with 64 bits over its bytes in UTF-8 (G. Fowler,
//!    L. C. Noll, K.-P. Vo; constants from memory, checked against the published value of an empty text and of `a`).
//! 3. The hash is the seed of SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014, doi 10.1145/2660193.2660195;
//!    constants from memory, checked against the published first values for the seed 1234567).
//! 4. A number below n is the upper half of the product of the next output and n, 128 bits wide.

use crate::texts::Said;

/// Characters of an id, at most.
pub const LONGEST_ID: usize = 64;

/// The id of a student: a name or a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StudentId(String);

impl StudentId {
    /// Reads an id as it was typed.
    ///
    /// # Errors
    /// An id has 1 to 64 characters after blanks at its ends are cut. No control character stands in it, and no accent of
    /// its own: `é` has to come as one character, or another computer would draw other numbers.
    pub fn read(typed: &str) -> Result<Self, Said> {
        let words: Vec<String> = typed.split_whitespace().map(str::to_lowercase).collect();
        let id = words.join(" ");
        let length = id.chars().count();
        if length == 0 {
            return Err(Said::new("id-none"));
        }
        if length > LONGEST_ID {
            return Err(Said::new("id-long").with("length", length));
        }
        let refused = |c: &char| c.is_control() || ('\u{300}'..='\u{36f}').contains(c);
        match id.chars().find(refused) {
            Some(found) => Err(Said::new("id-character").with("code", format!("U+{:04X}", u32::from(found)))),
            None => Ok(Self(id)),
        }
    }

    /// The id as it is used.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// The ids before and after this one where its last run of digits is an odd number. `None` for all others.
    ///
    /// Ids with even numbers draw freely. One with an odd number draws anew until its answers differ from those of both
    /// neighbours, so that no two students in sequence share an answer.
    pub(crate) fn neighbours(&self) -> Option<[Self; 2]> {
        let end = self.0.rfind(|c: char| c.is_ascii_digit())? + 1;
        let start = self.0[..end].trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let digits = &self.0[start..end];
        let number: u64 = digits.parse().ok().filter(|number| number % 2 == 1)?;
        let width = digits.len();
        let other = |number: u64| Self(format!("{}{number:0width$}{}", &self.0[..start], &self.0[end..]));
        Some([other(number - 1), other(number.checked_add(1)?)])
    }
}

/// A stream of numbers.
#[derive(Debug, Clone)]
pub struct Draws(u64);

impl Draws {
    /// The stream of an attempt of an exercise for a student.
    pub fn new(exercise: &str, version: u16, attempt: u32, id: &StudentId) -> Self {
        let key = format!("gatefrost/{exercise}/{version}/{attempt}/{}", id.text());
        Self(fnv_1a(key.as_bytes()))
    }

    /// SplitMix64.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to below `count`.
    pub fn below(&mut self, count: u32) -> u32 {
        ((u128::from(self.next()) * u128::from(count)) >> 64) as u32
    }

    /// One of some things. There is at least one.
    pub fn one_of<T: Copy, const N: usize>(&mut self, things: [T; N]) -> T {
        const { assert!(N > 0, "nothing to draw from") };
        things[self.below(N as u32) as usize]
    }

    /// A number on a scale: from `from` to `to` in steps of `step`, all of them in parts of `per`. So 12.5 to 14 in steps
    /// of 0.5 is `on_scale([125, 140], 5, 10)`. The quotient is the nearest double to the decimal number.
    pub fn on_scale(&mut self, [from, to]: [i32; 2], step: i32, per: i32) -> f64 {
        let steps = (to - from) / step;
        let drawn = from + step * self.below(steps as u32 + 1) as i32;
        f64::from(drawn) / f64::from(per)
    }
}

/// FNV-1a with 64 bits.
pub(crate) fn fnv_1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, &byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(text: &str) -> StudentId {
        StudentId::read(text).expect("an id")
    }

    /// Published values: FNV-1a of an empty text and of `a`; SplitMix64 from the seed 1234567.
    #[test]
    fn the_generator_is_the_published_one() {
        assert_eq!(fnv_1a(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv_1a(b"a"), 0xaf63_dc4c_8601_ec8c);
        let mut draws = Draws(1_234_567);
        let first = [(); 3].map(|()| draws.next());
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn a_number_lies_on_its_scale_and_both_ends_are_drawn() {
        let mut draws = Draws(1);
        let drawn: Vec<f64> = (0..400).map(|_| draws.on_scale([125, 140], 5, 10)).collect();
        for value in [12.5, 13.0, 13.5, 14.0] {
            assert!(drawn.iter().filter(|&&x| x == value).count() > 60, "{value}");
        }
        assert!(drawn.iter().all(|x| [12.5, 13.0, 13.5, 14.0].contains(x)));
    }

    #[test]
    fn case_and_blanks_make_no_other_student() {
        assert_eq!(id("  Ada   LOVELACE\t7 ").text(), "ada lovelace 7");
        assert_eq!(StudentId::read(" \n"), Err(Said::new("id-none")));
        assert_eq!(StudentId::read(&"x".repeat(65)), Err(Said::new("id-long").with("length", 65)));
        assert_eq!(StudentId::read("e\u{301}"), Err(Said::new("id-character").with("code", "U+0301")));
    }

    #[test]
    fn an_odd_number_has_two_neighbours() {
        let of = |text: &str| id(text).neighbours().map(|ids| ids.map(|id| id.0));
        assert_eq!(of("s007b"), Some(["s006b".to_owned(), "s008b".to_owned()]));
        assert_eq!(of("99"), Some(["98".to_owned(), "100".to_owned()]));
        assert_eq!(of("group 2, nr 15"), Some(["group 2, nr 14".to_owned(), "group 2, nr 16".to_owned()]));
        assert_eq!(of("ü1"), Some(["ü0".to_owned(), "ü2".to_owned()]));
        for free in ["12", "ada", "99999999999999999999999", "18446744073709551615"] {
            assert_eq!(of(free), None, "{free}");
        }
    }
}
