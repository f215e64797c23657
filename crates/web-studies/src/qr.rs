//! A text as a QR code (ISO/IEC 18004), for a phone to read from paper.

use gatefrost_web::values::{args_of, to_js};
use qrcodegen::QrCodeEcc;
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;

#[derive(Deserialize)]
struct QrArgs {
    text: String,
}

/// A QR code, ready to be drawn as squares of side 1.
#[derive(Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub(crate) struct QrCode {
    /// Modules along a side, without the quiet zone.
    size: i32,
    /// SVG path of the dark modules.
    path: String,
}

/// The smallest QR code that holds a text, with error correction of level M or better (15 % of it may be
/// unreadable); `null` for a text that is too long for any. For a worker: `{text}`.
///
/// # Errors
/// When there is no text.
#[wasm_bindgen(unchecked_return_type = "Gatefrost.QrCode | null")]
pub fn qr_code(args: JsValue) -> Result<JsValue, JsValue> {
    let QrArgs { text } = args_of(&args)?;
    to_js(&drawn(&text))
}

fn drawn(text: &str) -> Option<QrCode> {
    let code = qrcodegen::QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let start = x;
            while x < size && code.get_module(x, y) {
                x += 1;
            }
            if x > start {
                path.push_str(&format!("M{start} {y}h{}v1h-{0}z", x - start));
            }
            x += 1;
        }
    }
    Some(QrCode { size, path })
}
