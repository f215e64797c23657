//! The table of texts against all that asks for one: exercises, messages, and the page with its scripts.

use crate::exercises::ALL;
use crate::task::Task;
use crate::tests::tasks;
use crate::texts::Texts;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Files of a folder and of those in it.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// What stands behind each `start` up to the next `end`, with the rest of the text.
fn between<'a>(text: &'a str, start: &str, end: &str) -> Vec<(&'a str, &'a str)> {
    text.split(start).skip(1).filter_map(|rest| rest.split_once(end)).collect()
}

fn of_task(task: &Task, used: &mut BTreeSet<String>) {
    for line in task.asked.iter().flat_map(|asked| asked.steps.iter().chain([&asked.line])) {
        used.insert(line.result.words.to_string());
        used.extend(line.formula.symbols().into_iter().map(|symbol| symbol.words.to_string()));
    }
    used.extend(task.given.iter().map(|symbol| symbol.words.to_string()));
    used.extend(task.asked.iter().flat_map(|asked| &asked.mistakes).map(|m| m.key.to_owned()));
    used.extend(task.names.iter().map(|(_, key)| (*key).to_owned()));
    used.extend(task.readings.iter().flat_map(|r| &r.columns).map(|(_, key, _)| (*key).to_owned()));
    used.extend(task.beside.iter().map(|beside| beside.why.to_owned()));
}

fn of_exercises() -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    for exercise in ALL {
        used.extend(["title", "aim", "task"].map(|part| format!("{}-{part}", exercise.name)));
        used.extend((1..=exercise.hints).map(|k| format!("{}-hint-{k}", exercise.name)));
        for task in tasks(exercise, 60) {
            assert_eq!(task.asked.len(), exercise.answers, "{}", exercise.name);
            of_task(&task, &mut used);
        }
    }
    used
}

/// Keys that the page names, `{{key}}`, and those that its scripts do: `say("key", …)` and `counted("key", …)`.
fn of_page() -> BTreeSet<String> {
    let texts = Texts::english();
    let page = read(&root().join("www/classroom.html"));
    let mut used: BTreeSet<String> =
        between(&page, "{{", "}}").into_iter().map(|(key, _)| key.to_owned()).collect();
    for path in files(&root().join("www/js/classroom")) {
        let script = read(&path);
        if path.ends_with("say.js") {
            continue;
        }
        for (call, endings) in [("say(", &[""][..]), ("counted(", &["-one", "-many"])] {
            let named = between(&script, &format!("{call}\""), "\"");
            assert_eq!(script.matches(call).count(), named.len(), "{}: {call} takes a key", path.display());
            for (key, rest) in named {
                for key in endings.iter().map(|ending| format!("{key}{ending}")) {
                    // What the text takes is put in where it is asked for.
                    let args: String = rest.chars().take(200).collect();
                    for (name, _) in between(texts.find(&key).unwrap_or_default(), "{ $", " }") {
                        let given = args.contains(name) || call == "counted(";
                        assert!(given, "{}: {key} lacks {name}", path.display());
                    }
                    used.insert(key);
                }
            }
        }
    }
    used
}

/// Keys of the table that stand as a literal in the sources, and keys that they ask the table for.
fn of_sources(found: &BTreeSet<String>) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    let mut sources = files(&root().join("crates/classroom/src"));
    sources.push(root().join("crates/xtask/src/course.rs"));
    for path in sources {
        if path.extension().is_none_or(|ending| ending != "rs") || path.ends_with("texts_tests.rs") {
            continue;
        }
        let source = read(&path);
        let code = source.split("#[cfg(test)]").next().unwrap_or_default();
        used.extend(found.iter().filter(|key| code.contains(&format!("\"{key}\""))).cloned());
        for call in ["Said::new(\"", "word(\""] {
            used.extend(between(code, call, "\"").into_iter().map(|(key, _)| key.to_owned()));
        }
    }
    used
}

/// Every text that can be asked for stands in the table, and nothing else does.
#[test]
fn the_table_of_texts_is_complete() {
    let found: BTreeSet<String> = Texts::english().keys().map(str::to_owned).collect();
    let mut used = of_sources(&found);
    used.extend(of_exercises());
    used.extend(of_page());
    assert_eq!(used.difference(&found).collect::<Vec<_>>(), Vec::<&String>::new(), "missing");
    assert_eq!(found.difference(&used).collect::<Vec<_>>(), Vec::<&String>::new(), "never used");
}

/// The page has no words of its own beside those of the table.
#[test]
fn the_page_has_no_text_of_its_own() {
    let page = read(&root().join("www/classroom.html"));
    let (_, page) = page.split_once("-->").expect("the head's mark");
    for (words, _) in between(page, ">", "<") {
        let without: String =
            words.split("{{").map(|part| part.rsplit("}}").next().unwrap_or_default()).collect();
        assert!(without.trim().is_empty(), "{words} is no text of the table");
    }
}
