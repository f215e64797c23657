//! The display list: figures put lines, areas and text on it, and [`crate::backend`] draws it.
//!
//! Drawing to a list first keeps every figure free of the backend's type (one copy in the wasm
//! module), lets tests look at what is drawn, and measures text from a table, so that canvas and
//! SVG lay out alike and nothing is asked of the page.

use gatefrost_palette::{Color, Palette};

use crate::style::{Dashes, SMALL, Style, TITLE};
use gatefrost_core::units::Units;
use serde::Serialize;

/// A point in backend pixels, y downwards.
pub(crate) type Point = [f64; 2];

/// A rectangle in backend pixels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Rect {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Rect {
    /// Around a centre.
    pub(crate) fn around(center: Point, width: f64, height: f64) -> Self {
        Self {
            left: center[0] - width / 2.0,
            top: center[1] - height / 2.0,
            right: center[0] + width / 2.0,
            bottom: center[1] + height / 2.0,
        }
    }

    /// Width.
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Height.
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn center(&self) -> Point {
        [(self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0]
    }

    pub(crate) fn contains(&self, p: Point) -> bool {
        p[0] >= self.left && p[0] <= self.right && p[1] >= self.top && p[1] <= self.bottom
    }

    /// The point of the rectangle that is nearest to another.
    pub(crate) fn nearest(&self, p: Point) -> Point {
        [p[0].min(self.right).max(self.left), p[1].min(self.bottom).max(self.top)]
    }

    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(crate) fn grown(&self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    /// Moved, not cut, to lie inside `outer`; the left and upper edge win where it is too big.
    pub(crate) fn moved_into(&self, outer: &Self) -> Self {
        let shift = |low: f64, high: f64, min: f64, max: f64| {
            let back = (high - max).max(0.0);
            if low - back < min { min - low } else { -back }
        };
        let dx = shift(self.left, self.right, outer.left, outer.right);
        let dy = shift(self.top, self.bottom, outer.top, outer.bottom);
        Self { left: self.left + dx, top: self.top + dy, right: self.right + dx, bottom: self.bottom + dy }
    }

    pub(crate) fn corners(&self) -> Vec<Point> {
        vec![
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ]
    }
}

/// Which part of a text sits at its anchor; vertically it is always the middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Left,
    Center,
    Right,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Path { points: Vec<Point>, width: f64, color: Color },
    Area { points: Vec<Point>, color: Color },
    Disc { center: Point, radius: f64, color: Color },
    Ring { center: Point, radius: f64, width: f64, color: Color },
    Text { text: String, at: Point, side: Side, size: f64, bold: bool, color: Color, frame: Rect },
}

/// What a figure has drawn. Lengths given in CSS pixels pass through its `px`.
pub struct DisplayList {
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) scale: f64,
    pub(crate) palette: Palette,
    pub(crate) shapes: Vec<Shape>,
    pub(crate) units: Units,
    titled: bool,
}

impl DisplayList {
    /// A list for a figure of that many backend pixels, covered with paper.
    pub(crate) fn new(width: f64, height: f64, style: &Style) -> Self {
        let palette = style.palette();
        let mut list = Self {
            width,
            height,
            scale: style.safe_scale(),
            palette,
            shapes: Vec::new(),
            units: style.units,
            titled: style.title,
        };
        list.area(list.bounds().corners(), palette.paper);
        list
    }

    /// Backend pixels of a length in CSS pixels.
    pub(crate) fn px(&self, css: f64) -> f64 {
        css * self.scale
    }

    /// Width in CSS pixels.
    pub(crate) fn css_width(&self) -> f64 {
        self.width / self.scale
    }

    /// A dash pattern in backend pixels.
    pub(crate) fn pattern(&self, dashes: Dashes) -> Vec<f64> {
        dashes.iter().map(|d| self.px(*d)).collect()
    }

    pub(crate) fn bounds(&self) -> Rect {
        Rect { left: 0.0, top: 0.0, right: self.width, bottom: self.height }
    }

