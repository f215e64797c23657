//! Files in memory: reading a folder, writing one, and what they weigh.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::num::NonZeroU64;
use std::path::Path;

use anyhow::{Context, Result, bail};
use flate2::Compression;
use flate2::write::GzEncoder;

/// Files by their names from one folder, with `/`, in order.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The text of a file.
pub fn text<'a>(bytes: &'a [u8], name: &str) -> Result<&'a str> {
    std::str::from_utf8(bytes).with_context(|| format!("{name} is not text"))
}

/// Removes a folder, if there is one.
pub fn clear(folder: &Path) -> Result<()> {
    if folder.exists() {
        fs::remove_dir_all(folder).with_context(|| format!("clearing {}", folder.display()))?;
    }
    Ok(())
}

/// Puts files in the place of a folder. They are written aside first, so that a page being served is
/// replaced whole or not at all.
pub fn replace(folder: &Path, files: &Files) -> Result<()> {
    let fresh = folder.with_extension("new");
    clear(&fresh)?;
    for (name, bytes) in files {
        let path = fresh.join(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).with_context(|| format!("making {}", parent.display()))?;
        }
        fs::write(&path, bytes).with_context(|| format!("writing {}", path.display()))?;
    }
    clear(folder)?;
    fs::rename(&fresh, folder).with_context(|| format!("making {}", folder.display()))
}

/// All files below a folder. Hidden ones are left out.
pub fn read(folder: &Path) -> Result<Files> {
    let mut files = Files::new();
    for entry in fs::read_dir(folder).with_context(|| format!("reading {}", folder.display()))? {
        let path = entry?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            bail!("{} has a name that is not text", path.display());
        };
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            files.extend(read(&path)?.into_iter().map(|(inner, bytes)| (format!("{name}/{inner}"), bytes)));
        } else {
            let bytes = fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
            files.insert(name.to_owned(), bytes);
        }
    }
    Ok(files)
}

/// Bytes in thousands, for messages.
pub fn kilobytes(bytes: usize) -> String {
    format!("{}.{}", bytes / 1000, bytes % 1000 / 100)
}

/// Packed more tightly than a host would: for what is packed once and read often.
pub fn tightly_gzipped(bytes: &[u8]) -> Result<Vec<u8>> {
    // The module of the window, packed: 397 kB instead of 409. More rounds take less than 1 kB off.
    let rounds = NonZeroU64::new(4).context("a number of rounds")?;
    let mut packed = Vec::new();
    let options = zopfli::Options { iteration_count: rounds, ..zopfli::Options::default() };
    zopfli::compress(options, zopfli::Format::Gzip, bytes, &mut packed)?;
    Ok(packed)
}

/// Packed as a host would send it.
pub fn gzipped(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}
