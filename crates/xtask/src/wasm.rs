//! The core as WebAssembly, with the script that binds it to the page.

use std::path::{Path, PathBuf};
use std::process::Stdio;

use anyhow::{Context, Result, bail};
use serde_json::Value;
use wasm_bindgen_cli_support::Bindgen;

use crate::reorder::reorder;
use crate::toolchain::{self, WASM_TARGET};
use crate::workspace;

/// Name of the binding script; the wasm file beside it is `gatefrost_bg.wasm`.
const OUT_NAME: &str = "gatefrost";

/// Compiles `gatefrost-web` and writes `gatefrost.js` and `gatefrost_bg.wasm` into `out`.
///
/// The script does not guess where the wasm is: the page hands it a compiled module, so that the
/// same script serves a site, a worker and a page in one file.
pub fn build(out: &Path) -> Result<()> {
    toolchain::ensure_wasm_target()?;
    let input = compile()?;
    Bindgen::new()
        .input_path(&input)
        .web(true)?
        .typescript(false)
        .remove_name_section(true)
        .remove_producers_section(true)
        .omit_default_module_path(true)
        .out_name(OUT_NAME)
        .generate(out)
        .with_context(|| format!("writing the bindings of {}", input.display()))?;
    let path = out.join(format!("{OUT_NAME}_bg.wasm"));
    let wasm = std::fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
    std::fs::write(&path, reorder(&wasm)?).with_context(|| format!("writing {}", path.display()))
}

/// Runs cargo and returns the path of the wasm it made.
fn compile() -> Result<PathBuf> {
    let mut command = workspace::cargo()?;
    command
        .args(["build", "--package", "gatefrost-web", "--lib"])
        .args(["--profile", "wasm", "--target", WASM_TARGET])
        .arg("--message-format=json-render-diagnostics")
        .env("CARGO_ENCODED_RUSTFLAGS", rustflags()?)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit());
    let output =
        command.spawn().and_then(|child| child.wait_with_output()).context("could not start cargo")?;
    if !output.status.success() {
        bail!("the core did not compile for {WASM_TARGET}");
    }
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(wasm_of_message)
        .next_back()
        .context("cargo named no wasm file for gatefrost-web")
}

/// The wasm file of one of cargo's messages, when it is about the page's library.
fn wasm_of_message(line: &str) -> Option<PathBuf> {
    let message: Value = serde_json::from_str(line).ok()?;
    if message["reason"] != "compiler-artifact" || message["target"]["name"] != "gatefrost_web" {
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
    flags.push("-Cllvm-args=--inline-threshold=4 --inlinehint-threshold=225".to_owned());
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
