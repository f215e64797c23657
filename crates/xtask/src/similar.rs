//! An order of texts in which a packer finds the most repetitions.

use std::collections::{HashMap, HashSet, VecDeque};

/// Bytes that are compared: a packer's repetitions begin to pay at about as many.
const PIECE: usize = 6;
/// What stands in more texts than this tells none of them apart.
const COMMON: usize = 64;
/// How far back a packer looks for repetitions.
const WINDOW: usize = 32 * 1024;

/// Places of the texts, each chosen as the one of which most stands in the window before it.
pub fn chained(texts: &[&[u8]]) -> Vec<usize> {
    let pieces = Pieces::of(texts);
    let mut left: Vec<usize> = (0..texts.len()).collect();
    let mut order = Vec::with_capacity(texts.len());
    // How many pieces of each text stand in the window, and how often each piece does.
    let mut known = vec![0_usize; texts.len()];
    let mut standing = vec![0_usize; pieces.texts.len()];
    let mut window = VecDeque::new();
    let mut length = 0;
    while !left.is_empty() {
        // Short texts are known by chance: a few pieces are asked of each besides.
        let share = |text: usize| known[text] as f64 / (pieces.of[text].len() + 8) as f64;
        let best = (1..left.len()).fold(0, |a, b| if share(left[b]) > share(left[a]) { b } else { a });
        let next = left.remove(best);
        order.push(next);
        window.push_back(next);
        length += texts[next].len();
        for &piece in &pieces.of[next] {
            standing[piece] += 1;
            if standing[piece] == 1 {
                pieces.telling(piece).iter().for_each(|&text| known[text] += 1);
            }
        }
        while length > WINDOW
            && let Some(gone) = window.pop_front()
        {
            length -= texts[gone].len();
            for &piece in &pieces.of[gone] {
                standing[piece] -= 1;
                if standing[piece] == 0 {
                    pieces.telling(piece).iter().for_each(|&text| known[text] -= 1);
                }
            }
        }
    }
    order
}

/// What the texts are made of.
struct Pieces {
    /// The pieces of each text, each once.
    of: Vec<Vec<usize>>,
    /// The texts in which each piece stands.
    texts: Vec<Vec<usize>>,
}

impl Pieces {
    fn of(texts: &[&[u8]]) -> Self {
        let mut numbers = HashMap::new();
        let mut pieces = Self { of: Vec::new(), texts: Vec::new() };
        for (place, text) in texts.iter().enumerate() {
            let mut seen = HashSet::new();
            let mut own = Vec::new();
            for piece in text.windows(PIECE) {
                let number = *numbers.entry(piece).or_insert(pieces.texts.len());
                if number == pieces.texts.len() {
                    pieces.texts.push(Vec::new());
                }
                if seen.insert(number) {
                    pieces.texts[number].push(place);
                    own.push(number);
                }
            }
            pieces.of.push(own);
        }
        pieces
    }

    /// The texts in which a piece stands, where that tells them from others.
    fn telling(&self, piece: usize) -> &[usize] {
        let texts = &self.texts[piece];
        if texts.len() <= COMMON { texts } else { &[] }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_of_a_kind_stand_together() {
        let kinds = ["the first gate has frozen", "a weld line is too cold", "pressure is let off"];
        let texts: Vec<String> = (0..60).map(|i| format!("{i} {} {i}", kinds[i % 3])).collect();
        let bytes: Vec<&[u8]> = texts.iter().map(|text| text.as_bytes()).collect();
        let order = chained(&bytes);
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert!(sorted.into_iter().eq(0..60), "each stands there once");
        let changes = order.windows(2).filter(|pair| pair[0] % 3 != pair[1] % 3).count();
        assert_eq!(changes, 2, "{order:?}");
    }
}
