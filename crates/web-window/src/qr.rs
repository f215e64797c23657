//! A text as a QR code (ISO/IEC 18004), for a phone to read from paper.

use qrcodegen::QrCodeEcc;
use wasm_bindgen::prelude::*;

/// A QR code, ready to be drawn as squares of side 1.
#[wasm_bindgen(getter_with_clone)]
pub struct QrCode {
    /// Modules along a side, without the quiet zone.
    pub size: i32,
    /// SVG path of the dark modules.
    pub path: String,
}

/// The smallest QR code that holds a text, with error correction of level M or better (15 % of it may be
/// unreadable); nothing for a text that is too long for any.
#[wasm_bindgen]
pub fn qr_code(text: &str) -> Option<QrCode> {
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
