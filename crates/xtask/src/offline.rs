//! The service worker of the hosted page: what it keeps, by name and content.

use serde_json::{Map, Value};

use crate::files::Files;
use crate::page::hash;

/// The service worker's file. It stands at the top of the site, because it serves what is below it.
pub const WORKER: &str = "offline.js";
/// The module of the page that asks for it.
pub const MODULE: &str = "app/shared/offline";

/// The worker of one version: `VERSION` and `FILES`, each file with the hash that it must have, before
/// its text. Another build makes another text, and that is how a browser knows.
pub fn worker(text: &str, version: &str, site: &Files) -> String {
    let files: Map<String, Value> =
        site.iter().map(|(name, bytes)| (name.clone(), Value::from(hash(bytes)))).collect();
    format!("const VERSION = \"{version}\";\nconst FILES = {};\n{text}", Value::from(files))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_site_is_named_with_its_hash() {
        let site = Files::from([("index.html".to_owned(), b"abc".to_vec())]);
        assert_eq!(
            worker("rest();", "0f", &site),
            "const VERSION = \"0f\";\n\
             const FILES = {\"index.html\":\"sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=\"};\nrest();"
        );
    }
}
