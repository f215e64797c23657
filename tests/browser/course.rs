//! The classroom inside a course page: the package of `cargo xtask dist` against a kept run-time of SCORM 1.2,
//! scorm-again, which checks every value by the standard's own formats.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises;
use serde_json::{Value, json};

use crate::harness::{Page, READY, browse, serve_site, setting};

/// A course page: the run-time with what it has kept of the student, and the package in a frame.
const COURSE: &str = r#"<!doctype html><html lang="en"><title>A course</title><link rel="icon" href="data:,"><script src="scorm12.min.js"></script><script>
    const kept = JSON.parse(sessionStorage.getItem("kept") ?? "null");
    const core = { student_id: "S 001", student_name: "Lovelace, Ada", lesson_mode: "normal" };
    window.refused = [];
    window.API = new Scorm12API({ autocommit: false, logLevel: 5 });
    API.loadFromJSON(kept ?? { core }, "");
    API.on("LMSSetValue.cmi.*", () => {
      if (API.LMSGetLastError() !== "0") refused.push(API.LMSGetErrorString(API.LMSGetLastError()));
    });
    const keep = () => {
      const { suspend_data, core: { lesson_status, lesson_location } } = JSON.parse(API.renderCMIToJSONString()).cmi;
      sessionStorage.setItem("kept", JSON.stringify({ suspend_data, core: { ...core, lesson_status, lesson_location } }));
    };
    API.on("LMSCommit", keep);
    API.on("LMSFinish", () => sessionStorage.setItem("finished", "true"));
    </script><iframe id="frame" src="classroom.html" width="1000" height="900"></iframe></html>"#;

