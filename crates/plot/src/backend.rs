//! Plays a display list on a plotters backend.

use crate::display_list::{DisplayList, Shape, Side, text_width};
use gatefrost_palette::{Color, FONT_FAMILY};
use plotters_backend::text_anchor::{HPos, Pos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind, FontFamily,
    FontStyle,
};
use std::convert::Infallible;
use std::fmt;

/// Why a figure could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlotError {
    /// The picture has no width or no height, or more than 32 768 pixels a side.
    Size {
        /// Width asked for.
        width: u32,
        /// Height asked for.
        height: u32,
    },
    /// The backend refused.
    Backend(String),
}

impl fmt::Display for PlotError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size { width, height } => {
                write!(f, "a figure of {width} by {height} pixels cannot be drawn")
            }
            Self::Backend(message) => write!(f, "the figure could not be drawn: {message}"),
        }
    }
}

impl std::error::Error for PlotError {}

/// Most pixels a side.
pub(crate) const MOST_PIXELS: u32 = 32_768;

/// Colour and width of a stroke.
struct Ink {
    color: Color,
    width: u32,
}

impl BackendStyle for Ink {
    fn color(&self) -> BackendColor {
        backend_color(self.color)
    }
    fn stroke_width(&self) -> u32 {
        self.width
    }
}

/// A text style that is measured by our own table wherever a backend asks.
struct Lettering {
    size: f64,
    bold: bool,
    side: Side,
    color: Color,
}

impl BackendTextStyle for Lettering {
    type FontError = Infallible;
    fn color(&self) -> BackendColor {
        backend_color(self.color)
    }
    fn size(&self) -> f64 {
        self.size
    }
    fn style(&self) -> FontStyle {
        if self.bold { FontStyle::Bold } else { FontStyle::Normal }
    }
    fn anchor(&self) -> Pos {
        let side = match self.side {
            Side::Left => HPos::Left,
            Side::Center => HPos::Center,
            Side::Right => HPos::Right,
        };
        // The one vertical anchor at which canvas and SVG agree.
        Pos::new(side, VPos::Center)
    }
    fn family(&self) -> FontFamily<'_> {
        FontFamily::Name(FONT_FAMILY)
    }
    fn layout_box(&self, text: &str) -> Result<((i32, i32), (i32, i32)), Self::FontError> {
        Ok(((0, 0), (whole(text_width(text, self.size, self.bold)), whole(self.size * 1.2))))
    }
    // Only backends without text of their own come here; they show none.
    fn draw<E, F: FnMut(i32, i32, BackendColor) -> Result<(), E>>(
        &self,
        _: &str,
        _: BackendCoord,
        _: F,
    ) -> Result<Result<(), E>, Self::FontError> {
        Ok(Ok(()))
    }
}

/// Draws everything on the sheet. `text_factor` makes up for backends that shrink text; `fine` is how
/// many backend units make a pixel as shown: what runs along the pixels is kept on them, to stay sharp.
pub(crate) fn play<DB: DrawingBackend>(
    mut backend: DB,
    list: &DisplayList,
    text_factor: f64,
    fine: f64,
) -> Result<(), PlotError> {
    backend.ensure_prepared().map_err(refused)?;
    for shape in &list.shapes {
        play_shape(&mut backend, shape, text_factor, fine).map_err(refused)?;
    }
    backend.present().map_err(refused)
}

fn play_shape<DB: DrawingBackend>(
    backend: &mut DB,
    shape: &Shape,
    text_factor: f64,
    fine: f64,
) -> Result<(), DrawingErrorKind<DB::ErrorType>> {
    match shape {
        Shape::Path { points, width, color } if fine > 1.0 && upright(points) => {
            let pixels = (width / fine).round().max(1.0);
            let ink = Ink { color: *color, width: stroke(pixels * fine) };
            // A stroke of an odd width lies on the middles of the pixels.
            let middle = if pixels % 2.0 == 1.0 { 0.5 } else { 0.0 };
            let snapped = |v: f64| whole(((v / fine - middle).round() + middle) * fine);
            backend.draw_path(points.iter().map(|p| (snapped(p[0]), snapped(p[1]))), &ink)
        }
        Shape::Path { points, width, color } => {
            let ink = Ink { color: *color, width: stroke(*width) };
            let points: Vec<BackendCoord> = points.iter().map(coord).collect();
            match points[..] {
                // A straight stroke of odd width may be moved by half a pixel to stay sharp.
                [a, b] if ink.width % 2 == 1 && (a.0 == b.0 || a.1 == b.1) => backend.draw_line(a, b, &ink),
                _ => backend.draw_path(points, &ink),
            }
        }
        Shape::Area { points, color } => {
            backend.fill_polygon(points.iter().map(coord), &backend_color(*color))
        }
        Shape::Disc { center, radius, color } => {
            backend.draw_circle(coord(center), stroke(*radius), &backend_color(*color), true)
        }
        Shape::Ring { center, radius, width, color } => {
            let ink = Ink { color: *color, width: stroke(*width) };
            backend.draw_circle(coord(center), stroke(*radius), &ink, false)
        }
        Shape::Text { text, at, side, size, bold, color, .. } => {
            let style = Lettering { size: size * text_factor, bold: *bold, side: *side, color: *color };
            backend.draw_text(text, &style, coord(at))
        }
    }
}

/// Whether a path runs along the pixels only.
fn upright(points: &[[f64; 2]]) -> bool {
    points.windows(2).all(|p| (p[0][0] - p[1][0]).abs() < 1e-9 || (p[0][1] - p[1][1]).abs() < 1e-9)
}

fn backend_color([r, g, b]: Color) -> BackendColor {
    BackendColor { alpha: 1.0, rgb: (r, g, b) }
}

/// Nearest whole pixel; the cast saturates.
fn whole(v: f64) -> i32 {
    v.round() as i32
}

fn stroke(v: f64) -> u32 {
    v.round().max(1.0) as u32
}

fn coord(p: &[f64; 2]) -> BackendCoord {
    (whole(p[0]), whole(p[1]))
}

fn refused<E: std::error::Error + Send + Sync>(error: DrawingErrorKind<E>) -> PlotError {
    PlotError::Backend(error.to_string())
}
