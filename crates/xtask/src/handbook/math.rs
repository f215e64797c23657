//! TeX to MathML.

use anyhow::{Result, anyhow, ensure};
use math_core::{LatexToMathML, MathCoreConfig, MathDisplay};

/// A formula as MathML, in a line or as a block of its own. TeX that cannot be read is an error, and so is what
/// would need a style attribute, which the page's policy forbids (`aligned`, `cases`, `\!`).
pub fn mathml(tex: &str, block: bool) -> Result<String> {
    let converter =
        LatexToMathML::new(MathCoreConfig::default()).map_err(|e| anyhow!("the TeX converter: {e:?}"))?;
    let display = if block { MathDisplay::Block } else { MathDisplay::Inline };
    let converted =
        converter.convert_with_local_state(tex, display).map_err(|e| anyhow!("the formula {tex}: {e:?}"))?;
    ensure!(
        !converted.mathml.contains("style="),
        "the formula {tex} would need a style attribute: do without aligned, cases and negative space"
    );
    Ok(converted.mathml)
}
