//! The WebAssembly modules of the pages and of their workers, each with the script that binds it.

use std::path::{Path, PathBuf};
use std::process::Stdio;

use anyhow::{Context, Result, bail};
use serde_json::Value;
use wasm_bindgen_cli_support::Bindgen;

use crate::reorder::reorder;
use crate::toolchain::{self, WASM_TARGET};
use crate::workspace;

/// A WebAssembly module.
pub struct Core {
    /// Its name: that of its files, and the one by which a page or a script asks for it.
    pub name: &'static str,
    /// The package it is built from.
    package: &'static str,
    /// What it may weigh on the wire, bytes.
    pub budget: usize,
    /// How its solvers are compiled: for speed as the profile says, unless it is said here.
    opt_level: Option<&'static str>,
    /// Whether it is a page's own; otherwise a worker of a page loads it when it is needed.
    pub of_page: bool,
}

/// All of them.
pub const CORES: [Core; 6] = [
    Core { name: "window", package: "gatefrost-web-window", budget: 400_000, opt_level: None, of_page: true },
    // No solver of the mould is in it: size counts for more than speed.
    Core {
        name: "laboratory",
        package: "gatefrost-web-laboratory",
        budget: 265_000,
        opt_level: Some("z"),
        of_page: true,
    },
    Core {
        name: "after",
        package: "gatefrost-web-after",
        // It draws the figures of what follows the mould and those of the calibration: one module for two pages.
        budget: 318_000,
        opt_level: Some("z"),
        of_page: true,
    },
    // The estimation from shots is in it, because a module with a solver of its own would weigh 258 kB. The
    // letters of the equations that are solved, with what they are, take 6 kB. A lecturer's exercises take 88 kB: they open
    // links, have the texts of the classroom, and need the solver, which weighs more than they do in a module of its own.
    Core {
        name: "studies",
        package: "gatefrost-web-studies",
        budget: 570_000,
        opt_level: None,
        of_page: false,
    },
    // Draws its own figures. The page's scripts take 25 kB of the 350 kB that a page may weigh.
    Core {
        name: "classroom",
        package: "gatefrost-web-classroom",
        budget: 290_000,
        opt_level: Some("z"),
        of_page: true,
    },
    Core {
        name: "readings",
        package: "gatefrost-web-readings",
        budget: 170_000,
        opt_level: Some("z"),
        of_page: false,
    },
];

/// Compiles every module and writes `NAME.js` and `NAME_bg.wasm` of each into `out`.
///
/// A script does not guess where its wasm is: the page hands it a compiled module, so that the
/// same script serves a site, a worker and a page in one file.
pub fn build(out: &Path) -> Result<()> {
    toolchain::ensure_wasm_target()?;
    CORES.iter().try_for_each(|core| bind(core, &compile(core)?, out))
}

/// Writes the binding script of a module, and the module with its functions in an order that packs well.
fn bind(core: &Core, input: &Path, out: &Path) -> Result<()> {
    Bindgen::new()
        .input_path(input)
        .web(true)?
        .typescript(true)
        .remove_name_section(true)
        .remove_producers_section(true)
        .omit_default_module_path(true)
        .out_name(core.name)
        .generate(out)
        .with_context(|| format!("writing the bindings of {}", input.display()))?;
    // The declarations are for the check of the scripts; the page has no use for them.
    std::fs::remove_file(out.join(format!("{}_bg.wasm.d.ts", core.name))).ok();
    let declarations = format!("{}.d.ts", core.name);
    let types = workspace::types()?;
    std::fs::rename(out.join(&declarations), types.join(&declarations))
        .with_context(|| format!("moving {declarations} to {}", types.display()))?;
    let path = out.join(format!("{}_bg.wasm", core.name));
    let wasm = std::fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
    std::fs::write(&path, reorder(&wasm)?).with_context(|| format!("writing {}", path.display()))
}

/// Runs cargo and returns the path of the wasm it made.
fn compile(core: &Core) -> Result<PathBuf> {
    let mut command = workspace::cargo()?;
    command
        .args(["build", "--package", core.package, "--lib"])
        .args(["--profile", "wasm", "--target", WASM_TARGET])
        .arg("--message-format=json-render-diagnostics")
        .env("CARGO_ENCODED_RUSTFLAGS", rustflags()?)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit());
    if let Some(level) = core.opt_level {
        command.env("CARGO_PROFILE_WASM_OPT_LEVEL", level);
    }
    let output =
        command.spawn().and_then(|child| child.wait_with_output()).context("could not start cargo")?;
    if !output.status.success() {
        bail!("{} did not compile for {WASM_TARGET}", core.package);
    }
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(|line| wasm_of_message(line, core.package))
        .next_back()
        .with_context(|| format!("cargo named no wasm file for {}", core.package))
}

/// The wasm file of one of cargo's messages, when it is about the library of a package.
fn wasm_of_message(line: &str, package: &str) -> Option<PathBuf> {
    let message: Value = serde_json::from_str(line).ok()?;
    let library = package.replace('-', "_");
    if message["reason"] != "compiler-artifact" || message["target"]["name"] != library.as_str() {
        return None;
    }
    message["filenames"]
        .as_array()?
        .iter()
        .filter_map(Value::as_str)
        .find(|name| name.ends_with(".wasm"))
        .map(PathBuf::from)
}

/// Flags for the wasm target alone. Set through the environment, because `RUSTFLAGS` in the user's
/// environment would otherwise silence any in a configuration file. The paths of the machine that
/// builds are kept out of the panic messages: they say nothing to a reader and make every build
/// different.
fn rustflags() -> Result<String> {
    let mut flags = vec!["-Ctarget-feature=+simd128".to_owned()];
    // Fewer copies of small functions: 11 kB less, packed, and hardly slower. Hot ones say that they want to be inlined.
    // No loop is unrolled in part: 4 kB less, and 4 in a hundred faster.
    flags.push(
        "-Cllvm-args=--inline-threshold=4 --inlinehint-threshold=225 --unroll-runtime=false \
         --unroll-allow-partial=false"
            .to_owned(),
    );
    // Loops are not vectorised by the compiler: 3 kB less, and 4 in a hundred slower. The hot ones say their lanes themselves.
    flags.push("-Cno-vectorize-loops".to_owned());
    if let Some(home) = cargo_home() {
        flags.push(format!("--remap-path-prefix={}=cargo", home.display()));
    }
    let root = workspace::root()?;
    flags.push(format!("--remap-path-prefix={}=gatefrost", root.display()));
    // 0x1f is the separator that cargo defines for this variable.
    Ok(flags.join("\x1f"))
}

fn cargo_home() -> Option<PathBuf> {
    std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::home_dir().map(|home| home.join(".cargo")))
}
