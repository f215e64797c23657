//! The browser for the tests: Chromium and its driver.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Result, bail};

use crate::workspace;

const BROWSER_NAMES: &[&str] = &["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];
const DRIVER_NAMES: &[&str] = &["chromedriver", "chromium.chromedriver"];
/// Where a browser may stand without being on the path.
const BROWSER_PLACES: &[&str] = &[
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
];
/// Where Debian and Ubuntu packages have put the driver off the path.
const DRIVER_PLACES: &[&str] = &["/usr/lib/chromium/chromedriver", "/usr/lib/chromium-browser/chromedriver"];

/// A browser and the driver that steers it.
pub struct Browser {
    /// The browser's program.
    pub chromium: PathBuf,
    /// The driver's program.
    pub chromedriver: PathBuf,
}

/// Finds the browser and its driver, or installs them where that can be done without asking.
pub fn ensure() -> Result<Browser> {
    let (chromium, chromedriver) = look()?;
    if let (Some(chromium), Some(chromedriver)) = (&chromium, &chromedriver) {
        return Ok(Browser { chromium: chromium.clone(), chromedriver: chromedriver.clone() });
    }
    if is_root() && on_path("apt-get").is_some() {
        println!("installing the packages chromium and chromium-driver");
        apt(&["update"])?;
        apt(&["install", "--yes", "--no-install-recommends", "chromium", "chromium-driver"])?;
        if let (Some(chromium), Some(chromedriver)) = look()? {
            return Ok(Browser { chromium, chromedriver });
        }
    }
    let mut missing = Vec::new();
    if chromium.is_none() {
        missing.push("Chromium (or Chrome)");
    }
    if chromedriver.is_none() {
        missing.push("chromedriver of the same version");
    }
    bail!(
        "the browser tests need {}, which this machine lacks.\n\
         On Debian: `sudo apt-get install chromium chromium-driver`. Elsewhere: install Chrome or \
         Chromium and the chromedriver that goes with it, put both on the PATH, or name the programs \
         in the variables CHROMIUM and CHROMEDRIVER.",
        missing.join(" and ")
    )
}

fn look() -> Result<(Option<PathBuf>, Option<PathBuf>)> {
    Ok((find("CHROMIUM", BROWSER_NAMES, BROWSER_PLACES)?, find("CHROMEDRIVER", DRIVER_NAMES, DRIVER_PLACES)?))
}

/// The program that a variable names, or the first of `names` on the path or of `places`.
fn find(variable: &str, names: &[&str], places: &[&str]) -> Result<Option<PathBuf>> {
    if let Some(value) = std::env::var_os(variable).filter(|value| !value.is_empty()) {
        let path = PathBuf::from(&value);
        let found = if path.components().count() > 1 {
            path.is_file().then_some(path)
        } else {
            on_path(&value.to_string_lossy())
        };
        return match found {
            Some(path) => Ok(Some(path)),
            None => bail!("{variable} names {}, which is not there", value.display()),
        };
    }
    let place = || places.iter().map(PathBuf::from).find(|p| p.is_file());
    Ok(names.iter().find_map(|name| on_path(name)).or_else(place))
}

fn on_path(name: &str) -> Option<PathBuf> {
    in_folders(name, &std::env::var_os("PATH")?)
}

fn in_folders(name: &str, folders: &OsString) -> Option<PathBuf> {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    std::env::split_paths(folders).map(|folder| folder.join(&file)).find(|path| is_program(path))
}

#[cfg(unix)]
fn is_program(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    path.metadata().is_ok_and(|m| m.is_file() && m.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_program(path: &Path) -> bool {
    path.is_file()
}

fn is_root() -> bool {
    let output = Command::new("id").arg("-u").stdin(Stdio::null()).output();
    output.is_ok_and(|o| o.stdout.trim_ascii() == b"0")
}

fn apt(args: &[&str]) -> Result<()> {
    workspace::run(
        Command::new("apt-get")
            .args(["--quiet", "--quiet"])
            .args(args)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .stdin(Stdio::null()),
    )
}

#[cfg(all(test, unix))]
mod tests {
    use std::fs;
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    #[test]
    fn a_program_is_found_in_the_first_folder_where_it_can_be_run() {
        let base = std::env::temp_dir().join(format!("gatefrost-path-{}", std::process::id()));
        for (folder, mode) in [("a", 0o644), ("b", 0o755), ("c", 0o755)] {
            fs::create_dir_all(base.join(folder)).unwrap();
            let file = base.join(folder).join("chromium");
            fs::write(&file, "").unwrap();
            fs::set_permissions(&file, fs::Permissions::from_mode(mode)).unwrap();
        }
        let folders = std::env::join_paths(["a", "b", "c"].map(|f| base.join(f))).unwrap();
        let found = in_folders("chromium", &folders);
        let absent = in_folders("chromedriver", &folders);
        fs::remove_dir_all(&base).unwrap();
        assert_eq!(found, Some(base.join("b/chromium")));
        assert_eq!(absent, None);
    }
}
