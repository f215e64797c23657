//! What a person reads off the page: numbers, fields, messages, the picture.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::harness::Page;

/// The field of a setting of the set-up.
pub const MELT: &str = "#f-setup-melt_temperature";
pub const MOULD: &str = "#f-setup-mould_temperature";
pub const TIME: &str = "#f-setup-injection_time";

/// How the pixels of a canvas are spread.
#[derive(Debug, Clone)]
pub struct Ink {
    /// Pixels, across and up.
    pub size: [u32; 2],
    /// Share of the pixels that stand out from the commonest colour.
    pub share: f64,
    /// How many of the 6 × 6 tiles of the canvas have any such pixel.
    pub tiles: u32,
    /// Lightness of the commonest colour, 0..255.
    pub ground: f64,
    /// A number that changes when any pixel does.
    pub hash: String,
}

const INK: &str = "
    const canvas = document.querySelector(arguments[0]);
    const { width, height } = canvas;
    const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
    const counts = new Map();
    let hash = 0;
    for (let i = 0; i < data.length; i += 4) {
        const color = (data[i] << 16) | (data[i + 1] << 8) | data[i + 2];
        counts.set(color, (counts.get(color) ?? 0) + 1);
        hash = (Math.imul(hash, 31) + color) | 0;
    }
    const [ground] = [...counts].reduce((a, b) => (b[1] > a[1] ? b : a));
    const parts = (color) => [color >> 16, (color >> 8) & 255, color & 255];
    const [r, g, b] = parts(ground);
    const tiles = new Set();
    let inked = 0;
    for (let i = 0; i < data.length; i += 4) {
        const off = Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b);
        if (off < 150) continue;
        inked += 1;
        const x = (i / 4) % width;
        const y = Math.floor(i / 4 / width);
        tiles.add(Math.floor((6 * x) / width) + 6 * Math.floor((6 * y) / height));
    }
    return {
        width, height, share: inked / (width * height), tiles: tiles.size,
        ground: (r + g + b) / 3, hash: String(hash),
    };";

impl Page {
    /// Looks at a canvas.
    pub async fn ink(&self, canvas: &str) -> Ink {
        let seen = self.js_with(INK, &[json!(canvas)]).await;
        let number = |name: &str| seen[name].as_f64().unwrap();
        Ink {
            size: [number("width") as u32, number("height") as u32],
            share: number("share"),
            tiles: number("tiles") as u32,
            ground: number("ground"),
            hash: seen["hash"].as_str().unwrap().to_owned(),
        }
    }

    /// A computed number, in full, by its path in the report.
    pub async fn number(&self, key: &str) -> f64 {
        let numbers = self.numbers().await;
        *numbers.get(key).unwrap_or_else(|| panic!("{key} is not on the page: {numbers:?}"))
    }

    /// Every computed number on the page, in full; NaN for what never happens.
    pub async fn numbers(&self) -> BTreeMap<String, f64> {
        let list = self
            .js("return [...document.querySelectorAll('[data-key]')].map((e) => [e.dataset.key, e.dataset.value])")
            .await;
        let list: Vec<(String, String)> = serde_json::from_value(list).unwrap();
        list.into_iter().map(|(key, value)| (key, value.parse().unwrap_or(f64::NAN))).collect()
    }

    /// What every field of the scenario holds, by its id.
    pub async fn fields(&self) -> BTreeMap<String, Value> {
        let fields = self
            .js("return Object.fromEntries([...document.querySelectorAll('[id^=\"f-\"]')]
                    .filter((e) => 'value' in e)
                    .map((e) => [e.id, e.type === 'checkbox' ? e.checked : e.value]))")
            .await;
        serde_json::from_value(fields).unwrap()
    }

    /// What a field holds.
    pub async fn value(&self, selector: &str) -> String {
        let held = self.find(selector).await.value().await.unwrap();
        held.unwrap_or_default()
    }

    /// What a field holds, as a number.
    pub async fn setting(&self, selector: &str) -> f64 {
        let held = self.value(selector).await;
        held.parse().unwrap_or_else(|_| panic!("{selector} holds {held:?}"))
    }

    /// The texts of all elements that a selector finds, seen or not.
    pub async fn texts(&self, selector: &str) -> Vec<String> {
        let texts = self
            .js_with(
                "return [...document.querySelectorAll(arguments[0])].map((e) => e.textContent)",
                &[json!(selector)],
            )
            .await;
        serde_json::from_value(texts).unwrap()
    }

    /// How many elements a selector finds.
    pub async fn count(&self, selector: &str) -> usize {
        self.texts(selector).await.len()
    }

    /// Chooses an entry of a list by its value.
    pub async fn choose(&self, selector: &str, value: &str) {
        self.centre(selector).await;
        let choice = self.find(&format!("{selector} option[value=\"{value}\"]")).await;
        choice.click().await.expect("choosing");
    }

    /// Scrolls an element to the middle, clear of what sticks to the edges.
    async fn centre(&self, selector: &str) {
        let script =
            "document.querySelector(arguments[0])?.scrollIntoView({ block: 'center', behavior: 'instant' })";
        self.js_with(script, &[json!(selector)]).await;
    }

    /// Presses what a selector finds.
    pub async fn press(&self, selector: &str) {
        self.centre(selector).await;
        self.find(selector).await.click().await.expect("pressing");
    }

    /// Unfolds what hides an element.
    pub async fn unfold(&self, selector: &str) {
        self.js_with(
            "for (let box = document.querySelector(arguments[0]).closest('details'); box;
                  box = box.parentElement.closest('details')) box.open = true;",
            &[json!(selector)],
        )
        .await;
    }

    /// A place on a canvas, as shares of its width and height, in pixels of the viewport.
    pub async fn place(&self, canvas: &str, across: f64, down: f64) -> (f64, f64) {
        let script = "
            const canvas = document.querySelector(arguments[0]);
            canvas.scrollIntoView({ block: 'nearest', behavior: 'instant' });
            const { left, top, width, height } = canvas.getBoundingClientRect();
            return [left, top, width, height];";
        let rect: [f64; 4] = serde_json::from_value(self.js_with(script, &[json!(canvas)]).await).unwrap();
        let [left, top, width, height] = rect;
        (left + across * width, top + down * height)
    }

    /// Goes to another link within the page that is open, and waits until that is computed.
    pub async fn follow(&self, fragment: &str) {
        self.js_with("location.hash = arguments[0]", &[json!(fragment)]).await;
        self.frames().await;
        self.idle().await;
    }

    /// Asks for the dark theme, or back for the light one.
    pub async fn dark(&self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] });
        let cdp = self.driver().cdp();
        cdp.send_raw("Emulation.setEmulatedMedia", features).await.expect("a theme");
        self.frames().await;
    }
}
