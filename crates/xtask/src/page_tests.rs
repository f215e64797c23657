//! Tests of [`crate::page`].

use crate::page::{Module, check_imports, hash, imported, imported_ever, inline_scripts, render};

const PAGE: &str = "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\n\
    <!-- gatefrost:csp -->\n<link rel=\"stylesheet\" href=\"style.css\">\n\
    <!-- gatefrost:importmap window -->\n\
    <script type=\"module\">import \"app/main\";</script></head><body></body></html>";

fn modules() -> Vec<Module> {
    let module = |specifier: &str, address: &str| Module {
        specifier: specifier.to_owned(),
        address: address.to_owned(),
        integrity: None,
    };
    vec![module("app/main", "./js/main.js"), module("gatefrost", "./core/window.js")]
}

/// FIPS 180-4 example vectors, written in base64.
#[test]
fn hash_of_known_texts() {
    assert_eq!(hash("abc"), "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    assert_eq!(hash(""), "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=");
}

#[test]
fn policy_names_the_two_inline_scripts_and_stands_before_them() {
    let html = render(PAGE, &modules(), "").unwrap();
    let scripts = inline_scripts(&html).unwrap();
    assert_eq!(scripts[0], r#"{"imports":{"app/main":"./js/main.js","gatefrost":"./core/window.js"}}"#);
    assert_eq!(scripts[1], "import \"app/main\";");
    assert_eq!(scripts.len(), 2);
    let policy = html.find("http-equiv=\"Content-Security-Policy\"").unwrap();
    for script in scripts {
        let hash = html.find(&format!("'{}'", hash(script))).unwrap();
        assert!(policy < hash && hash < html.find("<script").unwrap());
    }
    assert!(!html.contains("gatefrost:"), "a mark was left in the page");
    assert!(!html.contains("unsafe-inline") && !html.contains("'unsafe-eval'"));
}

#[test]
fn scripts_from_files_and_data_blocks_need_no_hash() {
    let html = "<script src=\"a.js\"></script>\
        <script type=\"application/octet-stream\" id=\"x\">QUJD</script>\
        <script type=\"module\"> one </script>";
    assert_eq!(inline_scripts(html).unwrap(), [" one "]);
    assert!(inline_scripts("<script>let a = 1;").is_err());
}

#[test]
fn pages_that_the_policy_would_break_are_refused() {
    let refused = |html: &str| render(html, &modules(), "").unwrap_err().to_string();
    assert!(refused(&PAGE.replace("<!-- gatefrost:csp -->", "")).contains("not 0 times"));
    assert!(refused(&PAGE.replace("<body>", "<body style=\"color:red\">")).contains("style"));
    assert!(refused(&PAGE.replace("<body>", "<body onload=\"x()\">")).contains("handler"));
    assert!(refused(&PAGE.replace("<body>", "<style>p{}</style><body>")).contains("<style>"));
    let late = PAGE.replace("<!-- gatefrost:csp -->", "");
    let late = late.replace("<body>", "<!-- gatefrost:csp --><body>");
    assert!(refused(&late).contains("must stand before"));
}

#[test]
fn a_file_name_cannot_leave_the_import_map() {
    let module = Module {
        specifier: "app/</script>".to_owned(),
        address: "./js/</script>.js".to_owned(),
        integrity: None,
    };
    let html = render(PAGE, &[modules(), vec![module]].concat(), "").unwrap();
    assert!(!inline_scripts(&html).unwrap()[0].contains('<'));
    assert_eq!(html.matches("</script>").count(), 2);
}

#[test]
fn what_is_imported_later_is_told_apart_from_what_is_imported_at_once() {
    let script = "import { a } from \"app/now\";\n// {import(\"app/type\").A}\nfield.onfocus = () => import(\"app/later\");";
    assert_eq!(imported(script), ["app/now"]);
    assert_eq!(imported_ever(script), ["app/now", "app/later"]);
}

#[test]
fn a_module_may_import_only_what_the_map_names() {
    let check = |script: &str| check_imports(script, &modules());
    assert!(check("import \"app/main\";\nimport init, {\n  run,\n} from 'gatefrost';").is_ok());
    assert!(check("const label = \"made from \" + \"./x.js\";").is_ok());
    for (script, name) in [
        ("import { a } from \"./main.js\";", "`./main.js`"),
        ("import 'app/mian';", "`app/mian`"),
        ("import {\n  a,\n} from \"app/other\";", "`app/other`"),
        ("export * from \"https://example.com/x.js\";", "`https://example.com/x.js`"),
        ("const text = fetch(import.meta.resolve(\"app/worker\"));", "`app/worker`"),
        ("field.onfocus = () => import(\"app/later\").then(build);", "`app/later`"),
    ] {
        let message = check(script).unwrap_err().to_string();
        assert!(message.contains(name), "{message}");
    }
}
