//! The figures: read with the keyboard and the pointer, and saved as files.

use std::time::Duration;

use gatefrost_plot::FigureKind;
use thirtyfour::prelude::*;

use crate::harness::{Page, browse};

/// The figures below the window, by name.
fn names() -> impl Iterator<Item = &'static str> {
    let placed = |kind: &&FigureKind| !matches!(kind, FigureKind::Window | FigureKind::Passages);
    FigureKind::ALL.iter().filter(placed).map(|kind| kind.name())
}

async fn reading(page: &Page, figure: &str) -> String {
    page.texts(&format!("[data-figure=\"{figure}\"] .reading")).await.remove(0)
}

/// The number that stands behind a title in what is read.
fn after(text: &str, title: &str) -> f64 {
    let rest = text.split_once(title).unwrap_or_else(|| panic!("{title}: {text}")).1;
    let number = rest.split_whitespace().next().unwrap().trim_end_matches(',');
    number.parse().unwrap_or_else(|_| panic!("{title}: {text}"))
}

async fn drawn(page: &Page, figure: &str) {
    let canvas = format!("#figure-{figure}");
    page.place(&canvas, 0.5, 0.5).await;
    page.wait_until(&format!("document.querySelector('{canvas}').width > 300"), Duration::from_secs(10))
        .await;
    page.frames().await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_arrow_keys_read_every_figure_from_its_table() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        for figure in names() {
            drawn(page, figure).await;
            let canvas = page.find(&format!("#figure-{figure}")).await;
            canvas.focus().await.unwrap();
            let mut seen = Vec::new();
            for key in [Key::Home, Key::Right, Key::Right, Key::End] {
                canvas.send_keys(key + "").await.unwrap();
                seen.push(reading(page, figure).await);
            }
            assert!(seen.iter().all(|text| text.contains(char::is_numeric)), "{figure}: {seen:?}");
            assert!(seen.windows(2).all(|pair| pair[0] != pair[1]), "{figure}: {seen:?}");
            let hidden = page.count(&format!("[data-figure=\"{figure}\"] .hair[hidden]")).await;
            assert_eq!(hidden, 0, "{figure}");
            let live = page.find(&format!("[data-figure=\"{figure}\"] .reading")).await.attr("role").await;
            assert_eq!(live.unwrap().as_deref(), Some("status"));

            canvas.send_keys(Key::Escape + "").await.unwrap();
            assert_eq!(reading(page, figure).await, "", "{figure}");
            // Each has its table, with as many columns as heads.
            let table = format!("[data-figure=\"{figure}\"] .data");
            page.js_with("document.querySelector(arguments[0]).open = true", &[table.clone().into()]).await;
            page.frames().await;
            let (heads, cells) =
                (page.count(&format!("{table} th")).await, page.count(&format!("{table} td")).await);
            assert!(heads > 1 && cells >= heads && cells % heads == 0, "{figure}: {heads} {cells}");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_read_is_what_was_computed() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        drawn(page, "pressures").await;
        let canvas = page.find("#figure-pressures").await;
        canvas.focus().await.unwrap();
        canvas.send_keys(Key::End + "").await.unwrap();
        let end = reading(page, "pressures").await;
        let pressure = page.number("fill.nozzle_pressure_mpa").await;
        assert!((after(&end, "Nozzle pressure ") / pressure - 1.0).abs() < 1e-3, "{end} {pressure}");
        let time = page.number("fill.fill_time_s").await;
        assert!((after(&end, "Time ") / time - 1.0).abs() < 1e-3, "{end} {time}");

        // To the left in steps, and in leaps of a tenth of the axis.
        canvas.send_keys(Key::Left + "").await.unwrap();
        let step = after(&reading(page, "pressures").await, "Time ");
        canvas.send_keys(Key::Shift + Key::Left).await.unwrap();
        let leap = after(&reading(page, "pressures").await, "Time ");
        assert!(time - step < 0.06 * time && step - leap >= 0.1 * time * 0.99, "{time} {step} {leap}");
        // At the end of the table it stays.
        for _ in 0..20 {
            canvas.send_keys(Key::Shift + Key::Left).await.unwrap();
        }
        assert!(after(&reading(page, "pressures").await, "Time ") < 0.02 * time);

        // The pointer gives the same, and its cross-hair stands on the same pixel.
        let (x, y) = page.place("#figure-pressures", 0.5, 0.4).await;
        page.driver().action_chain().move_to(x as i64, y as i64).perform().await.unwrap();
        let pointed = reading(page, "pressures").await;
        let hair = page
            .js("return document.querySelector('[data-figure=pressures] .hair').getBoundingClientRect().x");
        let hair = hair.await.as_f64().unwrap();
        assert!(after(&pointed, "Nozzle pressure ") < pressure, "{pointed}");
        assert!((hair - x).abs() < 20.0, "{hair} {x}");
        page.assert_clean_console().await;
    });
}

