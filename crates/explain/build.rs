//! Turns the equations in `equations.txt`, and their letters, into MathML, so that no reader of TeX is in a page.

use math_core::{LatexToMathML, MathCoreConfig, MathDisplay};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;
use std::{env, fs};

fn main() -> Result<(), String> {
    println!("cargo::rerun-if-changed=equations.txt");
    let text = fs::read_to_string("equations.txt").map_err(|e| e.to_string())?;
    let converter = LatexToMathML::new(MathCoreConfig::default()).map_err(|e| format!("{e:?}"))?;
    let lines: Vec<&str> = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).collect();
    let usual = lines.iter().filter_map(|line| line.strip_prefix("@ ")?.split_once(" = ")).collect();
    let rest: Vec<&str> = lines.into_iter().filter(|line| !line.starts_with('@')).collect();
    let mut out = String::new();
    for pair in rest.chunks(2) {
        let [line, letters] = pair else { return Err(format!("{pair:?}: the letters are missing")) };
        let (name, tex) =
            line.split_once(" | ").ok_or_else(|| format!("{line}: a name and TeX are needed"))?;
        let set = set(&converter, tex, MathDisplay::Block)?;
        let letters = told(&converter, tex, letters, &usual)?;
        writeln!(
            out,
            "pub static {name}: Equation = Equation {{ tex: {tex:?}, mathml: {set:?}, letters: &[{letters}] }};"
        )
        .map_err(|e| e.to_string())?;
    }
    let folder = env::var("OUT_DIR").map_err(|e| e.to_string())?;
    fs::write(Path::new(&folder).join("equations.rs"), out).map_err(|e| e.to_string())
}

/// TeX as MathML.
fn set(converter: &LatexToMathML, tex: &str, display: MathDisplay) -> Result<String, String> {
    let set = converter.convert_with_local_state(tex, display).map_err(|e| format!("{tex}: {e:?}"))?.mathml;
    // The content policy of the page forbids styles.
    if set.contains("style=") { Err(format!("{tex} would need a style attribute")) } else { Ok(set) }
}

/// The letters of an equation as Rust. Each must stand in it.
fn told(
    converter: &LatexToMathML,
    tex: &str,
    letters: &str,
    usual: &BTreeMap<&str, &str>,
) -> Result<String, String> {
    let letters = letters.strip_prefix("  ").ok_or_else(|| format!("{letters}: no line of letters"))?;
    let mut out = String::new();
    for item in letters.split("; ") {
        let (letter, words) = match item.split_once(" = ") {
            Some(both) => both,
            None => (item, *usual.get(item).ok_or_else(|| format!("{tex}: {item} has no words"))?),
        };
        if !tex.contains(letter) {
            return Err(format!("{tex} has no {letter}"));
        }
        let set = set(converter, letter, MathDisplay::Inline)?;
        out += &format!("Letter {{ tex: {letter:?}, mathml: {set:?}, words: {words:?} }}, ");
    }
    Ok(out)
}