    /// The sheet without its outer margin and, where one is wanted, without the title it puts down.
    pub(crate) fn begin(&mut self, caption: &str, name: &str) -> Rect {
        let margin = self.px(8.0);
        let mut inner = self.bounds().grown(-margin);
        if self.titled {
            let text = if name.is_empty() { caption.to_owned() } else { format!("{caption}: {name}") };
            let text = truncated(&text, inner.width(), self.px(TITLE), true);
            let at = [inner.left, inner.top + self.px(9.0)];
            let ink = self.palette.ink;
            self.write(&text, at, Side::Left, TITLE, true, ink);
            inner.top += self.px(26.0);
        }
        inner
    }

    pub(crate) fn line(&mut self, from: Point, to: Point, css_width: f64, color: Color) {
        self.path(vec![from, to], css_width, color);
    }

    pub(crate) fn path(&mut self, points: Vec<Point>, css_width: f64, color: Color) {
        if points.len() > 1 && points.iter().flatten().all(|v| v.is_finite()) {
            let width = self.px(css_width);
            self.shapes.push(Shape::Path { points, width, color });
        }
    }

    pub(crate) fn outline(&mut self, rect: Rect, css_width: f64, color: Color) {
        let corners = rect.corners();
        for i in 0..4 {
            self.line(corners[i], corners[(i + 1) % 4], css_width, color);
        }
    }

    pub(crate) fn area(&mut self, points: Vec<Point>, color: Color) {
        if points.len() > 2 && points.iter().flatten().all(|v| v.is_finite()) {
            self.shapes.push(Shape::Area { points, color });
        }
    }

    /// A text of `size` CSS pixels, cleaned of control characters and moved into the sheet.
    pub(crate) fn write(
        &mut self,
        text: &str,
        at: Point,
        side: Side,
        size: f64,
        bold: bool,
        color: Color,
    ) -> Rect {
        let text = clean(text);
        let size = self.px(size);
        let width = text_width(&text, size, bold);
        let center = match side {
            Side::Left => at[0] + width / 2.0,
            Side::Center => at[0],
            Side::Right => at[0] - width / 2.0,
        };
        let asked = Rect::around([center, at[1]], width, size * 1.2);
        let frame = asked.moved_into(&self.bounds());
        let at = [at[0] + frame.left - asked.left, at[1] + frame.top - asked.top];
        if !text.is_empty() && frame.left.is_finite() && frame.top.is_finite() {
            self.shapes.push(Shape::Text { text, at, side, size, bold, color, frame });
        }
        frame
    }

    /// A text in the middle of a box of paper, which keeps lines from running through it.
    pub(crate) fn write_boxed(
        &mut self,
        text: &str,
        rect: Rect,
        size: f64,
        bold: bool,
        color: Color,
        ground: Color,
    ) {
        self.area(rect.corners(), ground);
        self.write(text, rect.center(), Side::Center, size, bold, color);
    }

    /// Size of the box that a label needs, with a margin.
    pub(crate) fn label_size(&self, text: &str, size: f64, bold: bool) -> Point {
        let size = self.px(size);
        [text_width(text, size, bold) + self.px(6.0), size * 1.25]
    }

    /// A sentence in the middle of a rectangle, broken into lines.
    pub(crate) fn sentence(&mut self, text: &str, rect: Rect) -> Rect {
        let size = self.px(LABEL_SENTENCE);
        let lines = wrapped(text, rect.width() - self.px(20.0), size);
        let step = size * 1.4;
        let widest = lines.iter().map(|l| text_width(l, size, false)).fold(0.0, f64::max);
        let frame =
            Rect::around(rect.center(), widest + self.px(20.0), step * lines.len() as f64 + self.px(12.0));
        self.area(frame.corners(), self.palette.paper);
        for (i, line) in lines.iter().enumerate() {
            let y = frame.top + self.px(6.0) + step * (i as f64 + 0.5);
            self.write(line, [rect.center()[0], y], Side::Center, LABEL_SENTENCE, false, self.palette.ink);
        }
        frame
    }

