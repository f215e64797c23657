//! Tests of [`crate::site`].

use super::*;

/// Sources with as little in them as a site needs.
pub fn small() -> Files {
    let page = "<html lang=\"en\"><head><meta charset=\"utf-8\">\n<!-- gatefrost:csp -->\n<title>T</title>\n\
        <link rel=\"stylesheet\" href=\"style.css\">\n<!-- gatefrost:importmap window -->\n\
        <script type=\"module\">import \"app/main\"; import \"app/shared/offline\";</script></head>\n\
        <body><a href=\"other.html\">other</a></body></html>";
    let other = page
        .replace("importmap window", "importmap laboratory")
        .replace("app/main", "app/other")
        .replace("other.html", "index.html")
        .replace("T<", "U<");
    [
        ("index.html", page),
        ("other.html", &other),
        ("style.css", "p { color: red; }"),
        ("offline.js", "rest();"),
        ("js/main.js", "import { a } from \"app/other\";\na();"),
        ("js/other.js", "export const a = () => 1;"),
        ("js/shared/offline.js", "1;"),
        ("js/shared/single.js", "await import(\"app/main\");"),
        ("core/window.js", "export default () => 2;"),
        ("core/window_bg.wasm", "\0asm"),
        ("core/laboratory.js", "export default () => 3;"),
        ("core/laboratory_bg.wasm", "\0asm3"),
    ]
    .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
    .into()
}

#[test]
fn a_page_in_a_folder_reaches_the_modules_above_it() {
    let addresses = |page| -> Vec<String> {
        let names = ["js/main.js", "js/figures/window.js"].map(str::to_owned);
        let modules = modules(&with_bindings(&specifiers(names.iter()), "window"), "v", page);
        modules.into_iter().map(|m| format!("{} {}", m.specifier, m.address)).collect()
    };
    assert_eq!(
        addresses("index.html"),
        [
            "app/main ./v/js/main.js",
            "app/figures/window ./v/js/figures/window.js",
            "gatefrost ./v/core/window.js"
        ]
    );
    assert_eq!(addresses("exercises/index.html")[0], "app/main ../v/js/main.js");
}

#[test]
fn a_page_loads_nothing_outside_the_folder_of_its_version() {
    let site = assemble(&small()).unwrap();
    let names: Vec<&str> = site.keys().map(String::as_str).collect();
    let folder = names[0].split_once('/').unwrap().0;
    assert_eq!(folder.len(), 16);
    let top: Vec<&str> = names.iter().copied().filter(|name| !name.starts_with(folder)).collect();
    assert_eq!(top, ["index.html", "offline.js", "other.html"]);
    let page = String::from_utf8(site["index.html"].clone()).unwrap();
    assert!(page.contains(&format!("href=\"{folder}/style.css\"")), "{page}");
    assert!(page.contains("href=\"other.html\""), "{page}");
    assert_eq!(page.matches("./").count(), page.matches(&format!("./{folder}/")).count(), "{page}");
    assert!(!page.contains("app/shared/single"), "{page}");
}

#[test]
fn any_change_makes_another_version() {
    let folder = |sources: &Files| {
        let site = assemble(sources).unwrap();
        site.keys().find_map(|name| name.split_once('/')).unwrap().0.to_owned()
    };
    let before = folder(&small());
    assert_eq!(folder(&small()), before);
    for name in small().keys() {
        let mut changed = small();
        changed.get_mut(name).unwrap().push(b' ');
        assert_ne!(folder(&changed), before, "{name}");
    }
}

#[test]
fn a_weight_over_the_budget_is_refused_and_named() {
    assert!(within("the module", 400_000, 400_000).is_ok());
    let message = within("the module", 400_100, 400_000).unwrap_err().to_string();
    assert_eq!(message, "the module is 400.1 kB gzipped, over its budget of 400.0 kB");
}

#[test]
fn a_page_asks_at_once_for_all_that_it_will_import_and_for_nothing_else() {
    let site = assemble(&small()).unwrap();
    let names = |page| -> Vec<String> {
        let loaded = loaded(&site, page).unwrap();
        loaded[1..].iter().map(|name| name.split_once('/').unwrap().1.to_owned()).collect()
    };
    let shared = ["js/other.js", "js/shared/offline.js", "style.css"];
    let window = ["core/window_bg.wasm", "js/main.js"];
    assert_eq!(names("index.html"), [&window[..], &shared].concat());
    assert_eq!(names("other.html"), [&["core/laboratory_bg.wasm"], &shared[..]].concat());
}

#[test]
fn comments_leave_a_script_and_its_lines_stay_where_they_are() {
    let script = "// What it is.\nlet a = \"// no comment\";\n  // Why.\nlet b = 1; // beside\n";
    let kept = without_comments(script);
    assert_eq!(kept, "\nlet a = \"// no comment\";\n\nlet b = 1; // beside\n");
}

#[test]
fn types_leave_a_script_too() {
    let script =
        "/**\n * @param {string} a\n */\nlet b = /** @type {any} */ (c);\n  /** @type {X} */ let d = 1;\n";
    assert_eq!(without_comments(script), "\n\n\nlet b = (c);\nlet d = 1;\n");
}