/// The file of the run-time, where the tools of the scripts are installed.
fn run_time() -> PathBuf {
    let tools = env::var_os("GATEFROST_SCRIPTS").map(PathBuf::from);
    let usual = || Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/scripts");
    tools.unwrap_or_else(usual).join("node_modules/scorm-again/dist/scorm12.min.js")
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// The package on a host, with a course page beside it.
fn host(page: &Page) -> Page {
    let folder = page.folder().join("host");
    copy(&setting("GATEFROST_SITE").with_file_name("course"), &folder);
    fs::copy(run_time(), folder.join("scorm12.min.js")).expect("`cargo xtask scripts` installs the run-time");
    fs::write(folder.join("course.html"), COURSE).unwrap();
    let (address, _) = serve_site(&folder);
    page.at(&address)
}

const INSIDE: &str = "document.querySelector('#frame').contentDocument";

/// Opens the course and goes into its frame.
async fn enter(page: &Page) {
    page.goto("course.html").await;
    page.wait_until(&format!("{INSIDE}?.documentElement.dataset.ready === 'true'"), READY).await;
    page.find("#frame").await.enter_frame().await.unwrap();
}

async fn leave(page: &Page) {
    page.driver().enter_default_frame().await.unwrap();
}

async fn value(page: &Page, name: &str) -> Value {
    page.js_with("return parent.API.cmi && arguments[0].split('.').slice(1).reduce((at, key) => at[key], parent.API.cmi)", &[json!(name)]).await
}

async fn check(page: &Page, at: usize, typed: &str) {
    page.fill(&format!("#answer-{at}"), typed).await;
    page.js(&format!("document.querySelector('#answer-{at}').form.requestSubmit()")).await;
}

async fn press(page: &Page, words: &str) {
    let script = "const found = [...document.querySelectorAll('button')].find((b) => b.textContent === arguments[0] && b.checkVisibility()); \
        if (!found) return false; found.click(); return true";
    assert_eq!(page.js_with(script, &[json!(words)]).await, json!(true), "no button {words}");
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_course_gets_points_and_answers_and_keeps_the_work() {
    browse(async |page| {
        let page = &host(page);
        enter(page).await;
        // The id is the course's; what is handed in by hand and the lecturer's desk are not there.
        assert!(page.text("#who").await.contains("s 001"));
        assert_eq!(
            page.js("return ['hand-in', 'desk'].map((id) => document.getElementById(id).checkVisibility())")
                .await,
            json!([false, false])
        );
        assert_eq!(value(page, "cmi.core.lesson_status").await, json!("incomplete"));
        press(page, "How fast the melt is sheared in a gate").await;
        let key = exercises::find("gate").unwrap().key(&StudentId::read("S 001").unwrap());
        let answer = |at: usize| format!("{:.3e} {}", key[at].0.parse::<f64>().unwrap(), key[at].1);
        check(page, 1, "5 | 7; 8 %").await;
        check(page, 1, &answer(0)).await;
        check(page, 2, &answer(1)).await;
        // One of the exercises is right: its share of a hundred points, rounded down.
        let score = 100 / exercises::ALL.len();
        page.wait_until(&format!("Number(parent.API.cmi.core.score.raw) === {score}"), READY).await;
        assert_eq!(value(page, "cmi.core.score.max").await, json!("100"));
        let said: Value = page
            .js("return Object.values(JSON.parse(parent.API.renderCMIToJSONString()).cmi.interactions).map(({ id, type, student_response, result }) => [id, type, student_response, result])")
            .await;
        assert_eq!(
            said,
            json!([
                ["gate-1-1", "fill-in", "5 | 7; 8 %", "wrong"],
                ["gate-1-1", "fill-in", answer(0), "correct"],
                ["gate-1-2", "fill-in", answer(1), "correct"]
            ])
        );
        // A solution that is opened before all is right keeps the points that there were.
        press(page, "Pressing against moulding").await;
        press(page, "Give up and show the solution").await;
        let pressing = exercises::find("pressing").unwrap().key(&StudentId::read("S 001").unwrap());
        check(page, 1, &format!("{} {}", pressing[0].0, pressing[0].1)).await;
        page.wait_until("parent.API.cmi.suspend_data.includes('pressing')", READY).await;
        page.wait_until(&format!("Number(parent.API.cmi.core.score.raw) === {score}"), READY).await;
        assert_eq!(page.js("return parent.refused").await, json!([]));
        // Nothing stays in the browser, which others may use.
        assert_eq!(page.js("return localStorage.getItem('gatefrost.classroom')").await, json!(null));
        leave(page).await;
        // Leaving ends the session; the next one finds the work, judged anew.
        page.goto("handbook/classroom.html").await;
        assert_eq!(page.js("return sessionStorage.getItem('finished')").await, json!("true"));
        enter(page).await;
        assert!(page.text("#exercise-list [data-exercise=gate]").await.contains("100 of 100"));
        assert!(page.text("#who").await.contains(&format!("{score} of 100 points")));
        press(page, "How fast the melt is sheared in a gate").await;
        assert_eq!(page.js("return document.querySelector('#answer-1').value").await, json!(answer(0)));
        leave(page).await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_a_course_kept_is_hostile_input_and_a_page_without_a_course_works() {
    browse(async |page| {
        let page = &host(page);
        for kept in [
            "<b>|1|1|x",
            "gate/1|99|-1|%E0%A4%A|1;gate/1",
            &";|".repeat(1000),
            "gate/1|1||<img src=x onerror=alert(1)>|2",
        ] {
            page.goto("handbook/classroom.html").await;
            let state =
                json!({ "suspend_data": kept, "core": { "student_id": "S 001", "lesson_mode": "normal" } });
            page.js_with("sessionStorage.setItem('kept', arguments[0])", &[json!(state.to_string())]).await;
            enter(page).await;
            assert!(page.text("#who").await.contains("s 001"), "{kept}");
            assert_eq!(
                page.js("return document.querySelectorAll('main img, main b').length").await,
                json!(0),
                "{kept}"
            );
            leave(page).await;
        }
        page.open("classroom.html").await;
        assert!(page.text("#notices").await.contains("No course was found"));
        page.fill("#student", "s001").await;
        assert_eq!(page.js("return document.querySelector('#hand-in').checkVisibility()").await, json!(true));
        page.assert_clean_console().await;
    });
}

/// The longest work that a student can type fits into what a course keeps, or says what is left out.
#[test]
#[ignore = "run by cargo xtask test"]
fn work_that_is_too_long_for_the_course_says_so() {
    browse(async |page| {
        page.open("classroom.html").await;
        let packed = page
            .js("const { pack, unpack } = await import('app/classroom/suspend'); \
                const entries = Array.from({ length: 18 }, (_, k) => ({ place: `exercise-${k}/1`, hints: 2, held: null, answers: Array(4).fill('µ'.repeat(80 - k)) })); \
                entries[3].answers[1] = '12,6 MPa'; \
                const { text, lost } = pack(entries, (_, at) => at !== 1); \
                const few = entries.slice(0, 2).map((entry) => ({ ...entry, answers: ['1|2;3 %', 'é'] })); \
                return [text.length, lost, unpack(text)[3].answers[1], unpack(pack(few, () => true).text)[1].answers, /^[ -~]*$/.test(text)]")
            .await;
        let (length, lost) = (packed[0].as_u64().unwrap(), packed[1].as_u64().unwrap());
        assert!(length <= 4096 && lost > 0, "{packed}");
        // What is right is kept longest.
        assert_eq!((&packed[2], &packed[4]), (&json!("12,6 MPa"), &json!(true)));
        assert_eq!(packed[3], json!(["1|2;3 %", "é"]));
        page.assert_clean_console().await;
    });
}
