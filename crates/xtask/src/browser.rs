//! Programs that the tests need: Chromium and Firefox, each with the driver that steers it, and npm.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::workspace;

const CHROMIUM: &[&str] = &["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];
const CHROMEDRIVER: &[&str] = &["chromedriver", "chromium.chromedriver"];
const FIREFOX: &[&str] = &["firefox-esr", "firefox"];
/// Where a browser may stand without being on the path.
const CHROMIUM_PLACES: &[&str] = &[
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
];
const FIREFOX_PLACES: &[&str] = &["/Applications/Firefox.app/Contents/MacOS/firefox"];
/// Where Debian and Ubuntu packages have put the driver off the path.
const CHROMEDRIVER_PLACES: &[&str] =
    &["/usr/lib/chromium/chromedriver", "/usr/lib/chromium-browser/chromedriver"];
/// Debian has no package of it, crates.io has.
const GECKODRIVER_VERSION: &str = "0.37.1";

/// A browser and the driver that steers it.
pub struct Browser {
    /// The browser's program.
    pub program: PathBuf,
    /// The driver's program.
    pub driver: PathBuf,
}

/// Finds Chromium and its driver, or installs them where that can be done without asking.
pub fn chromium() -> Result<Browser> {
    let look = || -> Result<_> {
        let program = find("CHROMIUM", CHROMIUM, CHROMIUM_PLACES)?;
        Ok((program, find("CHROMEDRIVER", CHROMEDRIVER, CHROMEDRIVER_PLACES)?))
    };
    let mut found = look()?;
    if (found.0.is_none() || found.1.is_none()) && apt_install(&["chromium", "chromium-driver"])? {
        found = look()?;
    }
    let missing = match found {
        (Some(program), Some(driver)) => return Ok(Browser { program, driver }),
        (None, Some(_)) => "Chromium (or Chrome)",
        (Some(_), None) => "chromedriver of the same version",
        (None, None) => "Chromium (or Chrome) and chromedriver of the same version",
    };
    bail!(
        "the browser tests need {missing}, which this machine lacks.\n\
         On Debian: `sudo apt-get install chromium chromium-driver`. Elsewhere: install Chrome or \
         Chromium and the chromedriver that goes with it, put both on the PATH, or name the programs \
         in the variables CHROMIUM and CHROMEDRIVER."
    )
}

/// Finds Firefox and its driver. The driver is built beside the workspace's own programs where there is none.
pub fn firefox() -> Result<Browser> {
    let look = || find("FIREFOX", FIREFOX, FIREFOX_PLACES);
    let mut program = look()?;
    if program.is_none() && apt_install(&["firefox-esr"])? {
        program = look()?;
    }
    let Some(program) = program else {
        bail!(
            "the browser tests need Firefox, which this machine lacks.\n\
             On Debian: `sudo apt-get install firefox-esr`. Elsewhere: install Firefox, put it on the PATH, \
             or name the program in the variable FIREFOX."
        )
    };
    let driver = match find("GECKODRIVER", &["geckodriver"], &[])? {
        Some(driver) => driver,
        None => geckodriver().context(
            "Firefox's driver could not be built; put geckodriver on the PATH, or name it in the variable \
             GECKODRIVER",
        )?,
    };
    Ok(Browser { program, driver })
}

/// Finds npm, which comes with Node, or installs it where that can be done without asking.
pub fn npm() -> Result<PathBuf> {
    let look = || find("NPM", &["npm"], &[]);
    let mut found = look()?;
    if found.is_none() && apt_install(&["nodejs", "npm"])? {
        found = look()?;
    }
    found.context(
        "the check of the page's scripts needs npm, which this machine lacks.\n\
         On Debian: `sudo apt-get install nodejs npm`. Elsewhere: install Node, put npm on the PATH, or name it in \
         the variable NPM.",
    )
}

/// The driver among the build's own tools, built there the first time.
fn geckodriver() -> Result<PathBuf> {
    let tools = workspace::target()?.join("tools");
    let program = tools.join("bin").join(format!("geckodriver{}", std::env::consts::EXE_SUFFIX));
    if !is_program(&program) {
        println!("building geckodriver, a minute or two, once");
        let mut install = workspace::cargo()?;
        // Unoptimised and without debugging information: it waits for Firefox all the time, and nobody debugs it.
        install.env("CARGO_PROFILE_DEV_DEBUG", "false");
        install.args(["install", "geckodriver", "--locked", "--debug", "--version", GECKODRIVER_VERSION]);
        install.arg("--root").arg(&tools).arg("--target-dir").arg(tools.join("build"));
        workspace::run(&mut install)?;
        std::fs::remove_dir_all(tools.join("build")).ok();
    }
    Ok(program)
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

/// Installs packages where that can be done without asking, and says whether it did.
fn apt_install(packages: &[&str]) -> Result<bool> {
    if !is_root() || on_path("apt-get").is_none() {
        return Ok(false);
    }
    println!("installing {}", packages.join(" and "));
    apt(&["update"])?;
    apt(&[&["install", "--yes", "--no-install-recommends"], packages].concat())?;
    Ok(true)
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
