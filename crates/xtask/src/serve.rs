//! `cargo xtask serve`: the page on this machine, for this machine.

use std::net::{Ipv4Addr, TcpListener};
use std::process::{Command, Stdio};

use anyhow::{Context, Result};

use crate::{http, site};

/// The port when none is asked for.
pub const PORT: u16 = 8017;

/// Builds the page and serves it until the program is stopped.
pub fn run(port: u16, open: bool) -> Result<()> {
    // Taken before the build, so that a port in use does not cost the wait.
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).with_context(|| {
        format!("port {port} cannot be used; choose another with `cargo xtask serve --port N`")
    })?;
    let site = site::build()?.folder;
    let address = format!("http://{}/", listener.local_addr()?);
    println!("\nGatefrost is at {address}   (Ctrl+C stops it)");
    if open && has_screen() {
        open_browser(&address);
    }
    http::serve(&listener, &site, |target, response| {
        if !response.status.starts_with("200") {
            println!("{} {}", response.status, target.escape_debug());
        }
    })
    .context("the server stopped")
}

/// Whether there is a desktop on which a browser could show itself.
fn has_screen() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !set("CI") && (!cfg!(target_os = "linux") || set("DISPLAY") || set("WAYLAND_DISPLAY"))
}

/// Asks the desktop for the user's browser; where that fails, the address stands in the terminal.
fn open_browser(address: &str) {
    let mut command = if cfg!(target_os = "windows") {
        let mut command = Command::new("explorer");
        command.arg(address);
        command
    } else {
        let program = if cfg!(target_os = "macos") { "open" } else { "xdg-open" };
        let mut command = Command::new(program);
        command.arg(address);
        command
    };
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().ok();
}
