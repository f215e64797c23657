//! What a feedstock is called: a name from powder and binder where none is given, and names that speak of
//! another powder than the one that is used.

use super::library::{self, BinderPart, Powder};
use gatefrost_core::order;
use std::ops::Range;

/// Share of the binder from which a part is named.
const NAMED_SHARE: f64 = 0.1;
/// Parts named at most.
const MOST_NAMED: usize = 3;

/// The name of a feedstock that was given none, such as `Alumina in paraffin wax and polypropylene (recipe)`.
pub(super) fn usual(powder: &Powder, parts: &[(&BinderPart, f64)]) -> String {
    let mut shares: Vec<(&str, f64)> =
        parts.iter().map(|(part, share)| (plain(&part.name), *share)).collect();
    order::sort_by(&mut shares, |(_, share)| -share);
    let least = shares.first().map_or(0.0, |first| NAMED_SHARE.min(first.1));
    let mut named: Vec<String> = Vec::new();
    for (name, _) in shares.iter().filter(|(_, share)| *share >= least) {
        let name = inside(name);
        if named.len() < MOST_NAMED && !named.contains(&name) {
            named.push(name);
        }
    }
    let last = named.pop().unwrap_or_default();
    let before = if named.is_empty() { String::new() } else { format!("{} and ", named.join(", ")) };
    format!("{} in {before}{last} (recipe)", plain(&powder.name))
}

/// A name without what stands behind its first comma.
fn plain(name: &str) -> &str {
    name.split(',').next().unwrap_or(name)
}

/// A name as it stands inside a sentence: a first word keeps its capital only where it is a formula.
pub fn inside(name: &str) -> String {
    let name = plain(name);
    let word: Vec<char> = name.chars().take_while(|c| c.is_alphanumeric()).collect();
    let formula = word.len() < 3 || word.iter().skip(1).any(|c| !c.is_lowercase());
    let mut letters = name.chars();
    match letters.next() {
        Some(first) if !formula => first.to_lowercase().chain(letters).collect(),
        _ => name.to_owned(),
    }
}

/// Words of a text that speak of a powder.
struct Mention {
    /// Where they stand.
    place: Range<usize>,
    /// As the library writes them.
    words: &'static str,
    /// Powders that they fit.
    fits: Vec<&'static str>,
}

/// The words of a text in lower case, and where they stand.
fn words(text: &str) -> Vec<(String, Range<usize>)> {
    let mut found: Vec<(String, Range<usize>)> = Vec::new();
    let mut open = false;
    for (place, letter) in text.char_indices() {
        let end = place + letter.len_utf8();
        match found.last_mut().filter(|_| open && letter.is_alphanumeric()) {
            Some((word, range)) => {
                word.extend(letter.to_lowercase());
                range.end = end;
            }
            None if letter.is_alphanumeric() => found.push((letter.to_lowercase().collect(), place..end)),
            None => {}
        }
        open = letter.is_alphanumeric();
    }
    found
}

/// Where a text speaks of powders of the library: at each place by the most words that fit.
fn mentions(text: &str) -> Vec<Mention> {
    let text = words(text);
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let mut longest: Option<(usize, Mention)> = None;
        for powder in library::powders() {
            for phrase in &powder.words {
                let wanted = words(phrase);
                let here = text.get(at..at + wanted.len());
                if !here.is_some_and(|here| here.iter().zip(&wanted).all(|(a, b)| a.0 == b.0)) {
                    continue;
                }
                match &mut longest {
                    Some((length, mention)) if *length == wanted.len() => mention.fits.push(&powder.key),
                    Some((length, _)) if *length > wanted.len() => {}
                    _ => {
                        let place = text[at].1.start..text[at + wanted.len() - 1].1.end;
                        longest =
                            Some((wanted.len(), Mention { place, words: phrase, fits: vec![&powder.key] }));
                    }
                }
            }
        }
        at += longest.as_ref().map_or(1, |(length, _)| *length);
        found.extend(longest.map(|(_, mention)| mention));
    }
    found
}

/// The mention that speaks of another powder. Where all that is said fits one powder together, that must be the
/// powder; a name that mixes several, such as alumina-toughened zirconia, only has to name it among them.
fn other_powder(name: &str, powder: &Powder) -> Option<Mention> {
    let key = powder.key.as_str();
    let all = mentions(name);
    let together = library::powders().iter().any(|p| all.iter().all(|m| m.fits.contains(&p.key.as_str())));
    let fits = |mention: &Mention| mention.fits.contains(&key);
    if all.iter().all(fits) || !together && all.iter().any(fits) {
        return None;
    }
    all.into_iter().find(|mention| !fits(mention))
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
        let Some(mention) = other_powder(&name, powder) else { break };
        name.replace_range(mention.place, &inside(&powder.name));
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
            ("Lot 12, the stiff one", "al2o3", None),
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
