//! Compresses a long link. Each character is predicted from the characters before it; the better the prediction, the
//! fewer digits the character takes.
//!
//! Six tables predict each bit of a character. Each holds a number between −1 and 1: near 1 the bit is probably a one, near
//! −1 a zero. The entries of four tables are looked up by the last 0 to 3 characters, of one by the last 4 characters that
//! belong to no number, of one by these and the last character. The weighted sum of the six gives the probability of a
//! one; the weights are learned. An arithmetic coder writes a probable bit in few digits (Witten, Neal and Cleary, 1987;
//! the mixing after Mahoney, 2005; both from memory). The digits are those of base64url (RFC 4648). Before the first
//! character the tables learn from [`USUAL`].
//!
//! Only + − × ÷ √ are used. IEEE 754 fixes their results to the last bit, so every machine reads what another one wrote.
//! Nothing here, nor in `usual.txt`, ever changes: released links depend on it.

/// The digits of base64url.
const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// A link as it is usual for a recipe, with further keys and words.
const USUAL: &[u8] = include_bytes!("usual.txt");

/// Bits of the coder's bounds, ten digits, and those below the first digit.
const BITS: u32 = 60;
const REST: u32 = 54;

const TABLES: usize = 6;
const CELLS: usize = 1 << 17;

/// What has been learned from the characters so far, and the coder's bounds.
struct Coder<'a> {
    /// How far a table leans, −1 to 1, and how often it was asked.
    cells: Vec<[f32; 2]>,
    weights: [f32; TABLES],
    /// The last characters, and the last four of no number.
    before: u64,
    words: u64,
    low: u64,
    high: u64,
    /// Where between the bounds the digits lie that are read.
    at: u64,
    digits: std::slice::Iter<'a, u8>,
    out: Vec<u8>,
}

impl Coder<'_> {
    /// The next character: the one that is `known`, which is only learned or also written, or the one in the digits.
    fn character(&mut self, known: Option<u8>, learned: bool) -> u8 {
        let mut read = 1_u64;
        while read < 128 {
            let (mut places, mut told, mut sum) = ([0; TABLES], [0.0; TABLES], 0.0);
            for table in 0..TABLES {
                let last = self.before & !(u64::MAX << (8 * table));
                let seen =
                    if table < 4 { last } else { self.words << 16 | last & (255 * (table as u64 & 1)) };
                let mixed = (seen << 3 | table as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ read;
                places[table] = (mixed.wrapping_mul(0xD6E8_FEB8_6659_FD93) >> 47) as usize;
                let lean = self.cells[places[table]][0];
                told[table] = lean / (1.0 - lean * lean).sqrt();
                sum += told[table] * self.weights[table];
            }
            let lean = sum / (1.0 + sum * sum).sqrt();
            let place = 6 - read.ilog2();
            let one = match known {
                Some(byte) if learned => byte >> place & 1 == 1,
                _ => self.bit(known.map(|byte| byte >> place & 1 == 1), lean),
            };
            let is = if one { 1.0 } else { -1.0 };
            for table in 0..TABLES {
                self.weights[table] += 0.01 * (is - lean) * told[table];
                let [lean, count] = &mut self.cells[places[table]];
                *count = (*count + 1.0).min(60.0);
                *lean = (*lean + (is - *lean) / (*count + 0.1)).clamp(-0.996, 0.996);
            }
            read = read << 1 | u64::from(one);
        }
        read &= 127;
        self.before = self.before << 8 | read;
        if !matches!(read as u8, b'0'..=b'9' | b'.') {
            self.words = (self.words << 8 | read) & 0xFFFF_FFFF;
        }
        read as u8
    }

    /// Writes a bit, or reads it, where one is expected by `lean`, −1 to 1.
    fn bit(&mut self, known: Option<bool>, lean: f32) -> bool {
        let chance = ((0.5 + 0.5 * lean) * 65536.0).clamp(16.0, 65520.0) as u64;
        let between = self.low + ((self.high - self.low) >> 16) * chance;
        let one = known.unwrap_or(self.at <= between);
        if one {
            self.high = between;
        } else {
            self.low = between + 1;
        }
        while (self.low ^ self.high) >> REST == 0 {
            self.out.push(DIGITS[(self.low >> REST) as usize & 63]);
            let shifted = |bound: u64| bound << 6 & ((1 << BITS) - 1);
            (self.low, self.high) = (shifted(self.low), shifted(self.high) | 63);
            self.at = shifted(self.at) | self.digit();
        }
        one
    }

    fn digit(&mut self) -> u64 {
        let next = self.digits.next();
        next.and_then(|digit| DIGITS.iter().position(|known| known == digit)).unwrap_or(0) as u64
    }
}

