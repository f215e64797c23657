//! What shots that were not made will read, beside what was read of those that were: a plot for each quantity.

use super::{TRIAL_QUANTITIES, TrialForecasts};
use crate::display_list::Point;
use crate::lines::{Curve, Pane, Stack};
use crate::style::SOLID;
use crate::table::{DataCell, DataTable, columns};

/// Columns of the table for each quantity.
const EACH: usize = 4;
/// Columns of the table: the number of the shot, then those of each quantity.
const HEADS: [(&str, &str); 1 + EACH * TRIAL_QUANTITIES.len()] = [
    ("Shot", ""),
    ("Peak pressure, predicted", "MPa"),
    ("Peak pressure, low", "MPa"),
    ("Peak pressure, high", "MPa"),
    ("Peak pressure, read", "MPa"),
    ("Switch-over pressure, predicted", "MPa"),
    ("Switch-over pressure, low", "MPa"),
    ("Switch-over pressure, high", "MPa"),
    ("Switch-over pressure, read", "MPa"),
    ("Part mass, predicted", "g"),
    ("Part mass, low", "g"),
    ("Part mass, high", "g"),
    ("Part mass, read", "g"),
    ("Part temperature, predicted", "°C"),
    ("Part temperature, low", "°C"),
    ("Part temperature, high", "°C"),
    ("Part temperature, read", "°C"),
];

/// Bands as upright lines with their values over the number of the shot, and readings as marks of their own.
pub(super) fn stack(all: &TrialForecasts) -> Stack {
    Stack {
        x: ("Shot of the log", ""),
        x_log: false,
        x_from_zero: false,
        x_reach: 0.0,
        panes: if all.predicted.is_empty() { Vec::new() } else { (0..EACH).map(|k| pane(all, k)).collect() },
        marks: Vec::new(),
        empty: "There are no predictions.",
    }
}

fn pane(all: &TrialForecasts, k: usize) -> Pane {
    let (title, unit) = TRIAL_QUANTITIES[k];
    let (mut curves, mut values): (Vec<Curve>, Vec<Point>) = (Vec::new(), Vec::new());
    for &[shot, quantity, value, low, high] in &all.predicted {
        if quantity == k as f64 {
            curves.push(Curve::line(vec![[shot, low], [shot, high]], SOLID, true));
            // No band lies on the frame.
            curves.push(Curve::unseen(vec![[shot - 0.5, value], [shot + 0.5, value]]));
            values.push([shot, value]);
        }
    }
    let of = |one: &&[f64; 3]| one[1] == k as f64;
    let read: Vec<Point> = all.read.iter().filter(of).map(|one| [one[0], one[2]]).collect();
    curves.push(Curve { leading: true, ..Curve::dots(values, 0) });
    curves.push(Curve::dots(read, 2));
    Pane { title, unit, log: false, from_zero: false, weight: 1.0, curves }
}

/// A row for each shot: of each quantity the prediction with its band, or the reading.
pub(super) fn table(all: &TrialForecasts, caption: String) -> DataTable {
    let mut rows: Vec<Vec<DataCell>> = Vec::new();
    let read = all.read.iter().map(|one| (one.as_slice(), 3));
    for (one, from) in read.chain(all.predicted.iter().map(|one| (one.as_slice(), 0))) {
        let shot = DataCell::number(one[0]);
        if rows.iter().all(|row| row[0] != shot) {
            let mut row = vec![DataCell::text(String::new()); HEADS.len()];
            row[0] = shot.clone();
            rows.push(row);
        }
        for row in rows.iter_mut().filter(|row| row[0] == shot) {
            for (i, value) in one[2..].iter().enumerate() {
                row[1 + EACH * one[1] as usize + from + i] = DataCell::number(*value);
            }
        }
    }
    DataTable { caption, columns: columns(&HEADS), rows }
}
