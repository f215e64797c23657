//! The limit lines of a window in pixels: drawn with their hatching, one of them emphasised where that is wanted.

use crate::axes::{self, Panel};
use crate::display_list::{DisplayList, Point, Rect};
use crate::hatch::{clipped, dashed, hatched};
use crate::style::limit_dashes;
use gatefrost_core::limits::Limit;
use gatefrost_palette::Color;
use gatefrost_window::{LimitLine, Window};

/// The limit lines of a window, laid out in a plot.
pub(crate) struct LimitLines<'a> {
    window: &'a Window,
    /// For each line of the window its pieces, in pixels.
    pub pieces: Vec<Vec<Vec<Point>>>,
    /// The emphasised limit, if it has a line here.
    lit: Option<Limit>,
}

/// Widths of a line and sizes of its hatching, in CSS pixels.
#[derive(Clone, Copy)]
pub(crate) struct Strokes {
    pub line: f64,
    pub spacing: f64,
    pub reach: f64,
}

impl Strokes {
    /// For a figure with names and axes.
    pub const FULL: Self = Self { line: 2.0, spacing: 7.0, reach: 8.0 };
    /// For a picture without them.
    pub const SMALL: Self = Self { line: 1.2, spacing: 5.0, reach: 4.0 };
}

impl<'a> LimitLines<'a> {
    pub fn new(window: &'a Window, panel: &Panel, lit: Option<Limit>) -> Self {
        let pieces = window.lines.iter().map(|line| line_pixels(line, panel)).collect();
        let lit = lit.filter(|limit| window.lines.iter().any(|line| line.limit == *limit));
        Self { window, pieces, lit }
    }

    /// Hatching on the side of each line where its limit is not met.
    pub fn draw_hatching(&self, list: &mut DisplayList, rect: &Rect, strokes: Strokes) {
        let (spacing, reach) = (list.px(strokes.spacing), list.px(strokes.reach));
        for (line, pieces) in self.window.lines.iter().zip(&self.pieces) {
            let color = match self.lit {
                None => list.palette.quiet,
                Some(lit) if lit == line.limit => list.palette.ink,
                Some(_) => list.palette.hair,
            };
            for piece in pieces {
                for [foot, tip] in hatched(piece, spacing, reach) {
                    for stroke in clipped(&[foot, tip], rect) {
                        list.path(stroke, 1.0, color);
                    }
                }
            }
        }
    }

    /// The lines with their dashes, the emphasised one over the others.
    pub fn draw(&self, list: &mut DisplayList, strokes: Strokes) {
        for over in [false, true] {
            for (line, pieces) in self.window.lines.iter().zip(&self.pieces) {
                if (self.lit == Some(line.limit)) != over {
                    continue;
                }
                let weight = if over {
                    1.8
                } else if self.lit.is_some() {
                    0.6
                } else {
                    1.0
                };
                let (pattern, ink) = (list.pattern(limit_dashes(line.limit)), self.ink(list, line.limit));
                for piece in pieces {
                    for dash in dashed(piece, &pattern) {
                        list.path(dash, strokes.line * weight, ink);
                    }
                }
            }
        }
    }

    /// Ink of a limit's line and name.
    pub fn ink(&self, list: &DisplayList, limit: Limit) -> Color {
        if self.lit.is_some_and(|lit| lit != limit) { list.palette.quiet } else { list.palette.ink }
    }
}

/// The pieces of a limit line inside the plot, thinned to what pixels can show.
fn line_pixels(line: &LimitLine, panel: &Panel) -> Vec<Vec<Point>> {
    line.pieces
        .iter()
        .flat_map(|piece| axes::pixels(panel, piece))
        .flat_map(|run| clipped(&run, &panel.rect))
        .collect()
}
