//! The page of the whole plan, and the way from route to plan at the head of every page.

use gatefrost_core::scenario::link;

use crate::harness::{Page, READY, browse};
use crate::laboratory::addressed;
use crate::paper::{printed, read_code};

/// Waits until the plan is shown, with the moulding.
async fn planned(page: &Page) {
    page.wait_until("document.documentElement.dataset.ready === 'true' && document.documentElement.dataset.busy === 'false'", READY)
        .await;
    page.frames().await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_bracket_is_planned_and_its_link_keeps_it() {
    browse(async |page| {
        page.open("plan.html").await;
        planned(page).await;
        // Nothing is invented: without a price nothing is counted.
        assert!(page.text("#cost-said").await.contains("Nothing is counted"));
        page.press("#add-dimension").await;
        // A tolerance may be typed as a share. It stays one while the size is typed.
        page.fill("#f-sizes-dimensions-0-tolerance", "±0.3 %").await;
        page.fill("#f-sizes-dimensions-0-size", "25").await;
        for (field, value) in [
            ("pieces", "20000"),
            ("pressed_height", "20"),
            ("pressed_width", "10"),
            ("finishing_price", "0.2"),
            ("mould_price", "15000"),
        ] {
            page.fill(&format!("#f-plan-{field}"), value).await;
        }
        page.wait_until("document.querySelector('#cost-said').textContent.includes('0.95')", READY).await;
        page.frames().await;
        assert!(page.text("#route-outs").await.contains("30.1 % at the far end"));
        let sheet = page.text("#plan-sheet").await;
        for step in ["2 Recipe and mixing", "3 Moulding", "6 Sizes to cut", "7 Weigh and measure", "Cautions"]
        {
            assert!(sheet.contains(step), "{step}");
        }
        assert!(sheet.contains("dimension 1") && !sheet.contains("NaN") && !sheet.contains("undefined"));
        page.wait_until("location.hash.includes('Pn=20000')", READY).await;
        let opened = addressed(page).await;
        assert_eq!(opened.problems, []);
        assert_eq!(opened.scenario.plan.pieces, Some(20_000.0));
        assert_eq!(opened.scenario.sizes.dimensions[0].tolerance, 0.075);
        // It prints on both sides of one sheet.
        assert!(printed(page).await.len() <= 2);
        // A price that is none is refused in words.
        page.fill("#f-plan-mould_price", "-3").await;
        page.frames().await;
        assert!(page.text("#trouble").await.contains("Price of the mould"));
        page.assert_clean_console().await;
    });
}

/// Another demo keeps what is the reader's own, and can be had without it.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_demo_leaves_the_order_and_the_prices() {
    browse(async |page| {
        page.open("#2;d=hinge;Pn=20000;cM=40;nd=1;n0.L=25;n0.t=0.075").await;
        page.idle().await;
        page.choose("#demo", "hasp").await;
        page.wait_until("location.hash.includes('d=hasp')", READY).await;
        let kept = addressed(page).await.scenario;
        assert_eq!((kept.plan.pieces, kept.plan.machine_price), (Some(20_000.0), Some(40.0)));
        assert_eq!(kept.sizes.dimensions.len(), 1);
        page.js("[...document.querySelectorAll('#notices button')].find((b) => b.textContent === 'Open the demo without them').click()").await;
        page.wait_until("!location.hash.includes('Pn=')", READY).await;
        assert_eq!(addressed(page).await.scenario.plan.pieces, None);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_generic_machine_is_taken_over() {
    browse(async |page| {
        page.open("plan.html").await;
        planned(page).await;
        page.js("const list = document.querySelector('#machine-size'); list.value = '3'; list.dispatchEvent(new Event('change'))").await;
        page.wait_until("location.hash.includes('Ps=18')", READY).await;
        planned(page).await;
        let scenario = addressed(page).await.scenario;
        assert_eq!((scenario.machine.clamp_force, scenario.plan.screw_length), (250.0, Some(20.0)));
        assert!(page.text("#machine-outs").await.contains("diameters"));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_way_leads_through_every_page_with_the_scenario() {
    browse(async |page| {
        page.open("#2;d=guide;T=171").await;
        page.idle().await;
        page.press("[data-way=plan]").await;
        page.wait_until("location.pathname.endsWith('/plan.html')", READY).await;
        planned(page).await;
        assert!((addressed(page).await.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        page.fill("#f-plan-pieces", "900").await;
        page.wait_until("location.hash.includes('Pn=900')", READY).await;
        page.press("[data-way=after]").await;
        page.wait_until("location.pathname.endsWith('/after.html')", READY).await;
        planned(page).await;
        page.press("[data-way=sheet]").await;
        page.wait_until("location.pathname.endsWith('/plan.html')", READY).await;
        planned(page).await;
        let scenario = addressed(page).await.scenario;
        assert_eq!(scenario.plan.pieces, Some(900.0));
        assert!((scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        // It opens at the sheet.
        assert_eq!(page.js("return document.activeElement.id").await, "sheet");
    });
}

/// Values of the plan that are results open to their explanation.
#[test]
#[ignore = "run by cargo xtask test"]
fn results_of_the_plan_open() {
    browse(async |page| {
        page.open("plan.html").await;
        planned(page).await;
        for key in ["plan.debinding_hours.value", "fill.rate_cm3_s", "cool.cycle_s"] {
            page.press(&format!("[data-explains=\"{key}\"]")).await;
            let open = format!(
                "document.querySelector('[data-explains=\"{key}\"]').closest('.outs').querySelector('.explanation')"
            );
            page.wait_until(&format!("{open}.innerText.includes('What moves it most') && !{open}.innerText.includes('Computing…')"), READY).await;
            let said = page.js(&format!("return {open}.innerText")).await;
            let said = said.as_str().expect("a text");
            assert!(said.contains("By hand") && !said.contains("NaN"), "{key}: {said}");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_code_on_the_sheet_opens_the_plan_that_is_printed() {
    browse(async |page| {
        page.open("plan.html").await;
        planned(page).await;
        page.fill("#f-plan-pieces", "20000").await;
        page.wait_until(
            "document.querySelector('#plan-sheet .sheet-code svg')?.dataset.holds.includes('Pn=20000')",
            READY,
        )
        .await;
        let held = read_code(page, 4).await;
        assert!(held.contains("plan.html"), "{held}");
        let opened = link::decode(held.split_once('#').expect("a link").1);
        assert_eq!(opened.problems, []);
        assert_eq!(opened.scenario.plan.pieces, Some(20_000.0));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn readings_of_the_torque_tell_the_end_of_mixing() {
    browse(async |page| {
        page.open("plan.html").await;
        planned(page).await;
        page.press("#torque-text-example").await;
        page.wait_until("document.querySelector('#torque-said').textContent.includes('has settled')", READY)
            .await;
        // A share that the last minute does not keep.
        page.fill("#f-plan-torque_change", "0.01").await;
        page.wait_until("document.querySelector('#torque-said').textContent.includes('not settled')", READY)
            .await;
        page.fill("#torque-text", "time [min],torque [N·m]\n1,2\n1,3\n2,4").await;
        page.wait_until("!document.querySelector('#torque-text-trouble').hidden", READY).await;
        assert!(page.text("#torque-text-trouble").await.contains("Line 3"));
        page.assert_clean_console().await;
    });
}
