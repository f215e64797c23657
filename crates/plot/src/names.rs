//! The names of the lines of a window. They never cover one another: a name stands beside its line, or at the end of a
//! leader line, and where there is no room for either the line has a number, with a key at the foot of the figure.

use crate::display_list::{DisplayList, Point, Rect, truncated};
use crate::hatch::{distance, length, within};
use crate::placer::{Placer, Spot, closest, write_at};
use crate::style::LABEL;
use gatefrost_numerics::order;
use gatefrost_palette::Color;

/// What is to be named, and where it runs.
pub(crate) struct Named {
    pub name: String,
    pub pieces: Vec<Vec<Point>>,
    pub ink: Color,
}

/// Where the names stand.
#[derive(Default)]
pub(crate) struct Placed {
    /// What is named there, by its place in the list; a line may be named more than once.
    pub spots: Vec<(usize, Spot)>,
    /// What is written for each, a name or a number.
    texts: Vec<String>,
    numbered: Vec<bool>,
    /// Those without a place.
    pub without: Vec<usize>,
    names: Vec<String>,
}

/// Cost below which a place covers nothing and lies next to its line.
const AMPLE: f64 = 14.0;
/// Cost from which a leader line is looked for, and from which a number takes the place of the name.
const CROWDED: f64 = 40.0;
const FULL: f64 = 90.0;

/// The key of the lines that have numbers.
pub(crate) fn key_words(key: &[String]) -> String {
    let entries = key.iter().enumerate().map(|(i, name)| format!("{}\u{a0}{name}", i + 1));
    entries.collect::<Vec<_>>().join(" · ")
}

/// Finds places for names; the shortest lines choose first, having the least choice. A long piece far from its line's
/// name is named again where there is ample room. What `key` lists has its number there instead of its name.
pub(crate) fn place(list: &DisplayList, named: &[Named], key: &[String], placer: &mut Placer) -> Placed {
    let total = |i: &usize| named[*i].pieces.iter().map(|p| length(p)).sum::<f64>();
    let mut order: Vec<usize> = (0..named.len()).filter(|i| total(i) > 0.0).collect();
    order::sort_by(&mut order, total);
    let most = placer.bounds.width() * 0.6;
    let number = |name: &String| key.iter().position(|listed| listed == name);
    let text = |n: &Named| match number(&n.name) {
        Some(place) => (place + 1).to_string(),
        None => truncated(&n.name, most, list.px(LABEL), true),
    };
    let mut placed = Placed {
        texts: named.iter().map(text).collect(),
        numbered: named.iter().map(|n| number(&n.name).is_some()).collect(),
        names: named.iter().map(|n| n.name.clone()).collect(),
        ..Placed::default()
    };
    for &i in &order {
        match found(list, placer, i, named, &placed) {
            Some(spot) => {
                placer.take(&spot);
                placed.spots.push((i, spot));
            }
            None => placed.without.push(i),
        }
    }
    name_again(list, named, &order, placer, &mut placed);
    placed
}

/// The best place for a name or a number. `None` if a name would have to cover too much.
fn found(list: &DisplayList, placer: &Placer, i: usize, named: &[Named], placed: &Placed) -> Option<Spot> {
    let size = list.label_size(&placed.texts[i], LABEL, true);
    let pieces = &named[i].pieces;
    let beside = placer.along(i, pieces, size, clearances(list));
    if beside.as_ref().is_some_and(|spot| spot.cost < CROWDED) {
        return beside;
    }
    let led = placer.led(i, pieces, size);
    let spot = [beside, led].into_iter().flatten().min_by(|a, b| a.cost.total_cmp(&b.cost));
    spot.filter(|spot| placed.numbered[i] || spot.cost < FULL)
}

/// How far names stand from their lines, on the side that is free and on the hatched side.
fn clearances(list: &DisplayList) -> [f64; 2] {
    [list.px(4.0), list.px(11.0)]
}

fn name_again(
    list: &DisplayList,
    named: &[Named],
    order: &[usize],
    placer: &mut Placer,
    placed: &mut Placed,
) {
    let far = 0.3 * placer.bounds.width().min(placer.bounds.height());
    for &i in order {
        let size = list.label_size(&placed.texts[i], LABEL, true);
        for piece in named[i].pieces.iter().filter(|piece| length(piece) > size[0]) {
            let piece = std::slice::from_ref(piece);
            let near = |spot: &Spot| closest(piece, &spot.rect).is_some_and(|p| distance(p, spot.foot) < far);
            if placed.spots.iter().any(|(j, spot)| *j == i && near(spot)) {
                continue;
            }
            let found = placer.along(i, piece, size, clearances(list));
            if let Some(spot) = found.filter(|spot| spot.cost < AMPLE) {
                placer.take(&spot);
                placed.spots.push((i, spot));
            }
        }
    }
}

impl Placed {
    /// What has a number and what needs one, in the order of the list; or everything.
    pub fn key(&self, before: &[String], everything: bool) -> Vec<String> {
        let all = self.names.iter().enumerate();
        let listed = all.filter(|(i, name)| everything || self.without.contains(i) || before.contains(name));
        listed.map(|(_, name)| name.clone()).collect()
    }

    /// Writes the names on the ground that they stand on, and boxes the numbers.
    pub fn write(&self, list: &mut DisplayList, named: &[Named], regions: &[Vec<Point>]) {
        for (i, spot) in &self.spots {
            let depth = regions.iter().filter(|outline| within(outline, spot.rect.center())).count();
            let ground = if depth % 2 == 1 { list.palette.lifted } else { list.palette.paper };
            write_at(list, spot, &self.texts[*i], true, named[*i].ink, ground);
            if self.numbered[*i] {
                list.outline(spot.rect, 1.0, named[*i].ink);
            }
        }
    }

    /// Where each is named, by its place in the list.
    pub fn rects(&self) -> impl Iterator<Item = (usize, Rect)> + '_ {
        self.spots.iter().map(|(i, spot)| (*i, spot.rect))
    }
}
