//! The driver of a browser, as a process of its own, and what `cargo xtask test` tells the tests.

use std::env;
use std::fs;
use std::io::{BufRead, BufReader, Read, copy, sink};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread;

/// Times that it may be started.
const STARTS: usize = 5;

/// A running chromedriver or geckodriver and the folder of its browser's profile; both go when it is dropped.
pub struct Driver {
    process: Child,
    port: u16,
    profile: Folder,
}

impl Driver {
    /// Starts the program on a port that it chooses itself. It takes the port for IPv6 first and gives up
    /// where another has the same one for IPv4: then it is started again.
    pub fn start(program: &Path) -> Self {
        let mut said = String::new();
        for _ in 0..STARTS {
            match Self::once(program) {
                Ok(driver) => return driver,
                Err(words) => said.push_str(&words),
            }
        }
        panic!("the driver ended without naming its port; it said:\n{said}");
    }

    fn once(program: &Path) -> Result<Self, String> {
        let mut command = Command::new(program);
        command.arg("--port=0").stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut process =
            command.spawn().unwrap_or_else(|e| panic!("{} did not start: {e}", program.display()));
        let output = process.stdout.take().expect("its output was asked for");
        let mut output = BufReader::new(output);
        let port = match port_from(&mut output) {
            Ok(port) => port,
            Err(said) => {
                process.kill().ok();
                process.wait().ok();
                return Err(said);
            }
        };
        // It would stop at a full pipe.
        thread::spawn(move || copy(&mut output, &mut sink()));
        Ok(Self { process, port, profile: Folder::new() })
    }

    /// Where it listens.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// The folder of the browser's profile, empty at the start.
    pub fn profile(&self) -> &Path {
        self.profile.path()
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        self.process.kill().ok();
        self.process.wait().ok();
    }
}

/// A folder for the time of a test or of a browser. It is empty at the start, and goes when this is dropped.
pub struct Folder(PathBuf);

impl Folder {
    /// Makes it.
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let folder = env::temp_dir().join(format!("gatefrost-browser-{}-{number}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        Self(folder)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        fs::remove_dir_all(&self.0).ok();
    }
}

/// What `cargo xtask test` tells the tests.
pub fn setting(name: &str) -> PathBuf {
    let value = env::var_os(name).filter(|value| !value.is_empty());
    value
        .map(PathBuf::from)
        .unwrap_or_else(|| panic!("{name} is not set: the browser tests are run by `cargo xtask test`"))
}

/// Reads what the driver says until it names its port; all it said where it does not.
fn port_from(output: &mut BufReader<impl Read>) -> Result<u16, String> {
    let mut said = String::new();
    let mut line = String::new();
    while output.read_line(&mut line).expect("the driver's words") > 0 {
        let said_by = ["started successfully on port ", "Listening on 127.0.0.1:"];
        if let Some((_, rest)) = said_by.iter().find_map(|words| line.split_once(words)) {
            let digits = rest.trim_end().trim_end_matches('.');
            return digits.parse().map_err(|_| format!("no port in: {line}"));
        }
        said.push_str(&line);
        line.clear();
    }
    Err(said)
}
