//! From the readings of a capillary rheometer to a viscosity. Beside what a student finds stands the feedstock that the
//! readings were made with.

use super::{drawn, told};
use crate::draw::Draws;
use crate::task::{Asked, Readings, Task};
use gatefrost_formula::{Expr, Line, number, symbol, unit};
use gatefrost_numerics::elementary::Elementary;

/// A reading in the units of the table.
struct Row {
    length: f64,
    rate: f64,
    pressure: f64,
}

/// End correction, stress, exponent and viscosity from two dies at two rates.
pub fn reduction(draws: &mut Draws) -> Task {
    let diameter = drawn(draws, "D", "die-diameter", unit::MM, ([10, 20], 5, 10));
    let (rows, made) = readings(draws, told(&diameter));
    let quantity = |letter, words, unit, value| symbol(letter, words, unit, value);
    let pressure = |letter, row: usize| quantity(letter, "die-pressure", unit::MPA, rows[row].pressure);
    let (short, long) = (
        quantity("L_1", "die-length-short", unit::MM, rows[0].length),
        quantity("L_2", "die-length-long", unit::MM, rows[1].length),
    );
    let rates = [0, 2].map(|row| rows[row].rate);
    let apparent = [("γ̇_1", rates[0]), ("γ̇_2", rates[1])]
        .map(|(letter, value)| quantity(letter, "apparent-rate", unit::PER_SECOND, value));
    let (p, q) = ((pressure("p_11", 0), pressure("p_21", 1)), (pressure("p_12", 2), pressure("p_22", 3)));
    let ends = (p.0.clone() * long.clone() - p.1.clone() * short.clone()) / (p.1.clone() - p.0.clone());
    let ends = Line::new("e", "end-correction", unit::MM, ends);
    let stress = |letter, (low, high): &(Expr, Expr)| {
        let per_length = (high.clone() - low.clone()) / (long.clone() - short.clone());
        Line::new(letter, "wall-stress", unit::KPA, diameter.clone() / 4.0 * per_length)
    };
    let (first, second) = (stress("τ_1", &p), stress("τ_2", &q));
    let slope = (second.symbol() / first.symbol()).ln() / (apparent[1].clone() / apparent[0].clone()).ln();
    let n = Line::new("n", "flow-exponent", unit::PURE, slope);
    let corrected = (3.0 * n.symbol() + 1.0) / (4.0 * n.symbol()) * apparent[1].clone();
    let rate = Line::new("γ̇_w", "wall-rate", unit::PER_SECOND, corrected);
    let viscosity = Line::new("η", "viscosity-there", unit::PA_S, second.symbol() / rate.symbol());
    let uncorrected = q.1.clone() * diameter.clone() / (4.0 * long.clone());
    let true_rate = (3.0 * made.n + 1.0) / (4.0 * made.n) * rates[1];
    let true_stress = made.consistency * true_rate.power(made.n);
    let steps = [first.clone(), second.clone()];
    Task::new([diameter.clone(), short.clone(), long.clone()])
        .with_readings(table(&rows))
        .ask(
            Asked::new(ends.clone(), made.end)
                .within(0.02)
                .mistake("rheometer-wrong-sign", &(-ends.formula.clone())),
        )
        .ask(
            Asked::new(second.clone(), true_stress)
                .mistake("rheometer-wrong-ends", &uncorrected)
                .mistake("rheometer-wrong-radius", &(2.0 * second.formula.clone())),
        )
        .ask(
            Asked::new(n.clone(), made.n)
                .after(steps.clone())
                .mistake("rheometer-wrong-inverse", &(number(1.0) / n.symbol()))
                .mistake("rheometer-wrong-viscosity-slope", &(n.symbol() - 1.0)),
        )
        .ask(
            Asked::new(viscosity, true_stress / true_rate)
                .after(steps.into_iter().chain([n, rate]))
                .mistake("rheometer-wrong-apparent", &(second.symbol() / apparent[1].clone())),
        )
}

/// The feedstock that the readings were made with, and its end correction, in SI.
struct Made {
    end: f64,
    consistency: f64,
    n: f64,
}

/// Readings of an invented feedstock that thins: two rates, two dies, pressures as a good gauge shows them, to 0.1 kPa.
fn readings(draws: &mut Draws, diameter: f64) -> (Vec<Row>, Made) {
    let n = draws.on_scale([30, 55], 1, 100);
    let consistency = draws.on_scale([3000, 9000], 100, 1);
    let end = draws.on_scale([20, 60], 2, 10);
    let slow = draws.on_scale([80, 240], 10, 1);
    let short = draws.on_scale([5, 10], 1, 1);
    let mut rows = Vec::new();
    for rate in [slow, slow * draws.on_scale([3, 6], 1, 1)] {
        let true_rate = (3.0 * n + 1.0) / (4.0 * n) * rate;
        let stress = consistency * true_rate.power(n);
        for length in [short, 2.0 * short + 5.0] {
            let pressure = 4.0 * stress * (length + end) / diameter;
            rows.push(Row { length, rate, pressure: (pressure / 100.0).round() / 1e4 });
        }
    }
    (rows, Made { end: 1e-3 * end, consistency, n })
}

fn table(rows: &[Row]) -> Readings {
    Readings {
        columns: vec![
            ("L", "die-length", unit::MM.sign),
            ("γ̇_a", "apparent-rate", unit::PER_SECOND.sign),
            ("p", "die-pressure", unit::MPA.sign),
        ],
        rows: rows.iter().map(|row| vec![row.length, row.rate, row.pressure]).collect(),
    }
}
