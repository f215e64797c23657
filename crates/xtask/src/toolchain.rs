//! The parts of the Rust toolchain that the pinned version may lack.

use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::workspace;

/// The target of the page's core.
pub const WASM_TARGET: &str = "wasm32-unknown-unknown";

/// Makes sure that the standard library for the page's target is there. `rust-toolchain.toml`
/// names it, but a rustup told not to install by itself leaves it out without a word.
pub fn ensure_wasm_target() -> Result<()> {
    if has_wasm_target()? {
        return Ok(());
    }
    println!("adding the target {WASM_TARGET} through rustup");
    let added = rustup(&["target", "add", WASM_TARGET]);
    if added.is_err() || !has_wasm_target()? {
        let reason = added.err().map(|e| format!(" ({e:#})")).unwrap_or_default();
        bail!(
            "the Rust target {WASM_TARGET} is missing and could not be added{reason}; \
             install it with `rustup target add {WASM_TARGET}`"
        );
    }
    Ok(())
}

/// Whether a cargo subcommand such as `fmt` works, after asking rustup for its component when it
/// does not.
pub fn ensure_component(subcommand: &str, component: &str) -> Result<bool> {
    if works(subcommand)? {
        return Ok(true);
    }
    println!("adding the component {component} through rustup");
    if let Err(error) = rustup(&["component", "add", component]) {
        println!("it could not be added: {error:#}");
    }
    works(subcommand)
}

fn has_wasm_target() -> Result<bool> {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let output = Command::new(rustc)
        .args(["--print", "target-libdir", "--target", WASM_TARGET])
        .current_dir(workspace::root()?)
        .output()
        .context("could not start rustc")?;
    let directory = String::from_utf8_lossy(&output.stdout);
    Ok(output.status.success() && Path::new(directory.trim()).is_dir())
}

fn works(subcommand: &str) -> Result<bool> {
    let status = workspace::cargo()?
        .args([subcommand, "--version"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .context("could not start cargo")?;
    Ok(status.success())
}

/// Runs rustup at the root of the workspace, where it acts on the pinned toolchain.
fn rustup(args: &[&str]) -> Result<()> {
    workspace::run(Command::new("rustup").args(args).current_dir(workspace::root()?).stdin(Stdio::null()))
}
