//! Exercises that a lecturer makes: the way of a student who opens one, and that of the lecturer.

use crate::classroom::{open, press};
use crate::harness::{Page, READY, browse};
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::posed::{self, Posed, PosedAnswers};
use serde_json::json;

/// An exercise of a lecturer, as the page's file has it.
fn own_exercise() -> Posed {
    let text = serde_json::to_string(&json!({
        "gatefrost_exercise": 1,
        "title": "Gate <b>freeze</b>",
        "task": "Find it: $t_g = h^2/(pi^2 alpha)$. <img src=x onerror=alert(1)>",
        "hints": ["The <i>depth</i> is $h$."],
        "scenario": "2;d=hinge",
        "inputs": [
            {"path": "setup.melt_temperature", "drawn": {"from": 160, "to": 175, "step": 2.5}},
            {"path": "cavity.gate_depth", "drawn": {"from": 0.7, "to": 0.9, "step": 0.02}},
            {"path": "setup.hold_time", "open": true}
        ],
        "asked": [
            {"path": "hold.gate_freeze_s", "tolerance_percent": 3, "figures": [2, 5], "points": 3},
            {"path": "hold.part_mass_g", "tolerance_percent": 1, "figures": [3, 5], "points": 1}
        ],
        "window": true
    }));
    Posed::read(&text.unwrap()).unwrap_or_else(|e| panic!("{e}"))
}

/// Waits until nothing is being computed.
async fn computed(page: &Page) {
    page.wait_until("document.documentElement.dataset.busy === 'false'", READY).await;
    page.frames().await;
}

/// A student opens a lecturer's link on a phone, answers, and hands in what the lecturer's check takes.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_student_works_a_lecturers_exercise_on_a_phone() {
    browse(async |page| {
        let posed = own_exercise();
        page.resize(360, 740, 2.0).await;
        page.open(&format!("classroom.html#{}", posed::link(&posed.document))).await;
        page.wait_until("document.querySelector('#posed-heading').textContent.startsWith('Gate')", READY)
            .await;
        assert!(page.text("#posed-parts").await.contains("Type your name or number above"));
        page.fill("#student", "s007").await;
        page.wait_until("document.querySelector('#posed form.answer')", READY).await;
        computed(page).await;
        // Texts are text, formulas are formulas.
        let title = page.js("return document.querySelector('#posed-heading').textContent").await;
        assert_eq!(title, json!("Gate <b>freeze</b>"));
        assert!(page.text("#posed .task").await.contains("<img src=x onerror=alert(1)>"));
        let markup = "return [document.querySelectorAll('#posed :is(b, i, img)').length, document.querySelectorAll('#posed .task math').length]";
        assert_eq!(page.js(markup).await, json!([0, 1]));
        let id = StudentId::read("s007").unwrap();
        let answers = posed.answers(&id).unwrap();
        let wrong = format!("{:.3e} s", 2.0 * answers[0].split(' ').next().unwrap().parse::<f64>().unwrap());
        let submit = async |at: usize, text: &str| {
            let script = "const form = document.querySelectorAll('#posed form.answer')[arguments[0]]; form.querySelector('input').value = arguments[1]; form.requestSubmit()";
            page.js_with(script, &[json!(at), json!(text)]).await;
            computed(page).await;
        };
        let verdict = async |at: usize| {
            page.js_with(
                "return document.querySelectorAll('#posed .verdict')[arguments[0]].textContent",
                &[json!(at)],
            )
            .await
            .as_str()
            .unwrap()
            .to_owned()
        };
        submit(0, &wrong).await;
        assert!(verdict(0).await.starts_with("30 of 100"), "{}", verdict(0).await);
        assert_eq!(verdict(1).await, "", "an answer that was not checked is not judged");
        press(page, "Open hint 1 of 1").await;
        computed(page).await;
        assert!(page.text("#posed .hints").await.contains("The <i>depth</i> is"));
        submit(0, &answers[0].replace('.', ",")).await;
        submit(1, &answers[1]).await;
        assert!(verdict(0).await.starts_with("100 of 100") && verdict(1).await.starts_with("100 of 100"));
        // The model computes with an open input alone, and the answers stay.
        assert!(page.text("#posed").await.contains("All others are locked"));
        let open = "const input = document.querySelector('#posed .beside input'); input.value = '0,3'; return document.querySelectorAll('#posed .beside input').length";
        assert_eq!(page.js(open).await, json!(1));
        press(page, "Compute").await;
        computed(page).await;
        let told = page.text("#posed .beside ul").await;
        assert!(told.contains("Mass of the parts") && !told.contains(&answers[1]), "{told} {answers:?}");
        assert!(verdict(1).await.starts_with("100 of 100"));
        // The slip, after a reload, too.
        page.reload().await;
        page.wait_until("document.querySelector('#posed .slips')?.value", READY).await;
        let slip = page.js("return document.querySelector('#posed .slips').value").await;
        let class = posed.slips(slip.as_str().unwrap()).unwrap();
        let row = posed.row(&class.slips[0]);
        assert_eq!((row.id.as_str(), row.points, row.hints, row.solved), ("s007", 100, 1, false));
        // Nothing is wider than the phone.
        assert_eq!(page.js("return document.documentElement.scrollWidth <= innerWidth").await, json!(true));
        page.assert_clean_console().await;
    });
}

