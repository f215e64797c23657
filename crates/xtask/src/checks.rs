//! `cargo xtask test` and `cargo xtask bench`.

use std::io::{self, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Instant;

use anyhow::{Context, Result, anyhow, ensure};

use crate::browser::{self, Browser};
use crate::workspace::{cargo, run, step};
use crate::{dist, scripts, site, toolchain};

/// Every check of the project, the quick ones first; stops at the first that fails. The tests of the crates run while the
/// page is built, which keeps one core busy.
///
/// All steps name the whole workspace, so that cargo settles the same features for each and what
/// one step compiled serves the next.
pub fn test() -> Result<()> {
    let start = Instant::now();
    if toolchain::ensure_component("fmt", "rustfmt")? {
        step("format", || run(cargo()?.args(["fmt", "--all", "--check"])))?;
    } else {
        println!("== format: NOT CHECKED, this toolchain has no rustfmt and rustup could not add it");
    }
    ensure!(
        toolchain::ensure_component("clippy", "clippy")?,
        "the lints need clippy: install it with `rustup component add clippy`"
    );
    step("lints", || {
        let mut clippy = cargo()?;
        clippy.args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]);
        run(&mut clippy)
    })?;
    step("docs", || {
        let mut doc = cargo()?;
        doc.args(["doc", "--workspace", "--no-deps"]);
        run(doc.env("RUSTDOCFLAGS", "-D warnings"))
    })?;
    step("tests are built", || run(cargo()?.args(["test", "--workspace", "--no-run"])))?;
    let site = beside_tests(|| {
        let site = step("page", dist::build)?.folder;
        step("scripts", scripts::check)?;
        Ok(site)
    })?;
    let (chromium, firefox) = step("browsers", || Ok((browser::chromium()?, browser::firefox()?)))?;
    step("tests in the browsers", || test_page(&site, &chromium, &firefox))?;
    println!("\nall checks passed in {:.0} s", start.elapsed().as_secs_f64());
    Ok(())
}

/// Runs the tests of all crates while something else is done that keeps one core busy, as the build of the page does. What
/// the tests say is shown when they have ended, so that the lines of both do not mix.
fn beside_tests<T>(work: impl FnOnce() -> Result<T>) -> Result<T> {
    println!("\n== tests: they run beside the next steps, and their lines follow then");
    let start = Instant::now();
    let mut test = cargo()?;
    let test = test
        .args(["test", "--workspace"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .context("could not start the tests")?;
    let waiting = thread::spawn(|| test.wait_with_output());
    let done = work();
    let output = waiting.join().map_err(|_| anyhow!("waiting for the tests broke off"))??;
    step(&format!("tests, {:.0} s after they began", start.elapsed().as_secs_f64()), || {
        io::stderr().write_all(&output.stderr)?;
        io::stdout().write_all(&output.stdout)?;
        ensure!(output.status.success(), "`cargo test --workspace` ended with {}", output.status);
        Ok(())
    })?;
    done
}

/// The tests of the page, which a plain `cargo test` leaves out for want of the page.
fn test_page(site: &Path, chromium: &Browser, firefox: &Browser) -> Result<()> {
    println!("with {} and {}", chromium.program.display(), firefox.program.display());
    let mut test = cargo()?;
    test.args(["test", "--workspace", "--test", "browser", "--", "--include-ignored"]);
    test.env("GATEFROST_FIREFOX", &firefox.program).env("GATEFROST_GECKODRIVER", &firefox.driver);
    test.env("GATEFROST_SCRIPTS", scripts::place()?);
    run(with_page(&mut test, site, chromium))
}

/// Tells what opens the page where it and the browser are.
fn with_page<'a>(command: &'a mut Command, site: &Path, chromium: &Browser) -> &'a mut Command {
    command
        .env("GATEFROST_SITE", site)
        .env("GATEFROST_CHROMIUM", &chromium.program)
        .env("GATEFROST_CHROMEDRIVER", &chromium.driver)
}

/// The benchmarks, those of the page in a browser last. `args` go to cargo bench, which then runs without
/// the page; `page` alone measures only that.
pub fn bench(args: &[String]) -> Result<()> {
    let only_page = args == ["page"];
    if !only_page {
        run(cargo()?.args(["bench", "--workspace", "--bench", "evaluate", "--bench", "safety"]).args(args))?;
    }
    if only_page || args.is_empty() {
        let site = step("page", site::build)?.folder;
        let browser = step("browser", browser::chromium)?;
        let mut bench = cargo()?;
        bench.args(["bench", "--package", "gatefrost-tests", "--bench", "page"]);
        run(with_page(&mut bench, &site, &browser))?;
    }
    Ok(())
}
