//! What a feedstock is called: a name from powder and binder where none is given, and names that speak of
//! another powder than the one that is used.

use super::library::{self, BinderPart, Powder};
use std::ops::Range;

/// Share of the binder from which a part is named.
const NAMED_SHARE: f64 = 0.1;
/// Parts named at most.
const MOST_NAMED: usize = 3;

/// The name of a feedstock that was given none, such as `Alumina in paraffin wax and polypropylene (recipe)`.
pub(super) fn usual(powder: &Powder, parts: &[(&BinderPart, f64)]) -> String {
    let most = parts.iter().map(|part| part.1).fold(0.0, f64::max);
    let mut named: Vec<String> = Vec::new();
    for (part, share) in parts {
        let name = inside(&part.name);
        if *share >= NAMED_SHARE.min(most) && named.len() < MOST_NAMED && !named.contains(&name) {
            named.push(name);
        }
    }
    format!("{} in {} (recipe)", plain(&powder.name), named.join(" and "))
}

/// A name up to its first comma.
fn plain(name: &str) -> &str {
    name.split(',').next().unwrap_or(name)
}

/// A name for use inside a sentence. The first word keeps its capital only if it is a formula.
pub fn inside(name: &str) -> String {
    let name = plain(name);
    let word: Vec<char> = name.chars().take_while(char::is_ascii_alphanumeric).collect();
    let formula = word.len() < 3 || word.iter().skip(1).any(|c| !c.is_ascii_lowercase());
    let mut name = name.to_owned();
    if let Some(first) = name.get_mut(..1).filter(|_| !formula) {
        first.make_ascii_lowercase();
    }
    name
}

/// Words of a text that speak of a powder.
struct Mention {
    /// Where they stand.
    place: Range<usize>,
    /// As the library writes them.
    words: &'static str,
}

impl Mention {
    fn fits(&self, powder: &Powder) -> bool {
        powder.words.iter().any(|words| words == self.words)
    }
}

/// Whether a byte belongs to a word; beyond ASCII all do.
fn of_a_word(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || !byte.is_ascii()
}

/// End of a phrase that begins at a place of a text: whole words, in either case, with blanks, hyphens and
/// the like between, but no sign that parts two words or the digits of a number.
fn end_of(phrase: &str, text: &str, from: usize) -> Option<usize> {
    let text = text.as_bytes();
    let mut at = from;
    for word in phrase.as_bytes().split(|byte| !of_a_word(*byte)).filter(|word| !word.is_empty()) {
        while at > from && text.get(at).is_some_and(|byte| !of_a_word(*byte) && !b".,;:/".contains(byte)) {
            at += 1;
        }
        let end = at + word.len();
        let ends = text.get(end).is_none_or(|byte| !of_a_word(*byte));
        if !ends || !text.get(at..end)?.eq_ignore_ascii_case(word) {
            return None;
        }
        at = end;
    }
    Some(at)
}

/// Where a text speaks of powders of the library: at each place by the most words that fit.
fn mentions(text: &str) -> Vec<Mention> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let begins = at == 0 || !of_a_word(text.as_bytes()[at - 1]);
        let mut longest: Option<Mention> = None;
        for words in library::powders().iter().flat_map(|powder| &powder.words).filter(|_| begins) {
            let end = end_of(words, text, at).unwrap_or(at);
            if end > longest.as_ref().map_or(at, |mention| mention.place.end) {
                longest = Some(Mention { place: at..end, words });
            }
        }
        at = longest.as_ref().map_or(at + 1, |mention| mention.place.end);
        found.extend(longest);
    }
    found
}

/// The mention that speaks of another powder. Where all that is said fits one powder together, that must be the
/// powder; a name that mixes several, such as alumina-toughened zirconia, only has to name it among them.
fn other_powder(name: &str, powder: &Powder) -> Option<Mention> {
    let all = mentions(name);
    let fits = |powder: &Powder| all.iter().filter(|mention| mention.fits(powder)).count();
    let together = library::powders().iter().any(|other| fits(other) == all.len());
    if fits(powder) == all.len() || !together && fits(powder) > 0 {
        return None;
    }
    all.into_iter().find(|mention| !mention.fits(powder))
}

/// The words of a name that speak of another powder than that of the key, such as `stainless steel`; `None`
/// where the name speaks of none, or of the right one.
pub fn contradiction(name: &str, powder: &str) -> Option<&'static str> {
    other_powder(name, library::powder(powder)?).map(|mention| mention.words)
}

/// A name with the words that speak of another powder replaced by the powder's own.
pub fn renamed(name: &str, powder: &str) -> String {
    let mut name = name.to_owned();
    let Some(powder) = library::powder(powder) else { return name };
    // Each pass takes one mention away.
    for _ in 0..mentions(&name).len() {
        let Some(Mention { place, .. }) = other_powder(&name, powder) else { break };
        name = [&name[..place.start], &inside(&powder.name), &name[place.end..]].concat();
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_speaks_of_another_powder_is_told() {
        for (name, powder, said) in [
            ("Stainless steel in wax and polypropylene", "al2o3", Some("stainless steel")),
            ("STAINLESS-STEEL, lot 12", "al2o3", Some("stainless steel")),
            ("Stainless steel in wax", "316l", None),
            ("Stainless steel in wax", "fe_2ni", Some("stainless steel")),
            ("Low-alloy steel in wax", "fe_2ni", None),
            ("17-4PH stainless steel", "316l", Some("17-4PH")),
            ("17-4PH stainless steel", "17_4ph", None),
            ("Alumina-toughened zirconia", "zro2_3y", None),
            ("Alumina-toughened zirconia", "sic", Some("alumina")),
            ("Tungsten carbide with cobalt", "w_heavy_alloy", Some("tungsten carbide")),
            ("Ti64 in wax", "316l", Some("Ti64")),
            ("Stahl 17-4", "316l", Some("17-4")),
            ("Stahl 17-4", "17_4ph", None),
            // It names the powder that is used, and another one besides.
            ("stainless-clad alumina", "316l", None),
            ("stainless-clad alumina", "wc_6co", Some("stainless")),
            ("Lot 12, the stiff one", "al2o3", None),
            ("Bracket of 17.4 mm", "al2o3", None),
            ("Steelworks feedstock", "al2o3", None),
            ("", "al2o3", None),
        ] {
            assert_eq!(contradiction(name, powder), said, "{name} of {powder}");
        }
    }

    #[test]
    fn a_name_is_put_right_where_it_speaks_of_the_powder_only() {
        assert_eq!(renamed("Hinge bracket, stainless steel", "al2o3"), "Hinge bracket, alumina");
        assert_eq!(
            renamed("Eyelet, Alumina, two cavities", "316l"),
            "Eyelet, 316L stainless steel, two cavities"
        );
        assert_eq!(renamed("Ring yoke, stainless steel", "17_4ph"), "Ring yoke, stainless steel");
        assert_eq!(renamed("Lot 12", "al2o3"), "Lot 12");
        for powder in library::powders() {
            let name = renamed("Zirconia or tungsten, stainless steel", &powder.key);
            assert_eq!(contradiction(&name, &powder.key), None, "{name}");
        }
    }

    /// Each powder's own name speaks of it, and of no other that the name would exclude.
    #[test]
    fn every_powder_is_known_by_its_words() {
        for powder in library::powders() {
            assert!(!powder.words.is_empty() && !mentions(&powder.name).is_empty(), "{}", powder.key);
            assert_eq!(contradiction(&powder.name, &powder.key), None);
        }
    }
}
