//! The package for course pages, `dist/gatefrost-course.zip`, after SCORM 1.2 (ADL, Sharable Content Object Reference
//! Model 1.2, Content Aggregation Model): the site with a manifest at its root, which names the classroom as the page that
//! the course launches.
//!
//! The classroom's page in it carries `data-course`: it looks for the course around it and reports to it. No page
//! asks for the service worker, because the course's host is not ours.

use anyhow::{Context, Result, ensure};
use gatefrost_classroom::texts::Texts;

use crate::files::{Files, text};
use crate::handbook::escaped;
use crate::{offline, site};

/// The page that the course launches.
const LAUNCHED: &str = "classroom.html";
const ROOT: &str = "<html lang=\"en\">";
const ROOT_IN_COURSE: &str = "<html lang=\"en\" data-course>";
/// Where a course page looks for what is in the package.
const MANIFEST: &str = "imsmanifest.xml";

/// The files of the package.
pub fn assemble(sources: &Files) -> Result<Files> {
    let mut own = sources.clone();
    let asks = format!("import \"{}\";", offline::MODULE);
    for (name, bytes) in own.iter_mut().filter(|(name, _)| name.ends_with(".html")) {
        let mut page = text(bytes, name)?.replace(&asks, "");
        if name == LAUNCHED {
            ensure!(page.contains(ROOT), "{name} does not begin with {ROOT}");
            page = page.replacen(ROOT, ROOT_IN_COURSE, 1);
        }
        *bytes = page.into_bytes();
    }
    let mut package = site::assemble(&own)?;
    package.remove(offline::WORKER).with_context(|| format!("there is no {}", offline::WORKER))?;
    ensure!(package.contains_key(LAUNCHED), "there is no {LAUNCHED}");
    package.insert(MANIFEST.to_owned(), manifest(&package).into_bytes());
    Ok(package)
}

/// The manifest: one course of one page, with all files of the package.
fn manifest(package: &Files) -> String {
    let title = escaped(&Texts::english().word("course-title"));
    let files: String =
        package.keys().map(|name| format!("      <file href=\"{}\"/>\n", escaped(name))).collect();
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="gatefrost-classroom" version="1.0"
    xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2"
    xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2">
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>1.2</schemaversion>
  </metadata>
  <organizations default="classroom">
    <organization identifier="classroom">
      <title>{title}</title>
      <item identifier="exercises" identifierref="page" isvisible="true">
        <title>{title}</title>
      </item>
    </organization>
  </organizations>
  <resources>
    <resource identifier="page" type="webcontent" adlcp:scormtype="sco" href="{LAUNCHED}">
{files}    </resource>
  </resources>
</manifest>
"#
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn package() -> Files {
        let mut sources = site::tests::small();
        sources.insert(LAUNCHED.to_owned(), sources["index.html"].clone());
        assemble(&sources).unwrap()
    }

    #[test]
    fn the_manifest_names_every_file_and_the_page_to_launch() {
        let package = package();
        let manifest = text(&package[MANIFEST], MANIFEST).unwrap();
        assert!(manifest.contains("adlcp:scormtype=\"sco\" href=\"classroom.html\""), "{manifest}");
        for name in package.keys().filter(|name| *name != MANIFEST) {
            assert_eq!(
                manifest.matches(&format!("<file href=\"{name}\"/>")).count(),
                1,
                "{name}\n{manifest}"
            );
        }
    }

    #[test]
    fn only_the_launched_page_is_of_the_course_and_none_asks_for_the_service_worker() {
        let package = package();
        for (name, bytes) in package.iter().filter(|(name, _)| name.ends_with(".html")) {
            let page = text(bytes, name).unwrap();
            assert_eq!(page.contains("data-course"), name == LAUNCHED, "{name}");
            assert!(!page.contains(offline::MODULE), "{name}: {page}");
        }
        assert!(!package.contains_key(offline::WORKER));
    }
}
