//! Writes the types of what crosses the boundaries to the pages as TypeScript declarations, one file for each
//! page's WebAssembly module: `cargo run -p gatefrost-types -- FOLDER`.

use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    match write() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

fn write() -> Result<(), String> {
    let folder = PathBuf::from(std::env::args_os().nth(1).ok_or("name the folder to write to")?);
    let modules = [
        ("window", gatefrost_web_window::declarations()),
        ("laboratory", gatefrost_web_laboratory::declarations()),
        ("after", gatefrost_web_after::declarations()),
        ("classroom", gatefrost_web_classroom::declarations()),
    ];
    for (name, declarations) in modules {
        let file = folder.join(format!("{name}-values.d.ts"));
        std::fs::write(&file, declarations.text()?).map_err(|e| format!("{}: {e}", file.display()))?;
    }
    Ok(())
}
