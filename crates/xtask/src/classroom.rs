//! What the build makes of the classroom: its page with the texts of the classroom's table.

use anyhow::{Context, Result};
use gatefrost_classroom::texts::Texts;

use crate::handbook::escaped;

/// A page with the text of the classroom's table for each `{{key}}`.
pub fn say(page: &str) -> Result<String> {
    let mut parts = page.split("{{");
    let mut said = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (key, rest) = part.split_once("}}").context("a {{key}} has no end")?;
        let words = Texts::english().find(key).with_context(|| format!("there is no text {key}"))?;
        said += &escaped(words);
        said += rest;
    }
    Ok(said)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_says_what_the_table_has() {
        let said = say("<p>{{list-heading}}: {{csv-yes}}</p>").unwrap();
        assert!(said.starts_with("<p>Exercises: ") && !said.contains('{'), "{said}");
        assert!(say("{{no-such-key}}").is_err() && say("{{list-heading").is_err());
    }
}
