//! The melt in the cavity: how far it has come in each passage, and how much of it has set.

use crate::At;
use crate::along::way_to;
use crate::axes::{Panel, reading};
use crate::display_list::{DisplayList, Point, Rect};
use crate::style::SMALL;
use gatefrost_report::{Moment, Outcome, PassageReport, Report};

/// What stands where.
pub(super) struct Melt<'a> {
    at: Option<At<'a>>,
    /// Shares of each passage filled from its beginning and from its end.
    filled: Vec<[f64; 2]>,
}

impl<'a> Melt<'a> {
    /// At a moment of the cycle, or where filling left it; none without a report.
    pub fn of(passages: &[PassageReport], report: Option<&Report>, at: Option<At<'a>>) -> Self {
        let filled = match at.and_then(|at| Some((at, at.moment()?))) {
            Some((at, moment)) => within(passages, at, moment),
            None => {
                let share = |(i, p)| report.map_or(0.0, |report| reached(report, i, p));
                passages.iter().enumerate().map(|place| [share(place), 0.0]).collect()
            }
        };
        Self { at, filled }
    }

    fn moment(&self) -> Option<&'a Moment> {
        self.at.and_then(|at| at.moment())
    }

    /// Time since injection began; for ever after without a moment.
    pub fn time(&self) -> f64 {
        self.moment().map_or(f64::INFINITY, |m| m.time_s)
    }

    pub fn frozen_somewhere(&self) -> bool {
        self.moment().is_some_and(|m| m.frozen_percent.iter().any(|f| *f > 0.0))
    }

    /// Share of a passage that is full.
    pub fn share(&self, passage: usize) -> f64 {
        self.filled.get(passage).map_or(0.0, |[a, b]| (a + b).min(1.0))
    }

    /// The melt in one passage, with the bulge of a front that stands in it.
    pub fn draw(&self, list: &mut DisplayList, panel: &Panel, p: &PassageReport, index: usize) {
        let Some(&[forward, back]) = self.filled.get(index) else { return };
        let full = forward + back > 1.0 - 1e-6;
        let wash = list.palette.shade;
        if full {
            list.area(section(panel, p, 0.0, 1.0), wash);
            self.draw_frozen(list, panel, p, index);
            return;
        }
        let mut bulges = Vec::new();
        for (share, from_end) in [(forward, false), (back, true)] {
            if share > 1e-9 {
                let (body, bulge) = with_front(panel, p, share, from_end);
                list.area(body, wash);
                bulges.push(bulge);
            }
        }
        self.draw_frozen(list, panel, p, index);
        for bulge in bulges {
            let tip = bulge[bulge.len() / 2];
            list.path(bulge, 2.0, list.palette.accent);
            self.draw_tag(list, panel, tip);
        }
    }

    /// The front's distance from the nozzle, in the steel below it.
    fn draw_tag(&self, list: &mut DisplayList, panel: &Panel, tip: Point) {
        let text = format!("front {}", reading(list.units.shown("mm").of(panel.to_value(tip)[0])));
        let size = list.label_size(&text, SMALL, true);
        let frame = Rect::around([tip[0], panel.rect.bottom - size[1] * 0.5], size[0], size[1]);
        let frame = frame.moved_into(&list.bounds());
        let (ground, accent) = (list.palette.lifted, list.palette.accent);
        list.line(tip, [tip[0], frame.top], 1.0, accent);
        list.write_boxed(&text, frame, SMALL, true, ground, accent);
    }

    /// What has set, from the walls inwards, with a line where the melt begins.
    fn draw_frozen(&self, list: &mut DisplayList, panel: &Panel, p: &PassageReport, index: usize) {
        let (Some(at), Some(m)) = (self.at, self.moment()) else { return };
        let cells: Vec<(usize, [f64; 2])> = at.cells_of(index).map(|(i, cell)| (i, cell.span_mm)).collect();
        let frozen = |k: usize| {
            let i = cells.get(k)?.0;
            let wet = m.filled.get(i).is_some_and(|f| *f > 0.0);
            m.frozen_percent.get(i).filter(|_| wet).map(|f| f / 100.0)
        };
        let (dark, ink) = (list.palette.sectioning(), list.palette.ink);
        for (k, (i, [a, b])) in cells.iter().enumerate() {
            let (Some(here), Some(share)) = (frozen(k), m.filled.get(*i)) else { continue };
            let beside = |other: Option<f64>| other.map_or(here, |o| 0.5 * (o + here));
            let ends = [beside(k.checked_sub(1).and_then(frozen)), beside(frozen(k + 1))];
            if ends == [0.0, 0.0] {
                continue;
            }
            let from_end = m.backwards.get(*i).copied().unwrap_or(false);
            let wet = share * (b - a);
            let [a, b] = if from_end { [b - wet, *b] } else { [*a, a + wet] };
            let wall = [thickness(p, a) / 2.0, thickness(p, b) / 2.0];
            let inner = [wall[0] * (1.0 - ends[0]), wall[1] * (1.0 - ends[1])];
            for side in [1.0, -1.0] {
                let corner = |x: f64, y: f64| panel.to_pixel([x, y * side]);
                let edge = vec![corner(b, inner[1]), corner(a, inner[0])];
                let body = [corner(a, wall[0]), corner(b, wall[1])].into_iter().chain(edge.iter().copied());
                list.area(body.collect(), dark);
                list.path(edge, 0.8, ink);
            }
        }
    }
}

