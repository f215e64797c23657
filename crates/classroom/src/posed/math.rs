//! Formulas in plain text: what stands between two `$` is set as MathML.
//!
//! Read are numbers, letters with an index (`t_g`), Greek letters by their names, `+ − * / ^`, relations, round brackets,
//! and `sqrt(…)` and functions such as `ln(…)`. Letters that stand side by side are multiplied. What cannot be read stays
//! text as it was typed, so nothing is lost. Markup in a text is text.

use serde::Serialize;
use std::iter::Peekable;
use std::str::Chars;

/// Characters of a formula, at most.
const LONGEST: usize = 300;
/// Brackets and powers inside one another, at most.
const DEEPEST: usize = 16;

const GREEK: &[(&str, char)] = &[
    ("alpha", 'α'),
    ("beta", 'β'),
    ("gamma", 'γ'),
    ("delta", 'δ'),
    ("epsilon", 'ε'),
    ("eta", 'η'),
    ("theta", 'θ'),
    ("kappa", 'κ'),
    ("lambda", 'λ'),
    ("mu", 'µ'),
    ("nu", 'ν'),
    ("pi", 'π'),
    ("rho", 'ρ'),
    ("sigma", 'σ'),
    ("tau", 'τ'),
    ("phi", 'φ'),
    ("omega", 'ω'),
    ("Delta", 'Δ'),
];
const FUNCTIONS: &[&str] = &["ln", "log", "exp", "sin", "cos", "tan"];
const RAISED: &[(char, char)] = &[
    ('⁰', '0'),
    ('¹', '1'),
    ('²', '2'),
    ('³', '3'),
    ('⁴', '4'),
    ('⁵', '5'),
    ('⁶', '6'),
    ('⁷', '7'),
    ('⁸', '8'),
    ('⁹', '9'),
    ('⁻', '−'),
];

/// A piece of a text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Piece {
    /// The text as it was typed.
    pub text: String,
    /// The same as MathML, where it is a formula.
    pub mathml: Option<String>,
}

/// A text as pieces of plain text and formulas.
pub fn pieces(text: &str) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut plain = String::new();
    let mut parts = text.split('$').enumerate().peekable();
    while let Some((at, part)) = parts.next() {
        let closed = at % 2 == 1 && parts.peek().is_some();
        match closed.then(|| mathml(part)).flatten() {
            Some(set) => {
                if !plain.is_empty() {
                    found.push(Piece { text: std::mem::take(&mut plain), mathml: None });
                }
                found.push(Piece {
                    text: part.trim().to_owned(),
                    mathml: Some(format!("<math>{set}</math>")),
                });
            }
            None if at % 2 == 1 => {
                plain.push('$');
                plain.push_str(part);
                if closed {
                    plain.push('$');
                }
            }
            None => plain.push_str(part),
        }
    }
    if !plain.is_empty() {
        found.push(Piece { text: plain, mathml: None });
    }
    found
}

/// A formula as what stands inside `<math>`. `None` if it cannot be read.
fn mathml(text: &str) -> Option<String> {
    if text.trim().is_empty() || text.chars().count() > LONGEST {
        return None;
    }
    let mut reader = Reader { rest: text.chars().peekable(), depth: 0 };
    let set = reader.relation()?;
    reader.blank();
    reader.rest.peek().is_none().then_some(set)
}

struct Reader<'a> {
    rest: Peekable<Chars<'a>>,
    depth: usize,
}

fn row(inside: &str) -> String {
    format!("<mrow>{inside}</mrow>")
}

fn sign(c: char) -> String {
    match c {
        '<' => "<mo>&lt;</mo>".to_owned(),
        '>' => "<mo>&gt;</mo>".to_owned(),
        '-' => "<mo>−</mo>".to_owned(),
        '*' => "<mo>·</mo>".to_owned(),
        other => format!("<mo>{other}</mo>"),
    }
}

