//! The content policy, on the site and in the one file: what it says, and that the browser does it.

use serde_json::{Value, json};

use crate::harness::{Page, browse};

/// What a policy lists for each directive.
async fn policy(page: &Page) -> Vec<(String, Vec<String>)> {
    let text = page
        .js("return document.querySelector('meta[http-equiv=\"Content-Security-Policy\"]').content")
        .await;
    let text = text.as_str().unwrap();
    text.split("; ")
        .map(|part| {
            let mut words = part.split(' ').map(str::to_owned);
            (words.next().unwrap(), words.collect())
        })
        .collect()
}

/// Holds the policy against what each directive may list besides hashes, which only the inline texts
/// of the page may have.
async fn lists(page: &Page, wanted: &[(&str, &[&str])]) {
    let policy = policy(page).await;
    let names: Vec<&str> = policy.iter().map(|(name, _)| name.as_str()).collect();
    let wanted_names: Vec<&str> = wanted.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, wanted_names);
    for ((name, sources), (_, wanted)) in policy.iter().zip(wanted) {
        let (hashes, others): (Vec<&str>, Vec<&str>) =
            sources.iter().map(String::as_str).partition(|source| source.starts_with("'sha256-"));
        assert_eq!(others, *wanted, "{name}");
        assert!(hashes.is_empty() || ["script-src", "style-src"].contains(&name.as_str()), "{name}");
    }
}

/// What somebody might try who got markup or a script's text into the page. Answers what came of each.
const ATTEMPTS: &str = "
    const broken = new Set();
    addEventListener('securitypolicyviolation', (e) => broken.add(e.effectiveDirective));
    const add = (name, properties, parent = document.body) => {
        const element = Object.assign(document.createElement(name), properties);
        parent.append(element);
        return element;
    };
    window.hits = [];
    add('div', { innerHTML: '<img src=\"data:,\" onerror=\"hits.push(1)\"><b style=\"color: red\">x</b>' });
    add('script', { textContent: 'hits.push(2)' });
    add('script', { src: 'data:text/javascript,hits.push(3)' });
    add('script', { type: 'module', textContent: 'import \"data:text/javascript,hits.push(4)\"' });
    add('a', { href: 'javascript:hits.push(5)' }).click();
    add('script', { src: 'http://127.0.0.1:9/x.js' });
    add('img', { src: 'http://127.0.0.1:9/x.png' });
    add('iframe', { src: 'http://127.0.0.1:9/' });
    add('link', { rel: 'stylesheet', href: 'http://127.0.0.1:9/x.css' });
    add('style', { textContent: 'body { display: none }' });
    const base = add('base', { href: 'http://127.0.0.1:9/' }, document.head);
    const form = add('form', { action: 'http://127.0.0.1:9/' });
    form.requestSubmit();
    const asked = fetch('http://127.0.0.1:9/').then(() => 'reached', () => 'refused');
    return asked.then((answer) => new Promise((done) => setTimeout(() => done({
        answer, hits, broken: [...broken].sort(), base: document.baseURI.includes(':9/'),
        shown: getComputedStyle(document.body).display !== 'none',
    }), 500)));";

const STOPPED: &[&str] = &[
    "base-uri",
    "connect-src",
    "form-action",
    "frame-src",
    "img-src",
    "script-src-attr",
    "script-src-elem",
    "style-src-attr",
    "style-src-elem",
];

async fn stops(page: &Page) {
    let seen = page.js(ATTEMPTS).await;
    let broken: Vec<String> = serde_json::from_value(seen["broken"].clone()).unwrap();
    assert_eq!(broken, STOPPED);
    assert_eq!(seen["hits"], json!([]));
    assert_eq!(seen["answer"], "refused");
    assert_eq!((&seen["base"], &seen["shown"]), (&Value::Bool(false), &Value::Bool(true)));
    // Later than the driver's own script, which the browser lets evaluate what it likes.
    let evaluated = page
        .js("const attempts = [() => eval('1'), () => new Function('return 1')()];
            const tried = (attempt) => { try { return String(attempt()); } catch (e) { return e.name; } };
            return new Promise((done) => setTimeout(() => {
                setTimeout('hits.push(6)');
                done(attempts.map(tried));
            }));")
        .await;
    assert_eq!(evaluated[0], "EvalError");
    assert_eq!(evaluated[1], "EvalError");
    page.frames().await;
    assert_eq!(page.js("return hits").await, json!([]));
    assert_eq!(page.js("return document.cookie").await, "");
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_policy_of_the_site_holds_on_both_pages() {
    browse(async |page| {
        for name in ["", "laboratory.html", "after.html", "plan.html", "classroom.html", "calibration.html"] {
            page.open(name).await;
            page.idle().await;
            lists(
                page,
                &[
                    ("default-src", &["'none'"]),
                    ("script-src", &["'self'", "'wasm-unsafe-eval'"]),
                    ("worker-src", &["'self'", "blob:"]),
                    ("connect-src", &["'self'"]),
                    ("style-src", &["'self'"]),
                    ("img-src", &["'self'", "data:", "blob:"]),
                    ("base-uri", &["'none'"]),
                    ("form-action", &["'none'"]),
                ],
            )
            .await;
            page.assert_clean_console().await;
            stops(page).await;
            // What it complains of next is meant.
            page.forget_console().await;
        }
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_policy_of_the_one_file_allows_no_place_at_all() {
    browse(async |site| {
        let page = site.single();
        for query in ["", "?laboratory", "?after", "?plan", "?classroom"] {
            page.open(query).await;
            page.idle().await;
            lists(
                &page,
                &[
                    ("default-src", &["'none'"]),
                    ("script-src", &["'wasm-unsafe-eval'"]),
                    ("worker-src", &["blob:"]),
                    ("style-src", &[]),
                    ("img-src", &["data:", "blob:"]),
                    ("base-uri", &["'none'"]),
                    ("form-action", &["'none'"]),
                ],
            )
            .await;
            page.assert_clean_console().await;
            stops(&page).await;
            assert_eq!(
                page.js("return fetch(location.href).then(() => 'read', () => 'refused')").await,
                "refused"
            );
            page.forget_console().await;
        }
    });
}