/// Filled shares of every passage at a moment.
fn within(passages: &[PassageReport], at: At<'_>, moment: &Moment) -> Vec<[f64; 2]> {
    let mut filled = vec![[0.0; 2]; passages.len()];
    for (i, cell) in at.moments.cells.iter().enumerate() {
        let (Some(sum), Some(p)) = (filled.get_mut(cell.passage), passages.get(cell.passage)) else {
            continue;
        };
        let share =
            moment.filled.get(i).copied().unwrap_or(0.0) * (cell.span_mm[1] - cell.span_mm[0]) / p.length_mm;
        let side = usize::from(moment.backwards.get(i).copied().unwrap_or(false));
        sum[side] += if share.is_finite() { share } else { 0.0 };
    }
    filled
}

/// Share of a passage that the fill reached, by the cells that it filled.
fn reached(report: &Report, index: usize, p: &PassageReport) -> f64 {
    if report.fill.outcome != Outcome::ShortShot {
        return 1.0;
    }
    let ways =
        report.fill.paths.iter().filter(|path| way_to(&report.cavity.passages, path.index).contains(&index));
    let reach = ways.filter_map(|path| path.distance_mm.last()).fold(0.0_f64, |a, b| a.max(*b));
    ((reach - p.start_mm) / p.length_mm).clamp(0.0, 1.0)
}

/// Thickness at a distance from the nozzle.
pub(super) fn thickness(p: &PassageReport, at_mm: f64) -> f64 {
    let t = ((at_mm - p.start_mm) / p.length_mm).clamp(0.0, 1.0);
    p.thickness_mm[0] + (p.thickness_mm[1] - p.thickness_mm[0]) * t
}

/// The four corners of a passage between two shares of its length.
pub(super) fn section(panel: &Panel, p: &PassageReport, from: f64, to: f64) -> Vec<Point> {
    let [a, b] = [from, to].map(|share| p.start_mm + share * p.length_mm);
    let (h, k) = (thickness(p, a) / 2.0, thickness(p, b) / 2.0);
    [[a, h], [b, k], [b, -k], [a, -h]].map(|v| panel.to_pixel(v)).to_vec()
}

/// The melt up to a front, and the front itself. The layers at the walls lag by about a third of the
/// gap, as far as the passage allows.
fn with_front(panel: &Panel, p: &PassageReport, share: f64, from_end: bool) -> (Vec<Point>, Vec<Point>) {
    let (start, along) = if from_end { (p.start_mm + p.length_mm, -1.0) } else { (p.start_mm, 1.0) };
    let wet = share * p.length_mm;
    let front = start + along * wet;
    let half = thickness(p, front) / 2.0;
    let lag = (half * 0.7).min(wet * 0.9);
    let bulge: Vec<Point> = (-8..=8)
        .map(|i| {
            let u = f64::from(i) / 8.0;
            panel.to_pixel([front - along * lag * u * u, -u * half])
        })
        .collect();
    let entry = thickness(p, start) / 2.0;
    let mut body = vec![panel.to_pixel([start, -entry]), panel.to_pixel([start, entry])];
    body.extend_from_slice(&bulge);
    (body, bulge)
}
