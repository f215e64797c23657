//! Sizes of the flow path by hand.

use super::{Hand, one};
use crate::Facts;
use crate::facts::told;
use gatefrost_core::scenario::Role;
use gatefrost_formula::{Expr, Line, Unit, greater, sum, symbol, unit};

/// A sum with one quantity for each passage among `of`.
fn each(
    f: &Facts<'_>,
    of: &[usize],
    letter: &str,
    what: &str,
    unit: Unit,
    si: impl Fn(usize) -> f64,
) -> Result<Expr, &'static str> {
    let passages = &f.case().cavity.passages;
    let one = |&k: &usize| {
        symbol(
            format!("{letter}_{}", k + 1),
            format!("{what} of {}", passages[k].name),
            unit,
            unit.of_si(si(k)),
        )
    };
    sum(of.iter().map(one)).ok_or("There is no passage.")
}

fn all(f: &Facts<'_>) -> Vec<usize> {
    (0..f.case().cavity.passages.len()).collect()
}

/// Volume from the nozzle to the ends of flow: (A₁ + 4A_m + A₂)L/6 of each passage, times its copies.
pub fn volume(f: &Facts<'_>, _row: usize) -> Hand {
    let passages = &f.case().cavity.passages;
    let whole = |k: usize| passages[k].volume() * passages[k].copies;
    let largest =
        all(f).into_iter().max_by(|&a, &b| whole(a).total_cmp(&whole(b))).ok_or("There is no passage.")?;
    let p = &passages[largest];
    let area =
        |letter: &'static str, words: &'static str, at: f64| told(letter, words, unit::MM2, p.area_at(at));
    let mean = (area("A_1", "flow area where it begins", 0.0)
        + 4.0 * area("A_m", "flow area in its middle", 0.5)
        + area("A_2", "flow area where it ends", 1.0))
        / 6.0;
    let copies = symbol("N", "copies", unit::PURE, p.copies);
    let length = told("L", "length", unit::MM, p.length);
    let words = format!("volume of {}, all copies", p.name);
    let one = Line::new(format!("V_{}", largest + 1), words, unit::CM3, copies * length * mean);
    let sum = each(f, &all(f), "V", "volume", unit::CM3, whole)?;
    Ok(vec![one, Line::new("V", "volume", unit::CM3, sum)])
}

/// Area on the parting plane.
pub fn projected_area(f: &Facts<'_>, _row: usize) -> Hand {
    let cavity = &f.case().cavity;
    let of =
        |k: usize| cavity.cells[cavity.ranges[k].clone()].iter().map(|cell| cell.projected_area).sum::<f64>();
    let area = each(f, &all(f), "A", "projected area", unit::CM2, of)?;
    one(Line::new("A", "projected area", unit::CM2, area))
}

/// Longest way from the nozzle.
pub fn flow_length(f: &Facts<'_>, _row: usize) -> Hand {
    let cavity = &f.case().cavity;
    let way = |k: usize| std::iter::once(k).chain(cavity.upstream(k));
    let reach = |k: usize| way(k).map(|i| cavity.passages[i].length).sum::<f64>();
    let last =
        all(f).into_iter().max_by(|&a, &b| reach(a).total_cmp(&reach(b))).ok_or("There is no passage.")?;
    let mut path: Vec<usize> = way(last).collect();
    path.reverse();
    let whole = each(f, &path, "L", "length", unit::MM, |k| cavity.passages[k].length)?;
    one(Line::new("L", "flow length", unit::MM, whole))
}

/// Thickest section of the part.
pub fn thickest(f: &Facts<'_>, _row: usize) -> Hand {
    let cavity = &f.case().cavity;
    let k = cavity.thickest(|role| role == Role::Part).ok_or("There is no part.")?;
    let gap = cavity.passages[k].half_gap.map(|half| 2.0 * half);
    let h = greater(
        told("h_1", "thickness where the flow enters the thickest section", unit::MM, gap[0]),
        told("h_2", "thickness where the flow leaves it", unit::MM, gap[1]),
    );
    one(Line::new("h", "thickest section", unit::MM, h))
}
