//! Where the workspace is, and how a command is run in it.

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context, Result, bail};

/// The root of the workspace. Cargo sets `CARGO_MANIFEST_DIR` for what it runs, so a moved clone
/// with old build products is still found.
pub fn root() -> Result<PathBuf> {
    let here = std::env::var_os("CARGO_MANIFEST_DIR")
        .context("CARGO_MANIFEST_DIR is not set: run this as `cargo xtask`")?;
    let root = PathBuf::from(here).join("../..");
    root.canonicalize().with_context(|| format!("the workspace at {}", root.display()))
}

/// Where cargo puts what it builds.
pub fn target() -> Result<PathBuf> {
    match std::env::var_os("CARGO_TARGET_DIR").filter(|folder| !folder.is_empty()) {
        Some(folder) => Ok(std::env::current_dir()?.join(folder)),
        None => Ok(root()?.join("target")),
    }
}

/// Where the declarations of types are, for the check of the page's scripts.
pub fn types() -> Result<PathBuf> {
    let folder = target()?.join("types");
    std::fs::create_dir_all(&folder).with_context(|| format!("making {}", folder.display()))?;
    Ok(folder)
}

/// Cargo as the one that started us, working at the root of the workspace.
pub fn cargo() -> Result<Command> {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(program);
    command.current_dir(root()?).stdin(Stdio::null());
    Ok(command)
}

/// Runs a command to its end; its output goes to the terminal.
pub fn run(command: &mut Command) -> Result<()> {
    let status =
        command.status().with_context(|| format!("could not start {}", command.get_program().display()))?;
    if !status.success() {
        bail!("{} ended with {status}", spell(command));
    }
    Ok(())
}

/// Does one step under a heading and says how long it took.
pub fn step<T>(name: &str, work: impl FnOnce() -> Result<T>) -> Result<T> {
    println!("\n== {name}");
    let start = Instant::now();
    let result = work();
    let seconds = start.elapsed().as_secs_f64();
    match result {
        Ok(value) => {
            println!("== {name}: done in {seconds:.1} s");
            Ok(value)
        }
        Err(error) => {
            println!("== {name}: FAILED after {seconds:.1} s");
            Err(error.context(name.to_owned()))
        }
    }
}

/// The command as a person would type it, for messages.
fn spell(command: &Command) -> String {
    let name = PathBuf::from(command.get_program());
    let name = name.file_stem().unwrap_or(name.as_os_str());
    let mut text = format!("`{}", name.display());
    for arg in command.get_args() {
        text.push_str(&format!(" {}", arg.display()));
    }
    text + "`"
}