/// Catches what a press on a button would save: `[name, type, size, beginning]`.
pub(crate) const CATCH: &str = "
    const button = document.querySelector(arguments[0]);
    const click = HTMLAnchorElement.prototype.click;
    const make = URL.createObjectURL;
    return new Promise((done, fail) => {
        let blob = null;
        URL.createObjectURL = (made) => { blob = made; return make.call(URL, made); };
        HTMLAnchorElement.prototype.click = function () {
            HTMLAnchorElement.prototype.click = click;
            URL.createObjectURL = make;
            createImageBitmap(blob).then((image) => {
                const canvas = new OffscreenCanvas(image.width, image.height);
                const context = canvas.getContext('2d');
                context.drawImage(image, 0, 0);
                const { data } = context.getImageData(0, 0, image.width, image.height);
                let [dark, light] = [0, 0];
                for (let i = 0; i < data.length; i += 4) {
                    if (data[i + 3] < 255) return fail(new Error('it is transparent'));
                    if (data[i] + data[i + 1] + data[i + 2] < 250) dark += 1;
                    if (data[i] + data[i + 1] + data[i + 2] > 650) light += 1;
                }
                const all = image.width * image.height;
                done([this.download, blob.type, image.width, image.height, dark / all, light / all]);
            }, fail);
        };
        button.click();
    });";

#[test]
#[ignore = "run by cargo xtask test"]
fn every_figure_is_saved_as_a_light_png_whatever_the_theme() {
    browse(async |page| {
        page.open("").await;
        page.dark(true).await;
        page.idle().await;
        for name in ["Window", "Cavity and melt front", "Pressures while filling", "The cycle"] {
            let button = format!("[aria-label=\"{name} as PNG\"]");
            let saved = page.js_with(CATCH, &[button.into()]).await;
            let file = saved[0].as_str().unwrap();
            assert!(file.starts_with("hinge-bracket") && file.ends_with(".png"), "{file}");
            assert_eq!(saved[1], "image/png");
            let height = if name == "Window" { 640 } else { 480 };
            assert_eq!([&saved[2], &saved[3]], [900 * 3, height * 3], "{name}");
            let (dark, light) = (saved[4].as_f64().unwrap(), saved[5].as_f64().unwrap());
            assert!(dark > 0.002 && dark < 0.2 && light > 0.6, "{name}: {dark} {light}");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_canvas_has_a_pixel_for_each_of_the_screen() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        for (width, scale) in [(1440, 1.0), (1300, 1.25), (1400, 2.0), (800, 3.0)] {
            page.resize(width, 1000, scale).await;
            for canvas in ["#window-canvas", "#passages-canvas", "#figure-pressures"] {
                page.place(canvas, 0.5, 0.5).await;
                let fits =
                    "Math.abs(c.width - c.clientWidth * devicePixelRatio) <= devicePixelRatio / 2 + 0.6";
                let fits =
                    format!("(() => {{ const c = document.querySelector('{canvas}'); return {fits}; }})()");
                page.wait_until(&fits, Duration::from_secs(10)).await;
                page.frames().await;
                let sizes = "const c = document.querySelector(arguments[0]);
                    return [c.width, c.clientWidth * devicePixelRatio, c.height, c.clientHeight * devicePixelRatio]";
                let sizes = page.js_with(sizes, &[canvas.into()]).await;
                let [w, wanted_w, h, wanted_h]: [f64; 4] = serde_json::from_value(sizes).unwrap();
                assert!(
                    (w - wanted_w).abs() <= 0.5 * scale + 0.6 && (h - wanted_h).abs() <= 0.5 * scale + 0.6,
                    "{canvas} at {scale}: {w} {h}"
                );
                assert!(page.ink(canvas).await.share > 0.002, "{canvas} at {scale}");
            }
        }
    });
}
