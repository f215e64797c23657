//! Running the program as a user does.
#![allow(dead_code, reason = "each test file uses its own part")]

use serde_json::{Value, json};
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// What a run left behind.
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Run {
    /// Standard output as JSON.
    pub fn json(&self) -> Value {
        assert_eq!(self.code, 0, "{}", self.err);
        serde_json::from_str(&self.out).expect("JSON on standard output")
    }
}

/// The program with arguments, yet to be run.
pub fn program(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gatefrost"));
    command.args(args);
    command
}

/// Runs it on a standard input.
pub fn run_on(args: &[&str], input: &[u8]) -> Run {
    let mut child = program(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("piped");
    let input = input.to_vec();
    // From a thread: a program that refuses early does not read to the end.
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().expect("the program ends");
    let _ = writer.join();
    Run {
        code: output.status.code().expect("an exit code, not a signal"),
        out: String::from_utf8(output.stdout).expect("UTF-8"),
        err: String::from_utf8(output.stderr).expect("UTF-8"),
    }
}

/// Runs it without input.
pub fn run(args: &[&str]) -> Run {
    run_on(args, b"")
}

/// The default demo as a document.
pub fn demo() -> Value {
    run(&["demo"]).json()
}

/// Puts a value at a JSON pointer, also where nothing stands yet.
pub fn put(document: &mut Value, pointer: &str, value: Value) {
    let (parent, field) = pointer.rsplit_once('/').expect("a pointer");
    match document.pointer_mut(parent).expect("the parent exists") {
        Value::Array(items) => items[field.parse::<usize>().expect("an index")] = value,
        parent => parent[field] = value,
    }
}

/// One passage at melt temperature throughout, of a power-law fluid with K = 1000 Pa·sⁿ and
/// n = 0.4, without viscous heating, filled in `seconds`.
pub fn isothermal(form: Value, seconds: f64) -> Value {
    json!({
        "gatefrost": 1,
        "name": "isothermal check",
        "feedstock": { "flow_law": { "power_law": {
            "consistency": 1000, "n": 0.4, "activation_energy": 0, "reference_temperature": 160
        } } },
        "cavity": { "passages": [{ "name": "passage", "role": "part", "form": form }] },
        "setup": { "melt_temperature": 160, "mould_temperature": 160, "injection_time": seconds },
        "window": {
            "x": { "axis": "injection_time", "from": 0.05, "to": 5 },
            "y": { "axis": "melt_temperature", "from": 160, "to": 200 }
        },
        "model": { "viscous_heating": false, "side_walls": false, "warming_steel": false }
    })
}

/// An empty directory of this test's own.
pub fn scratch(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).expect("a directory to work in");
    path
}
