//! Finding places for labels: flags above an axis, and things pushed apart along a line.

use gatefrost_palette::Color;

use crate::display_list::{DisplayList, Rect, Side, text_width, truncated};
use crate::style::SMALL;
use gatefrost_numerics::order;

/// Pushes things of the given sizes, centred where they would like to be, apart along a line.
/// Where they do not fit between `low` and `high` they are packed evenly.
pub(crate) fn spread(wanted: &[f64], sizes: &[f64], low: f64, high: f64) -> Vec<f64> {
    let order = order::rising(wanted);
    let needed: f64 = sizes.iter().sum();
    let squeeze = if needed > high - low { ((high - low) / needed).max(0.0) } else { 1.0 };
    let mut placed = wanted.to_vec();
    let mut floor = low;
    for &i in &order {
        let half = sizes[i] * squeeze / 2.0;
        placed[i] = placed[i].max(floor + half);
        floor = placed[i] + half;
    }
    let mut ceiling = high;
    for &i in order.iter().rev() {
        let half = sizes[i] * squeeze / 2.0;
        placed[i] = placed[i].min(ceiling - half);
        ceiling = placed[i] - half;
    }
    placed
}

/// A flag: a name on a pole that stands on an axis.
pub(crate) struct Flag {
    /// Pixel of the pole.
    pub x: f64,
    /// Where the pole ends below.
    pub foot: f64,
    pub text: String,
    pub color: Color,
}

/// A flag's place: row counted from the lowest, the box, and the pole it hangs from.
#[derive(Clone, Copy)]
struct Hung {
    row: usize,
    rect: Rect,
    pole: f64,
}

const ROW: f64 = 15.0;
const MOST_ROWS: usize = 5;

/// Flags arranged in as few rows as will do; nothing is drawn yet.
pub(crate) struct Flags {
    flags: Vec<Flag>,
    hung: Vec<Hung>,
    rows: usize,
}

impl Flags {
    /// Arranges flags between two pixels. Boxes do not overlap and poles avoid other boxes, as far
    /// as the rows suffice.
    pub fn arrange(list: &DisplayList, mut flags: Vec<Flag>, left: f64, right: f64) -> Self {
        let size = list.px(SMALL);
        flags.retain(|f| f.x.is_finite());
        order::sort_by(&mut flags, |flag| -flag.x);
        let mut search = Search { options: Vec::new(), best: Vec::new(), least: f64::INFINITY, steps: 0 };
        for flag in &mut flags {
            flag.text = truncated(&flag.text, (right - left) * 0.62, size, false);
            let width = text_width(&flag.text, size, false) + list.px(8.0);
            search.options.push(places(list, flag.x, width, left, right));
        }
        search.extend(&mut Vec::new(), 0.0);
        let hung = search.best;
        let rows = hung.iter().map(|h| h.row + 1).max().unwrap_or(0);
        Self { flags, hung, rows }
    }

    /// Height of the rows.
    pub fn height(&self, list: &DisplayList) -> f64 {
        list.px(ROW) * self.rows as f64 + if self.rows > 0 { list.px(3.0) } else { 0.0 }
    }

    /// Sets where each pole ends, by its horizontal pixel.
    pub fn stand_on(&mut self, foot: impl Fn(f64) -> f64) {
        for flag in &mut self.flags {
            flag.foot = foot(flag.x);
        }
    }

    /// Draws the flags with their lowest row resting on `base`.
    pub fn draw(&self, list: &mut DisplayList, base: f64) {
        let lift = base - list.px(3.0);
        for (flag, hung) in self.flags.iter().zip(&self.hung) {
            let top = lift + hung.rect.top + list.px(2.0);
            list.line([flag.x, top], [flag.x, flag.foot], 1.0, flag.color);
        }
        for (flag, hung) in self.flags.iter().zip(&self.hung) {
            let y = lift + (hung.rect.top + hung.rect.bottom) / 2.0;
            let right_of_pole = hung.rect.center()[0] >= flag.x;
            let (x, side) = if right_of_pole {
                (hung.rect.left + list.px(4.0), Side::Left)
            } else {
                (hung.rect.right - list.px(4.0), Side::Right)
            };
            list.write(&flag.text, [x, y], side, SMALL, false, flag.color);
        }
    }
}

