//! A display list as numbers and texts, for a script that draws it on a canvas.
//!
//! A picture crosses the boundary to the page once, instead of once for each stroke.

use crate::axes::Layout;
use crate::display_list::{DisplayList, Point, Shape, Side};
use gatefrost_palette::{Color, FONT_FAMILY};
use serde::Serialize;

/// A figure that is laid out, ready to be drawn on a canvas.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Ink {
    /// Where its plots lie.
    pub layout: Layout,
    /// Its shapes, one after the other, as 32-bit numbers, the low byte first. Each begins with its kind, its colour
    /// (0xRRGGBB) and a measure, both as whole numbers or pixels:
    ///
    /// | Kind | Measure | What follows |
    /// |---|---|---|
    /// | 0, a line | width | the number of points, and for each x and y |
    /// | 1, an area | 0 | likewise |
    /// | 2, a disc | radius | x and y of the centre |
    /// | 3, a ring | radius | x and y of the centre, width of the line |
    /// | 4, a text | size | x and y, side (0 left, 1 centre, 2 right), 1 if bold |
    #[serde(with = "serde_bytes")]
    #[cfg_attr(feature = "typescript", ts(type = "Uint8Array"))]
    pub shapes: Vec<u8>,
    /// The font's family, then the texts in their order, one a line.
    pub texts: String,
}

impl Ink {
    pub(crate) fn of(list: &DisplayList, layout: Layout) -> Self {
        let mut ink = Self { layout, shapes: Vec::new(), texts: FONT_FAMILY.to_owned() };
        for shape in &list.shapes {
            ink.put(shape);
        }
        ink
    }

    fn put(&mut self, shape: &Shape) {
        match shape {
            Shape::Path { points, width, color } => {
                let width = if upright(points) { width.round().max(1.0) } else { *width };
                self.begin(0, *color, width);
                self.run(points, |v| if upright(points) { sharp(v, width) } else { v });
            }
            Shape::Area { points, color } => {
                self.begin(1, *color, 0.0);
                self.run(points, |v| v);
            }
            Shape::Disc { center, radius, color } => {
                self.begin(2, *color, *radius);
                self.numbers(center);
            }
            Shape::Ring { center, radius, width, color } => {
                self.begin(3, *color, *radius);
                self.numbers(&[center[0], center[1], *width]);
            }
            Shape::Text { text, at, side, size, bold, color, .. } => {
                let side = match side {
                    Side::Left => 0.0,
                    Side::Center => 1.0,
                    Side::Right => 2.0,
                };
                self.begin(4, *color, *size);
                self.numbers(&[at[0], at[1], side, f64::from(u8::from(*bold))]);
                self.texts.push('\n');
                self.texts.push_str(text);
            }
        }
    }

    fn begin(&mut self, kind: u8, [r, g, b]: Color, measure: f64) {
        self.numbers(&[f64::from(kind), f64::from(u32::from_be_bytes([0, r, g, b])), measure]);
    }

    fn run(&mut self, points: &[Point], placed: impl Fn(f64) -> f64) {
        self.numbers(&[points.len() as f64]);
        for [x, y] in points {
            self.numbers(&[placed(*x), placed(*y)]);
        }
    }

    fn numbers(&mut self, numbers: &[f64]) {
        for number in numbers {
            self.shapes.extend_from_slice(&(*number as f32).to_le_bytes());
        }
    }
}

/// Whether a path runs along the pixels only.
fn upright(points: &[Point]) -> bool {
    points.windows(2).all(|p| (p[0][0] - p[1][0]).abs() < 1e-9 || (p[0][1] - p[1][1]).abs() < 1e-9)
}

/// What runs along the pixels is kept on them, to stay sharp: a stroke of an odd width lies on their middles.
fn sharp(v: f64, width: f64) -> f64 {
    let middle = if width % 2.0 == 1.0 { 0.5 } else { 0.0 };
    (v - middle).round() + middle
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::axes::{AxisSpan, Panel};
    use crate::display_list::Rect;
    use crate::style::Style;

    fn numbers(ink: &Ink) -> Vec<f32> {
        ink.shapes.chunks(4).map(|four| f32::from_le_bytes(four.try_into().expect("four bytes"))).collect()
    }

    fn nowhere() -> Layout {
        let axis = || AxisSpan::new("", "", 0.0, 1.0, false);
        Layout::of(Panel { rect: Rect::around([0.0; 2], 1.0, 1.0), x: axis(), y: axis() })
    }

    fn empty() -> DisplayList {
        let mut list = DisplayList::new(200.0, 100.0, &Style::default());
        list.shapes.clear();
        list
    }

    #[test]
    fn a_line_along_the_pixels_lies_on_them_and_a_slanting_one_where_it_is() {
        let mut list = empty();
        list.line([10.3, 5.2], [10.3, 60.7], 1.0, [1, 2, 3]);
        list.line([10.3, 5.2], [20.25, 60.7], 1.5, [1, 2, 3]);
        let ink = Ink::of(&list, nowhere());
        let color = 0x0001_0203 as f32;
        let upright = [0.0, color, 1.0, 2.0, 10.5, 5.5, 10.5, 60.5];
        let slanting = [0.0, color, 1.5, 2.0, 10.3, 5.2, 20.25, 60.7];
        assert_eq!(numbers(&ink), [upright, slanting].concat());
    }

    #[test]
    fn texts_follow_the_font_in_their_order() {
        let mut list = empty();
        list.write("gate\nfreeze", [100.0, 50.0], Side::Center, 12.0, true, [0; 3]);
        list.write("hold", [100.0, 80.0], Side::Right, 10.0, false, [0; 3]);
        let ink = Ink::of(&list, nowhere());
        let lines: Vec<&str> = ink.texts.split('\n').collect();
        assert_eq!(lines, [FONT_FAMILY, "gate freeze", "hold"]);
        assert_eq!(
            numbers(&ink),
            [4.0, 0.0, 12.0, 100.0, 50.0, 1.0, 1.0, 4.0, 0.0, 10.0, 100.0, 80.0, 2.0, 0.0]
        );
    }
}