/// A lecturer makes an exercise, reads its link from the code, and judges two hundred slips of it.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_lecturer_makes_an_exercise_and_judges_its_slips() {
    browse(async |page| {
        open(page, "").await;
        press(page, "Make an exercise").await;
        page.wait_until("document.querySelector('#make-it')", READY).await;
        computed(page).await;
        page.js("document.querySelector('#make-it').click()").await;
        computed(page).await;
        assert!(page.text("#notices").await.contains("Title has 0 characters. Accepted are 1 to 120"));
        page.fill("#make-title", "Gate <b>freeze</b>").await;
        page.fill("#make-task", "Find $t_g$.").await;
        press(page, "Add an input").await;
        let choose = "const [path, how] = document.querySelectorAll('.make-row select'); path.value = 'setup.melt_temperature'; path.dispatchEvent(new Event('change')); how.value = 'drawn'; how.dispatchEvent(new Event('change')); \
            const result = [...document.querySelectorAll('.make-row select')].at(-1); result.value = 'hold.gate_freeze_s'; document.querySelector('#make-it').click()";
        page.js(choose).await;
        page.wait_until("document.querySelector('#made .sheet-code svg')", READY).await;
        computed(page).await;
        let holds = page.js("return [document.querySelector('#made .sheet-code svg').dataset.holds, document.querySelector('#made-link').value]").await;
        assert_eq!(holds[0], holds[1]);
        let posed = Posed::read(holds[1].as_str().unwrap()).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(posed.document.title, "Gate <b>freeze</b>");
        assert!(page.text(".made-look").await.contains("Melt temperature"));
        let slips = (1..=200).map(|k| {
            let id = StudentId::read(&format!("s{k:03}")).unwrap();
            let answers = if k % 4 == 0 { vec!["<b>1</b>".to_owned()] } else { posed.answers(&id).unwrap() };
            posed.slip(&PosedAnswers { id, hints: 0, solved: false, answers })
        });
        let other = own_exercise().slip(&PosedAnswers {
            id: StudentId::read("x").unwrap(),
            hints: 0,
            solved: false,
            answers: Vec::new(),
        });
        let text = slips.chain([other]).collect::<Vec<_>>().join("\n");
        page.js_with("document.querySelector('#made-slips').value = arguments[0]; document.querySelector('#made-check').click()", &[json!(text)]).await;
        page.wait_until("document.querySelector('#made-class table')", READY).await;
        let class = page.text("#made-class").await;
        assert!(class.contains("Line 201: This slip is of another exercise"), "{class}");
        let rows = "return [document.querySelector('#made-class table').rows.length, [...document.querySelector('#made-class table').rows].filter((row) => row.cells[1].textContent === '100').length, document.querySelectorAll('#make b, #notices b').length]";
        assert_eq!(page.js(rows).await, json!([201, 150, 0]));
        page.assert_clean_console().await;
    });
}

/// A link that was cut off or changed opens nothing and says why; the page works on.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_broken_link_of_a_lecturer_is_refused_in_words() {
    browse(async |page| {
        let link = posed::link(&own_exercise().document);
        open(page, "").await;
        for broken in
            [&link[..link.len() - 9], "own=1<b>x</b>", "own=", &format!("own=1{}", "A".repeat(20_000))]
        {
            page.js("document.querySelector('#notices').replaceChildren()").await;
            page.js_with("location.hash = arguments[0]", &[json!(broken)]).await;
            page.wait_until(
                "document.querySelector('#notices').textContent.includes('cannot be opened')",
                READY,
            )
            .await;
            let markup = "return [document.querySelector('#posed').hidden, document.querySelectorAll('#notices b').length]";
            assert_eq!(page.js(markup).await, json!([true, 0]), "{broken}");
        }
        page.fill("#student", "ada").await;
        press(page, "How fast the melt is sheared in a gate").await;
        page.assert_clean_console().await;
    });
}