/// Where a flag may hang, and what that costs by itself; the likeliest first.
fn places(list: &DisplayList, pole: f64, width: f64, left: f64, right: f64) -> Vec<(f64, Hung)> {
    let mut places = Vec::new();
    for row in 0..MOST_ROWS {
        for (flipped, from) in [(0.0, pole), (0.4, pole - width)] {
            let rect = Rect {
                left: from.max(left),
                right: (from + width).min(right),
                top: -list.px(ROW) * (row as f64 + 1.0),
                bottom: -list.px(ROW) * row as f64,
            };
            let beyond = (left - from).max(from + width - right).max(0.0);
            places.push((row as f64 + flipped + beyond, Hung { row, rect, pole }));
        }
    }
    order::sort_by(&mut places, |place| place.0);
    places
}

/// Looks for the cheapest arrangement, flag by flag, giving up a branch once it costs more than
/// the best so far. The steps are bounded: the first descent is already usable.
struct Search {
    options: Vec<Vec<(f64, Hung)>>,
    best: Vec<Hung>,
    least: f64,
    steps: usize,
}

const MOST_STEPS: usize = 30_000;

impl Search {
    fn extend(&mut self, hung: &mut Vec<Hung>, cost: f64) {
        if hung.len() == self.options.len() {
            if cost < self.least {
                self.least = cost;
                self.best.clone_from(hung);
            }
            return;
        }
        let options = &self.options[hung.len()];
        let costs: Vec<f64> = options
            .iter()
            .map(|(own, place)| cost + own + hung.iter().map(|other| clash(place, other)).sum::<f64>())
            .collect();
        let places: Vec<Hung> = options.iter().map(|(_, place)| *place).collect();
        for i in order::rising(&costs) {
            let (cost, place) = (costs[i], places[i]);
            self.steps += 1;
            if cost >= self.least || (self.steps > MOST_STEPS && self.least.is_finite()) {
                break;
            }
            hung.push(place);
            self.extend(hung, cost);
            hung.pop();
        }
    }
}

fn clash(a: &Hung, b: &Hung) -> f64 {
    let pole_through = |pole: &Hung, boxed: &Hung| {
        pole.row > boxed.row && pole.pole > boxed.rect.left + 1e-6 && pole.pole < boxed.rect.right - 1e-6
    };
    let mut cost = 0.0;
    if a.rect.overlaps(&b.rect) {
        cost += 1000.0;
    }
    if pole_through(a, b) || pole_through(b, a) {
        cost += 50.0;
    }
    cost
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::style::Style;

    #[test]
    fn spread_things_do_not_overlap_and_stay_between_their_ends() {
        let placed = spread(&[10.0, 11.0, 12.0, 95.0], &[14.0; 4], 0.0, 100.0);
        let mut sorted = placed.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|p| p[1] - p[0] >= 14.0 - 1e-9), "{placed:?}");
        assert!(sorted[0] >= 7.0 - 1e-9 && sorted[3] <= 93.0 + 1e-9, "{placed:?}");
        assert!(placed[0] < placed[1] && placed[1] < placed[2], "order is kept");
    }

    #[test]
    fn flags_keep_off_each_other_and_off_each_others_poles() {
        let list = DisplayList::new(320.0, 200.0, &Style::default());
        let names = ["sprue", "runner", "edge gate", "base plate", "ear"];
        let at = [30.0, 130.0, 210.0, 214.0, 280.0];
        let flags = names
            .iter()
            .zip(at)
            .map(|(name, x)| Flag { x, foot: 100.0, text: (*name).to_owned(), color: [0; 3] })
            .collect();
        let arranged = Flags::arrange(&list, flags, 30.0, 312.0);
        for (i, a) in arranged.hung.iter().enumerate() {
            assert!(a.rect.left >= 30.0 && a.rect.right <= 312.0);
            for b in &arranged.hung[i + 1..] {
                assert_eq!(clash(a, b), 0.0);
            }
        }
    }
}
