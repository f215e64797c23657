//! What may lie over a window: the bands of its lines, another scenario's usable region, and the emphasis of a line.

use crate::axes::{self, Panel};
use crate::display_list::{DisplayList, Point, Rect, clean};
use crate::hatch::{clipped, dashed, distance, length, within};
use crate::style::{BAND_EDGE, BESIDE};
use crate::table::DataCell;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::Plane;
use gatefrost_window::{Band, Bands, Beside, COVERAGE_PERCENT, Window};

/// What the best set point is called.
pub(crate) const BEST: &str = "safest nearby";

/// A part of a band is small if its outline is shorter than this, and near its line within this distance, as shares of the
/// shorter side of the plot.
const SMALL_PART: f64 = 0.5;
const NEAR_LINE: f64 = 0.2;

/// What to draw over a window. What belongs to another plane is not drawn.
#[derive(Debug, Clone, Copy, Default)]
pub struct Over<'a> {
    /// How far the feedstock's uncertainty moves the lines.
    pub bands: Option<&'a Bands>,
    /// Another scenario in the same plane.
    pub beside: Option<&'a Beside>,
    /// The best set point that was found, as it stands in this plane, in edge units.
    pub best: Option<[f64; 2]>,
    /// The limit whose line is emphasised while the others recede.
    pub lit: Option<Limit>,
    /// The mark of the set point alone, for a picture whose plot lies there.
    pub mark_in: Option<Rect>,
}

impl<'a> Over<'a> {
    /// Without what belongs to another plane than this one.
    pub(crate) fn fitting(self, plane: &Plane) -> Self {
        Self {
            bands: self.bands.filter(|bands| bands.plane == *plane),
            beside: self.beside.filter(|beside| beside.window.plane == *plane),
            best: self.best,
            lit: self.lit,
            mark_in: self.mark_in,
        }
    }

