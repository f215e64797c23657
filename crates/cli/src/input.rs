//! Reading documents and tables from files and from standard input.

use crate::failure::Failure;
use crate::output::tell;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Earlier, MAX_JSON_BYTES, Scenario, ScenarioError};
use gatefrost_laboratory::recipe::Recipe;
use gatefrost_laboratory::rheometry;
use std::ffi::{OsStr, OsString};
use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

/// Where a document comes from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Source {
    /// Standard input, written `-`.
    Stdin,
    /// A file.
    File(PathBuf),
}

impl From<OsString> for Source {
    fn from(text: OsString) -> Self {
        if text == OsStr::new("-") { Self::Stdin } else { Self::File(text.into()) }
    }
}

impl Source {
    /// Name to use in messages.
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Stdin => "standard input".to_owned(),
            Self::File(path) => path.display().to_string(),
        }
    }

    /// Where a figure of this scenario goes unless the caller says otherwise: beside the file, or
    /// into the working directory.
    pub(crate) fn figure(&self) -> PathBuf {
        match self {
            Self::Stdin => PathBuf::from("window.svg"),
            Self::File(path) => path.with_extension("svg"),
        }
    }

    /// The file itself, where it is one.
    pub(crate) fn path(&self) -> Option<&Path> {
        match self {
            Self::Stdin => None,
            Self::File(path) => Some(path),
        }
    }

    /// The input, to be read piece by piece.
    pub(crate) fn buffered(&self) -> io::Result<Box<dyn BufRead>> {
        Ok(match self {
            Self::Stdin => Box::new(io::stdin().lock()),
            Self::File(path) => Box::new(BufReader::new(File::open(path)?)),
        })
    }

    /// Reads and validates the scenario.
    pub(crate) fn scenario(&self) -> Result<Scenario, Failure> {
        let (scenario, earlier) = self.document(Scenario::read)?;
        for line in earlier.iter().flat_map(told) {
            tell(&format!("{}: {line}", self.name()));
        }
        Ok(scenario)
    }

    /// Reads and checks the recipe.
    pub(crate) fn recipe(&self) -> Result<Recipe, Failure> {
        self.document(Recipe::from_json)
    }

    /// Reads the text of a table of readings, in any of the encodings that spreadsheets write.
    pub(crate) fn table(&self) -> Result<String, Failure> {
        // Text of two bytes a character may have twice the length; the reader of tables has the
        // last word on what is too long.
        let bytes = self.bytes(2 * rheometry::MAX_BYTES)?;
        rheometry::decode(&bytes).map_err(|e| Failure::table(&self.name(), &e))
    }

    fn document<T>(&self, read: impl Fn(&str) -> Result<T, ScenarioError>) -> Result<T, Failure> {
        let text = self.text()?;
        // Some editors put a mark before the text.
        let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
        read(text).map_err(|e| Failure::scenario(&self.name(), &e))
    }

    fn text(&self) -> Result<String, Failure> {
        let bytes = self.bytes(MAX_JSON_BYTES)?;
        if bytes.len() > MAX_JSON_BYTES {
            let message =
                format!("{}: has more than {MAX_JSON_BYTES} bytes; that many are accepted", self.name());
            return Err(Failure::Bad(vec![message]));
        }
        String::from_utf8(bytes).map_err(|e| {
            let place = e.utf8_error().valid_up_to();
            Failure::Bad(vec![format!("{}: is not UTF-8 text (byte {place})", self.name())])
        })
    }

    fn bytes(&self, most: usize) -> Result<Vec<u8>, Failure> {
        match self {
            Self::Stdin => at_most(io::stdin().lock(), most),
            Self::File(path) => File::open(path).and_then(|file| at_most(file, most)),
        }
        .map_err(|e| Failure::io(&self.name(), &e))
    }
}

/// What is said of a scenario of an earlier version of the document.
fn told(earlier: &Earlier) -> Vec<String> {
    let newer = Limit::ALL.into_iter().filter(|limit| limit.since() > earlier.version).map(Limit::label);
    let newer: Vec<&str> = newer.collect();
    let mut lines =
        vec!["made with an earlier model; its inputs are the same, results may differ".to_owned()];
    lines.extend(earlier.dropped.iter().map(|dropped| dropped.message.clone()));
    if !newer.is_empty() {
        lines.push(format!("new limits apply too: {}", newer.join(", ")));
    }
    lines
}

/// Reads one byte more than is accepted and no further, so that an endless input ends.
fn at_most(reader: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