/// Writes `text` and the character 0 in digits, or without a text reads it from `digits`, up to the character 0, to
/// `most` characters, or to where the digits end. The text and its digits, the first three of which are a check of it.
fn coded(text: Option<&[u8]>, digits: &[u8], most: usize) -> (Vec<u8>, Vec<u8>) {
    let mut coder = Coder {
        cells: vec![[0.0; 2]; CELLS],
        weights: [0.3; TABLES],
        before: 0,
        words: 0,
        low: 0,
        high: (1 << BITS) - 1,
        at: 0,
        digits: digits.iter(),
        out: vec![0; 3],
    };
    for &byte in USUAL {
        coder.character(Some(byte), true);
    }
    // The first three digits drop out on the left.
    for _ in 0..3 + BITS / 6 {
        coder.at = coder.at << 6 & ((1 << BITS) - 1) | coder.digit();
    }
    let mut found = Vec::new();
    loop {
        let known = text.map(|text| text.get(found.len()).copied().unwrap_or(0));
        let byte = coder.character(known, false);
        if byte == 0 || found.len() >= most || text.is_none() && coder.out.len() > digits.len() {
            break;
        }
        found.push(byte);
    }
    // One more digit lies between the bounds, whatever follows.
    coder.out.push(DIGITS[((coder.low >> REST) as usize + 1) & 63]);
    let mut check =
        found.iter().fold(0_u32, |sum, byte| (sum ^ u32::from(*byte)).wrapping_mul(0x0100_0193)) >> 14;
    for place in 0..3 {
        coder.out[place] = DIGITS[check as usize & 63];
        check >>= 6;
    }
    (found, coder.out)
}

/// A text of ASCII characters in digits.
pub(super) fn packed(text: &str) -> String {
    String::from_utf8(coded(Some(text.as_bytes()), &[], usize::MAX).1).unwrap_or_default()
}

/// The text in digits, at most `most` characters of it; `None` if they are not what [`packed`] writes for a text.
pub(super) fn unpacked(digits: &str, most: usize) -> Option<String> {
    let (text, written) = coded(None, digits.as_bytes(), most);
    (written == digits.as_bytes()).then_some(String::from_utf8(text).ok()?)
}

/// A text of ASCII characters in digits, for links of other things. It does not call `packed`, which is compiled into its
/// only caller: the page would weigh 0.3 kB more.
pub fn pack(text: &str) -> String {
    String::from_utf8(coded(Some(text.as_bytes()), &[], usize::MAX).1).unwrap_or_default()
}

/// The text in the digits of [`pack`], at most `most` characters of it; `None` for other digits.
pub fn unpack(digits: &str, most: usize) -> Option<String> {
    let (text, written) = coded(None, digits.as_bytes(), most);
    (written == digits.as_bytes()).then_some(String::from_utf8(text).ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_ascii_text_comes_back() {
        let mut seed = 1_u32;
        let mut random = move |below: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 8) % below
        };
        for length in (0..40).chain([2000]) {
            let text: String = (0..length).map(|_| char::from(1 + random(127) as u8)).collect();
            assert_eq!(unpacked(&packed(&text), 5000), Some(text));
            let text: String =
                (0..length).map(|_| char::from(b"0123456789.;="[random(13) as usize])).collect();
            let digits = packed(&text);
            assert_eq!(unpacked(&digits, 5000), Some(text));
            assert!(digits.bytes().all(|digit| DIGITS.contains(&digit)));
        }
        let usual = std::str::from_utf8(USUAL).expect("ASCII");
        for text in [usual, &";".repeat(5000)] {
            assert_eq!(unpacked(&packed(text), 5000).as_deref(), Some(text));
        }
        assert!(packed(usual).len() < USUAL.len() / 8, "what is usual is predicted");
    }

    /// Every character counts: one that is changed, lost, added or exchanged with its neighbour is found.
    #[test]
    fn digits_that_were_changed_are_refused() {
        let digits = packed("2;d=hinge;T=172;phi=58.5;name=A+long+name");
        let refused = |text: &str| assert_eq!(unpacked(text, 1000), None, "{text} of {digits}");
        for place in 0..digits.len() {
            let (before, after) = digits.split_at(place);
            refused(before);
            refused(&format!("{before}{}", &after[1..]));
            refused(&format!("{before}A{after}"));
            let other = if after.starts_with('k') { 'l' } else { 'k' };
            refused(&format!("{before}{other}{}", &after[1..]));
            let neighbours: String = after.chars().take(2).collect::<Vec<_>>().into_iter().rev().collect();
            if !after.starts_with(&neighbours) {
                refused(&format!("{before}{neighbours}{}", &after[neighbours.len()..]));
            }
        }
        for text in ["", "A", "AAA", "AAAA", "____________", "é", "ééé", "a b", &format!("{digits}=")] {
            refused(text);
        }
        assert_eq!(unpacked(&packed(&"a".repeat(1001)), 1000), None, "longer than accepted");
    }
}