    fn band_list(self) -> &'a [Band] {
        self.bands.map_or(&[], |bands| &bands.bands)
    }

    /// The bands of lines that are in the plane. Bands without a line are only named.
    fn drawn(self, window: &Window) -> impl Iterator<Item = &'a Band> {
        self.band_list().iter().filter(|band| has_line(window, band))
    }

    /// What the marks mean, for the foot of the figure.
    pub(crate) fn words(self, window: &Window) -> Vec<String> {
        let mut words = Vec::new();
        if let Some(bands) = self.bands {
            if self.drawn(window).next().is_some() {
                words.push(format!("Tinted, with dotted edges: {COVERAGE_PERCENT} % band of each line, from the uncertain numbers."));
            }
            let beyond = bands.bands.iter().filter(|band| !has_line(window, band));
            let names: Vec<&str> = beyond.map(|band| band.label.as_ref()).collect();
            if !names.is_empty() {
                let names = names.join(", ");
                words.push(format!("No line in this plane, but a band that reaches into it: {names}."));
            }
            if bands.not_followed > 0 {
                let count = bands.not_followed;
                words.push(format!(
                    "{count} of the feedstock's uncertain numbers cannot be varied in this plane."
                ));
            }
        }
        if let Some(Beside { name, window, .. }) = self.beside {
            let name = shortened(name);
            words.push(if window.usable_share <= 0.0 {
                format!("{name}: no set point in this plane is usable. Open square: its set point.")
            } else if edges_of(window).is_empty() {
                format!("{name}: all of this plane is usable. Open square: its set point.")
            } else {
                format!("Long-dashed double line: usable region of {name}. Open square: its set point.")
            });
        }
        words
    }

    /// The tint of the bands. It goes below everything.
    pub(crate) fn draw_ground(self, list: &mut DisplayList, window: &Window, panel: &Panel) {
        let tint = list.palette.tint();
        for band in self.drawn(window) {
            // One stroke through all outlines, back and forth between them, leaves their holes open.
            let mut through: Vec<Point> = Vec::new();
            for outline in &band.outlines {
                let points = outline.iter().map(|p| panel.to_pixel(*p));
                let points: Vec<Point> = points.filter(|p| p.iter().all(|v| v.is_finite())).collect();
                if points.len() > 2 {
                    through.extend(&points);
                    through.push(points[0]);
                    let first = through[0];
                    through.push(first);
                }
            }
            list.area(through, tint);
        }
    }

    /// Parts of bands without a line in them, which would stand there without a name: those of one limit together, so that
    /// they are named once. A small part near its limit's line needs no name of its own.
    pub(crate) fn apart(self, window: &Window, panel: &Panel) -> Vec<(String, Vec<Vec<Point>>)> {
        let side = panel.rect.width().min(panel.rect.height());
        let mut found = Vec::new();
        for band in self.drawn(window) {
            let lines = window.lines.iter().filter(|line| line.limit == band.limit);
            let points: Vec<Point> =
                lines.flat_map(|line| line.pieces.iter().flatten()).map(|p| panel.to_pixel(*p)).collect();
            let near = |outline: &[Point]| {
                length(outline) < SMALL_PART * side
                    && points.iter().any(|p| outline.iter().any(|q| distance(*p, *q) < NEAR_LINE * side))
            };
            let parts = pixels(&band.outlines, panel).into_iter().filter(|outline| {
                let apart = !points.iter().any(|p| within(outline, *p));
                apart && !near(outline)
            });
            let parts: Vec<Vec<Point>> = parts.collect();
            if !parts.is_empty() {
                found.push((format!("{}, band", band.label), parts));
            }
        }
        found
    }

    /// The edges of the bands.
    pub(crate) fn draw_edges(self, list: &mut DisplayList, window: &Window, panel: &Panel) {
        let (pattern, color) = (list.pattern(BAND_EDGE), list.palette.ink);
        for piece in self.drawn(window).flat_map(|band| pixels(&band.edges, panel)) {
            for dot in dashed(&piece, &pattern) {
                list.path(dot, 1.2, color);
            }
        }
    }

    /// The other region's outline within the plot, the usable side on the right as drawn.
    pub(crate) fn outline(self, panel: &Panel) -> Vec<Vec<Point>> {
        let edges = self.beside.map(|beside| edges_of(&beside.window)).unwrap_or_default();
        pixels(&edges, panel)
    }

    /// The other region's outline.
    pub(crate) fn draw_beside(self, list: &mut DisplayList, outline: &[Vec<Point>]) {
        let (pattern, ink, ground) = (list.pattern(BESIDE), list.palette.ink, list.palette.lifted);
        for piece in outline {
            for dash in dashed(piece, &pattern) {
                list.path(dash.clone(), 4.6, ink);
                list.path(dash, 2.2, ground);
            }
        }
    }

    /// A lozenge around the best set point, if it lies in the plot.
    pub(crate) fn lozenge(self, list: &DisplayList, panel: &Panel) -> Option<Vec<Point>> {
        let [x, y] = panel.to_pixel(self.best?);
        let half = list.px(9.0);
        let corners = vec![[x - half, y], [x, y - half], [x + half, y], [x, y + half], [x - half, y]];
        panel.rect.contains([x, y]).then_some(corners)
    }

    /// The best set point.
    pub(crate) fn draw_best(list: &mut DisplayList, lozenge: Option<&Vec<Point>>) {
        if let Some(lozenge) = lozenge {
            let (ground, accent) = (list.palette.lifted, list.palette.accent);
            list.path(lozenge.clone(), 4.6, ground);
            list.path(lozenge.clone(), 2.0, accent);
        }
    }

    /// The other set point: an open square, so that the own one shows through where both coincide.
    pub(crate) fn draw_mark(self, list: &mut DisplayList, panel: &Panel) {
        let mark = self.beside.map(|beside| panel.to_pixel(beside.set_point));
        if let Some(mark) = mark.filter(|mark| panel.rect.contains(*mark)) {
            let (side, ink) = (list.px(12.0), list.palette.ink);
            list.outline(Rect::around(mark, side, side), 2.0, ink);
        }
    }

    /// Where the other set point and the best one stand.
    pub(crate) fn marks(self, list: &DisplayList, panel: &Panel) -> impl Iterator<Item = Rect> {
        let (rect, side) = (panel.rect, list.px(20.0));
        let marks = [self.beside.map(|beside| beside.set_point), self.best];
        let pixels = marks.map(|mark| mark.map(|mark| panel.to_pixel(mark)));
        let inside = pixels.into_iter().flatten().filter(move |mark| rect.contains(*mark));
        inside.map(move |mark| Rect::around(mark, side, side))
    }

    /// Rows for the table of the window: limit or name, what, piece, across, up.
    pub(crate) fn rows(self) -> Vec<Vec<DataCell>> {
        let mut rows = Vec::new();
        let mut points = |name: &str, what: &str, pieces: &[Vec<[f64; 2]>]| {
            for (i, piece) in pieces.iter().enumerate() {
                for [x, y] in piece {
                    let numbers = [(i + 1) as f64, *x, *y].map(DataCell::number);
                    rows.push(
                        [DataCell::text(name), DataCell::text(what)].into_iter().chain(numbers).collect(),
                    );
                }
            }
        };
        for band in self.band_list() {
            points(&band.label, "edge of its band", &band.edges);
        }
        if let Some(beside) = self.beside {
            points(&beside.name, "edge of its usable region", &edges_of(&beside.window));
            points(&beside.name, "its set point", &[vec![beside.set_point]]);
        }
        if let Some(best) = self.best {
            points(BEST, "set point", &[vec![best]]);
        }
        rows
    }

    /// Half widths of the bands, for the same table.
    pub(crate) fn widths(self) -> Vec<Vec<DataCell>> {
        let row = |band: &Band| {
            let what = format!("half width of its {COVERAGE_PERCENT} % band, median");
            let [x, y] = band.half_width.map(|w| w.map_or(DataCell::Empty, DataCell::number));
            vec![DataCell::text(band.label.as_ref()), DataCell::text(what), DataCell::Empty, x, y]
        };
        self.band_list().iter().map(row).collect()
    }
}

