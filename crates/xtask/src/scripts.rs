//! Checks of the pages' scripts: their types by TypeScript, their style by oxlint.
//!
//! The scripts are plain JavaScript with JSDoc types. What comes from Rust has its types from Rust: the bindings
//! generator declares the functions of each WebAssembly module, `gatefrost-types` the values that cross. The tools
//! come from npm at the versions in `tests/scripts`; nothing of them is in a page.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result};
use serde_json::json;

use crate::{browser, wasm, workspace};

/// What describes the module that the build writes beside the scripts.
const WORDS: &str = "/** What people read of each parameter, by its path. */\n\
    export const words: Record<string, { help: string, source: string }>;\n\
    export const flowLaws: { name: string, title: string, scales: string[] }[];\n\
    export const families: { name: Gatefrost.Family, title: string }[];\n\
    /** Steps of a machine in one unit of the catalogue, of the settings that a machine has. */\n\
    export const stepsInUnit: Record<string, number>;\n";

/// What describes the words that only the page of what follows the mould reads.
const WORDS_AFTER: &str = "export const wordsAfter: Record<string, { help: string, source: string }>;\n";

/// What describes the words that only the page that calibrates reads.
const WORDS_LOG: &str = "export const wordsLog: Record<string, { help: string, source: string }>;\n\
    /** The fields of a shot that are read of it. */\n\
    export const readFields: Gatefrost.Read[];\n";

/// What describes the module of the limits, which the build writes beside them.
const LIMITS: &str = "/** What is said of each limit, by its name. */\n\
    export const limitWords: Record<Gatefrost.Limit, { label: string, ground: string, why: string, since: number }>;\n";

/// What describes the module of the results that the window's page lists.
const RESULTS: &str = "/** The results that can be opened, group by group: path in the report, words, unit, digits, whether it rests on the flow law. */\n\
    export const results: Record<string, [path: PathOf<Gatefrost.Report>, words: string, unit: string, digits: number, rheology: boolean][]>;\n";

/// What describes the module of the usual parts and gates.
const USUAL: &str = "/** The usual parts and gates in words. */\nexport const usual: Gatefrost.Shelf;\n";

/// What the build writes before the service worker.
const VERSION: &str = "declare const VERSION: string;\ndeclare const FILES: Record<string, string>;\n";

/// Checks all scripts. The WebAssembly modules must have been built: their bindings declare what they export.
pub fn check() -> Result<()> {
    let tools = tools()?;
    let types = workspace::types()?;
    workspace::run(
        workspace::cargo()?.args(["run", "--quiet", "--package", "gatefrost-types", "--"]).arg(&types),
    )?;
    fs::write(types.join("words.d.ts"), WORDS)?;
    fs::write(types.join("words-after.d.ts"), WORDS_AFTER)?;
    fs::write(types.join("words-log.d.ts"), WORDS_LOG)?;
    fs::write(types.join("limits.d.ts"), LIMITS)?;
    fs::write(types.join("results.d.ts"), RESULTS)?;
    fs::write(types.join("usual.d.ts"), USUAL)?;
    fs::write(types.join("version.d.ts"), VERSION)?;
    for core in wasm::CORES.iter().filter(|core| core.of_page) {
        let mut entries = vec![format!("www/js/{}", core.name)];
        // The classroom has no scenario. Of the shared scripts it takes those that do without.
        if core.name != "classroom" {
            entries.push("www/js/shared".to_owned());
        }
        // These pages share this module.
        if core.name == "after" {
            entries.extend(["www/js/calibration", "www/js/plan"].map(str::to_owned));
        }
        let values = format!("{}-values.d.ts", core.name);
        let bindings = types.join(format!("{}.d.ts", core.name));
        let lib = ["esnext", "dom", "dom.iterable"];
        compile(&tools, core.name, &entries, &[&values], Some(&bindings), &lib)?;
    }
    let worker = ["www/offline.js".to_owned()];
    compile(&tools, "offline", &worker, &["version.d.ts"], None, &["esnext", "webworker"])?;
    let root = workspace::root()?;
    let mut lint = Command::new(program(&tools, "oxlint"));
    lint.current_dir(&root).args([
        "--config",
        "tests/scripts/oxlint.json",
        "--deny-warnings",
        "www/js",
        "www/offline.js",
    ]);
    workspace::run(&mut lint)
}

/// Lets TypeScript check some scripts, given as files or folders from the root, with declarations from the folder
/// of types.
fn compile(
    tools: &Path,
    name: &str,
    scripts: &[String],
    declarations: &[&str],
    bindings: Option<&Path>,
    lib: &[&str],
) -> Result<()> {
    let (root, types) = (workspace::root()?, workspace::types()?);
    let mut paths = serde_json::Map::new();
    if let Some(bindings) = bindings {
        paths.insert("gatefrost".to_owned(), json!([bindings]));
        paths.insert("app/shared/words".to_owned(), json!([types.join("words.d.ts")]));
        paths.insert("app/after/words".to_owned(), json!([types.join("words-after.d.ts")]));
        paths.insert("app/calibration/words".to_owned(), json!([types.join("words-log.d.ts")]));
        paths.insert("app/shared/limits".to_owned(), json!([types.join("limits.d.ts")]));
        paths.insert("app/shared/results".to_owned(), json!([types.join("results.d.ts")]));
        paths.insert("app/window/settings/usual".to_owned(), json!([types.join("usual.d.ts")]));
        paths.insert("app/*".to_owned(), json!([root.join("www/js/*.js")]));
    }
    let included: Vec<PathBuf> = scripts.iter().map(|script| root.join(script)).collect();
    let paths_of = root.join("tests/scripts/paths.d.ts");
    let included =
        included.into_iter().chain([paths_of]).chain(declarations.iter().map(|file| types.join(file)));
    let config = json!({
        "extends": root.join("tests/scripts/tsconfig.json"),
        "compilerOptions": { "paths": paths, "lib": lib },
        "include": included.collect::<Vec<_>>(),
    });
    let file = types.join(format!("tsconfig.{name}.json"));
    fs::write(&file, config.to_string()).with_context(|| format!("writing {}", file.display()))?;
    workspace::run(Command::new(program(tools, "tsc")).arg("--project").arg(&file))
}

/// Where the tools are, once they have been installed.
pub fn place() -> Result<PathBuf> {
    Ok(workspace::target()?.join("scripts"))
}

/// The folder of the tools, installed there the first time and after a change of their versions.
fn tools() -> Result<PathBuf> {
    let (wanted, place) = (workspace::root()?.join("tests/scripts"), place()?);
    let lock =
        fs::read(wanted.join("package-lock.json")).context("reading the versions of the scripts' tools")?;
    // Written last, so that an installation that broke off is begun anew.
    let done = place.join("installed.json");
    if fs::read(&done).is_ok_and(|installed| installed == lock) {
        return Ok(place);
    }
    fs::create_dir_all(&place).with_context(|| format!("making {}", place.display()))?;
    for file in ["package.json", "package-lock.json"] {
        fs::copy(wanted.join(file), place.join(file)).with_context(|| format!("copying {file}"))?;
    }
    let mut install = Command::new(browser::npm()?);
    install.current_dir(&place).stdin(Stdio::null());
    install.args(["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"]);
    workspace::run(&mut install)?;
    fs::write(&done, lock).with_context(|| format!("writing {}", done.display()))?;
    Ok(place)
}

/// A program of the tools.
fn program(tools: &Path, name: &str) -> PathBuf {
    let ending = if cfg!(windows) { ".cmd" } else { "" };
    tools.join("node_modules/.bin").join(format!("{name}{ending}"))
}
