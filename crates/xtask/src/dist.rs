//! `cargo xtask dist`: the page in the forms in which it is handed on.

use std::fs;
use std::io::{Cursor, Write};

use anyhow::{Context, Result};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::files::{Files, gzipped, kilobytes};
use crate::{course, files, single, site, workspace};

/// What the one file may weigh on the wire, bytes.
const ONE_FILE_BUDGET: usize = 2_500_000;

/// Makes the site, the one file, the package for courses and an archive of each, in `dist/`; returns what was built.
pub fn build() -> Result<site::Built> {
    let built = site::build()?;
    let root = workspace::root()?;
    let dist = root.join("dist");
    let mut licences = Files::new();
    for name in ["LICENSE-APACHE", "LICENSE-MIT"] {
        let text = fs::read(root.join(name)).with_context(|| format!("reading {name}"))?;
        licences.insert(name.to_owned(), text);
    }
    let page = single::pack(&built.sources)?.into_bytes();
    weigh(&page)?;
    let file = Files::from([("gatefrost.html".to_owned(), page.clone())]);
    let package = course::assemble(&built.sources)?;
    // Unpacked too, for the tests.
    files::replace(&dist.join("course"), &package)?;
    let outputs = [
        ("gatefrost.html", page),
        ("gatefrost-file.zip", archive(FOLDER, &[&file, &licences])?),
        ("gatefrost-site.zip", archive(FOLDER, &[&built.files, &licences])?),
        // A course page looks for the manifest at the root.
        ("gatefrost-course.zip", archive("", &[&package, &licences])?),
    ];
    for (name, bytes) in outputs {
        let path = dist.join(name);
        fs::write(&path, &bytes).with_context(|| format!("writing {}", path.display()))?;
        println!("{}: {} kB", path.display(), kilobytes(bytes.len()));
    }
    Ok(built)
}

/// Prints what the one file weighs and fails when it is over its budget, which is of the packed file as all are.
fn weigh(page: &[u8]) -> Result<()> {
    let packed = gzipped(page)?.len();
    println!("the one file: {} kB, {} kB gzipped", kilobytes(page.len()), kilobytes(packed));
    site::within("the one file", packed, ONE_FILE_BUDGET)
}

/// The folder in the archives for people.
const FOLDER: &str = "gatefrost/";

/// An archive with everything in one folder, or at its root where the folder has no name. The same files give the same bytes: names are in order,
/// and the time of each is the first that the format has.
fn archive(folder: &str, parts: &[&Files]) -> Result<Vec<u8>> {
    let all: Files = parts.iter().flat_map(|files| (*files).clone()).collect();
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(zip::DateTime::DEFAULT)
        .unix_permissions(0o644);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in &all {
        archive.start_file(format!("{folder}{name}"), options)?;
        archive.write_all(bytes)?;
    }
    Ok(archive.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    #[test]
    fn the_one_file_is_weighed_packed() {
        assert!(weigh(&vec![b'a'; 2 * ONE_FILE_BUDGET]).is_ok());
        let mut state = 1_u64;
        let noise = std::iter::repeat_with(|| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 56) as u8
        });
        let noise: Vec<u8> = noise.take(ONE_FILE_BUDGET).collect();
        let message = weigh(&noise).unwrap_err().to_string();
        assert!(message.starts_with("the one file is 2500.") && message.contains("gzipped"), "{message}");
    }

    #[test]
    fn an_archive_holds_every_file_and_is_the_same_each_time() {
        let site = site::assemble(&site::tests::small()).unwrap();
        let licence = Files::from([("LICENSE".to_owned(), b"do as you like".to_vec())]);
        let bytes = archive(FOLDER, &[&site, &licence]).unwrap();
        assert_eq!(bytes, archive(FOLDER, &[&site, &licence]).unwrap());
        let mut read = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        assert_eq!(read.len(), site.len() + 1);
        for (name, wanted) in site.iter().chain(&licence) {
            let mut found = Vec::new();
            read.by_name(&format!("gatefrost/{name}")).unwrap().read_to_end(&mut found).unwrap();
            assert_eq!(&found, wanted, "{name}");
        }
    }
}