impl Reader<'_> {
    fn blank(&mut self) {
        while self.rest.next_if(|c| c.is_whitespace()).is_some() {}
    }

    /// The next character if it is one of some.
    fn one_of(&mut self, signs: &str) -> Option<char> {
        self.blank();
        self.rest.next_if(|c| signs.contains(*c))
    }

    fn relation(&mut self) -> Option<String> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return None;
        }
        let mut set = self.sum()?;
        while let Some(c) = self.one_of("=<>≈≤≥≠") {
            set += &sign(c);
            set += &self.sum()?;
        }
        self.depth -= 1;
        Some(set)
    }

    fn sum(&mut self) -> Option<String> {
        let mut set = String::new();
        if let Some(c) = self.one_of("-−+") {
            set += &sign(c);
        }
        set += &self.product()?;
        while let Some(c) = self.one_of("+-−±") {
            set += &sign(c);
            set += &self.product()?;
        }
        Some(set)
    }

    fn product(&mut self) -> Option<String> {
        let mut set = self.power()?;
        loop {
            if self.one_of("/").is_some() {
                set = format!("<mfrac>{}{}</mfrac>", row(&set), row(&self.power()?));
            } else if let Some(c) = self.one_of("*·×") {
                set += &sign(c);
                set += &self.power()?;
            } else if self.rest.peek().is_some_and(|c| c.is_alphanumeric() || *c == '(') {
                set += "<mo>\u{2062}</mo>";
                set += &self.power()?;
            } else {
                return Some(set);
            }
        }
    }

    fn power(&mut self) -> Option<String> {
        let base = self.part()?;
        let mut raised = String::new();
        while let Some(c) = self.rest.peek().and_then(|c| RAISED.iter().find(|(sign, _)| sign == c)) {
            raised.push(c.1);
            self.rest.next();
        }
        let exponent = if !raised.is_empty() {
            format!("<mn>{raised}</mn>")
        } else if self.one_of("^").is_some() {
            self.depth += 1;
            if self.depth > DEEPEST {
                return None;
            }
            let minus = self.one_of("-−").map(sign).unwrap_or_default();
            let exponent = self.power()?;
            self.depth -= 1;
            row(&(minus + &exponent))
        } else {
            return Some(base);
        };
        Some(format!("<msup>{}{exponent}</msup>", row(&base)))
    }

    fn part(&mut self) -> Option<String> {
        self.blank();
        let c = *self.rest.peek()?;
        if c.is_ascii_digit() {
            return Some(format!("<mn>{}</mn>", self.number()));
        }
        if c == '(' {
            return self.brackets();
        }
        if !c.is_alphabetic() {
            return None;
        }
        let word = self.word();
        if word == "sqrt" {
            return Some(format!("<msqrt>{}</msqrt>", self.brackets()?));
        }
        if FUNCTIONS.contains(&word.as_str()) {
            return Some(format!("<mi>{word}</mi><mo>\u{2061}</mo>{}", self.brackets()?));
        }
        let letter = identifier(&word);
        if self.rest.next_if_eq(&'_').is_none() {
            return Some(letter);
        }
        let mut index = String::new();
        while let Some(c) = self.rest.next_if(|c| c.is_alphanumeric()) {
            index.push(c);
        }
        (!index.is_empty()).then(|| format!("<msub>{letter}{}</msub>", identifier(&index)))
    }

    fn brackets(&mut self) -> Option<String> {
        self.one_of("(")?;
        let inside = self.relation()?;
        self.one_of(")")?;
        Some(row(&format!("<mo>(</mo>{inside}<mo>)</mo>")))
    }

    fn number(&mut self) -> String {
        let mut digits = String::new();
        while let Some(c) = self.rest.next_if(|c| c.is_ascii_digit() || *c == '.' || *c == ',') {
            digits.push(c);
        }
        digits
    }

    fn word(&mut self) -> String {
        let mut word = String::new();
        let part = |c: &char| c.is_alphabetic() || ('\u{300}'..='\u{36f}').contains(c);
        while let Some(c) = self.rest.next_if(part) {
            word.push(c);
        }
        word
    }
}

/// A letter or a word; the name of a Greek letter is set as the letter. Only letters and digits come in, no markup.
fn identifier(word: &str) -> String {
    let greek = GREEK.iter().find(|(name, _)| *name == word).map(|(_, letter)| letter.to_string());
    format!("<mi>{}</mi>", greek.as_deref().unwrap_or(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_is_set_and_text_stays_text() {
        let set = pieces("The gate freezes after $t_g = h^2/(pi² alpha)$, about.");
        assert_eq!(set.len(), 3);
        assert_eq!(set[0], Piece { text: "The gate freezes after ".to_owned(), mathml: None });
        let math = set[1].mathml.as_deref().expect("a formula");
        assert!(math.starts_with("<math><msub><mi>t</mi><mi>g</mi></msub><mo>=</mo><mfrac>"), "{math}");
        assert!(math.contains("<mi>π</mi>") && math.contains("<mi>α</mi>") && math.contains("<mn>2</mn>"));
        assert_eq!(set[2].text, ", about.");
    }

    #[test]
    fn what_is_no_formula_is_kept_as_it_was_typed() {
        for text in [
            "costs $5",
            "$$",
            "$a +$ and $",
            "<b>$<img src=x>$</b>",
            "$a</math><script>$",
            "$ $",
            "$(a$",
            "one $",
        ] {
            let kept: String = pieces(text)
                .into_iter()
                .map(|piece| {
                    assert_eq!(piece.mathml, None, "{text}");
                    piece.text
                })
                .collect();
            assert_eq!(kept, text);
        }
        assert_eq!(pieces(""), Vec::new());
    }

    /// Brackets and powers without end are refused before they need the stack.
    #[test]
    fn deep_formulas_are_refused() {
        for text in [format!("${}$", "(".repeat(200)), format!("${}a$", "a^".repeat(120))] {
            assert!(pieces(&text).iter().all(|piece| piece.mathml.is_none()));
        }
        let signs = "<>&\"'();=+-*/^_$aπ²1. \u{202e}\n";
        let mut draws =
            crate::draw::Draws::new("math", 1, 0, &crate::draw::StudentId::read("a").expect("an id"));
        let signs: Vec<char> = signs.chars().collect();
        for _ in 0..5000 {
            let text: String =
                (0..draws.below(40)).map(|_| signs[draws.below(signs.len() as u32) as usize]).collect();
            for piece in pieces(&text) {
                let Some(math) = piece.mathml else { continue };
                // Nothing but the elements that are meant.
                let mut opened = math.split('<').skip(1);
                let known = ["math", "mrow", "mi", "mn", "mo", "mfrac", "msup", "msub", "msqrt"];
                assert!(
                    opened
                        .all(|tag| known
                            .contains(&tag.trim_start_matches('/').split('>').next().unwrap_or(""))),
                    "{math}"
                );
                assert!(!math.contains('&') || math.contains("&lt;") || math.contains("&gt;"));
            }
        }
    }
}