/// Whether the line that a band is about is in the plane.
fn has_line(window: &Window, band: &Band) -> bool {
    window.lines.iter().any(|line| line.limit == band.limit)
}

/// A name, shortened to the room in a figure.
pub(crate) fn shortened(name: &str) -> String {
    const MOST: usize = 48;
    let mut kept: String = clean(name).chars().take(MOST).collect();
    if name.chars().nth(MOST).is_some() {
        kept.push('…');
    }
    kept
}

/// The parts of a window's outlines that are no border of its plane, the usable side on the right.
fn edges_of(window: &Window) -> Vec<Vec<[f64; 2]>> {
    let border = |a: &[f64; 2], b: &[f64; 2]| {
        let (a, b) = (window.plane.fraction(*a), window.plane.fraction(*b));
        (0..2).any(|k| [0.0, 1.0].iter().any(|end| [a[k], b[k]].iter().all(|f| (f - end).abs() < 1e-9)))
    };
    let mut pieces: Vec<Vec<[f64; 2]>> = Vec::new();
    for outline in &window.outlines {
        let mut open = false;
        for pair in outline.windows(2) {
            if border(&pair[0], &pair[1]) {
                open = false;
                continue;
            }
            match pieces.last_mut().filter(|_| open) {
                Some(piece) => piece.push(pair[1]),
                None => pieces.push(pair.to_vec()),
            }
            open = true;
        }
    }
    pieces.iter_mut().for_each(|piece| piece.reverse());
    pieces
}

fn pixels(pieces: &[Vec<[f64; 2]>], panel: &Panel) -> Vec<Vec<Point>> {
    let runs = pieces.iter().flat_map(|piece| axes::pixels(panel, piece));
    runs.flat_map(|run| clipped(&run, &panel.rect)).collect()
}
