//! Turns the equations in `equations.txt` into MathML, so that no reader of TeX is in a page.

use math_core::{LatexToMathML, MathCoreConfig, MathDisplay};
use std::fmt::Write;
use std::path::Path;
use std::{env, fs};

fn main() -> Result<(), String> {
    println!("cargo::rerun-if-changed=equations.txt");
    let text = fs::read_to_string("equations.txt").map_err(|e| e.to_string())?;
    let converter = LatexToMathML::new(MathCoreConfig::default()).map_err(|e| format!("{e:?}"))?;
    let mut out = String::new();
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let (name, tex) =
            line.split_once(" | ").ok_or_else(|| format!("{line}: a name and TeX are needed"))?;
        let set = converter
            .convert_with_local_state(tex, MathDisplay::Block)
            .map_err(|e| format!("{name}: {e:?}"))?
            .mathml;
        // The content policy of the page forbids styles.
        if set.contains("style=") {
            return Err(format!("{name} would need a style attribute"));
        }
        writeln!(out, "pub static {name}: Equation = Equation {{ tex: {tex:?}, mathml: {set:?} }};")
            .map_err(|e| e.to_string())?;
    }
    let folder = env::var("OUT_DIR").map_err(|e| e.to_string())?;
    fs::write(Path::new(&folder).join("equations.rs"), out).map_err(|e| e.to_string())
}