    /// Small lines of text at the foot of `area`; gives what is left above them.
    pub(crate) fn footnote(&mut self, text: &str, area: Rect) -> Rect {
        if text.is_empty() {
            return area;
        }
        let size = self.px(SMALL);
        let lines = wrapped(text, area.width(), size);
        let step = size * 1.35;
        let top = area.bottom - step * lines.len() as f64;
        for (i, line) in lines.iter().enumerate() {
            let at = [area.left, top + step * (i as f64 + 0.5)];
            self.write(line, at, Side::Left, SMALL, false, self.palette.quiet);
        }
        Rect { bottom: top - self.px(6.0), ..area }
    }
}

const LABEL_SENTENCE: f64 = 13.0;

/// Control characters and direction overrides would spoil an SVG or disguise a name.
pub(crate) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => ' ',
            '\u{fffe}' | '\u{ffff}' => ' ',
            c if c.is_control() => ' ',
            c => c,
        })
        .collect()
}

/// Width of a text in backend pixels, on the generous side: taken from a broad sans, so that what
/// fits by this table also fits in the narrower faces of [`crate::FONT_FAMILY`].
pub(crate) fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    let milli_em: u32 = text.chars().map(advance).sum();
    let weight = if bold { 1.12 } else { 1.0 };
    f64::from(milli_em) / 1000.0 * size * weight
}

/// Advance of a character in thousandths of the text size.
fn advance(c: char) -> u32 {
    match c {
        'i' | 'j' | 'l' | 'I' | 'J' | '|' | '\'' => 295,
        ' ' | '.' | ',' | '·' | '\u{202f}' => 320,
        'f' | 't' | 'r' | '(' | ')' | '/' | ':' | ';' | '-' | '[' | ']' => 400,
        '⁰'..='₉' | '²' | '³' | '¹' => 420,
        'c' | 's' | 'z' | '°' | '–' | '?' => 550,
        'a' | 'e' | 'o' | 'k' | 'v' | 'x' | 'y' | 'F' | 'L' => 615,
        'm' | 'W' | '%' | '…' | '@' => 1000,
        'w' | 'M' | '×' | '+' | '=' | '<' | '>' | '−' | '≤' | '≥' => 860,
        'C' | 'D' | 'G' | 'H' | 'N' | 'O' | 'Q' | 'U' | 'Ø' | '&' => 780,
        'A'..='Z' => 690,
        c if (c as u32) >= 0x2e80 => 1000,
        c if (c as u32) >= 0x0300 && (c as u32) <= 0x036f => 0,
        _ => 640,
    }
}

/// The text, cut with an ellipsis to fit `width`.
pub(crate) fn truncated(text: &str, width: f64, size: f64, bold: bool) -> String {
    let text = clean(text);
    if text_width(&text, size, bold) <= width {
        return text;
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if text_width(&kept, size, bold) + text_width("…", size, bold) > width {
            kept.pop();
            break;
        }
    }
    format!("{}…", kept.trim_end())
}

/// The text broken at plain spaces into lines of at most `width`; a longer word is cut.
pub(crate) fn wrapped(text: &str, width: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in clean(text).split(' ').filter(|word| !word.is_empty()) {
        let word = truncated(word, width, size, false);
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size, false) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_text_fits_and_says_that_it_was_cut() {
        let cut = truncated("a rather long passage name", 60.0, 12.0, false);
        assert!(text_width(&cut, 12.0, false) <= 60.0 && cut.ends_with('…'));
        assert_eq!(truncated("gate", 60.0, 12.0, false), "gate");
    }

    #[test]
    fn wrapped_lines_fit_and_lose_no_word() {
        let text = "No set point in this plane is usable.";
        let lines = wrapped(text, 90.0, 12.0);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| text_width(l, 12.0, false) <= 90.0));
        assert_eq!(lines.join(" "), text);
    }

    #[test]
    fn text_asked_for_outside_is_moved_inside_and_cleaned() {
        let mut list = DisplayList::new(200.0, 100.0, &Style::default());
        let frame = list.write("a\u{0}\u{202e}b", [199.0, -5.0], Side::Left, 12.0, false, [0; 3]);
        assert!(frame.right <= 200.0 && frame.top >= 0.0);
        let Some(Shape::Text { text, .. }) = list.shapes.last() else { panic!("no text") };
        assert_eq!(text, "a  b");
    }
}
