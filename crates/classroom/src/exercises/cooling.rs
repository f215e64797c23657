//! Heat: when a gate freezes, and how long a wall cools.

use super::{HALVINGS, drawn, told};
use crate::draw::Draws;
use crate::task::{Asked, Beside, Task};
use gatefrost_core::cavity::Kind;
use gatefrost_core::cool::{Where, cooling_time};
use gatefrost_formula::{Expr, Line, number, pi, symbol, unit};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;

/// Terms of the series that stands beside the first one.
const TERMS: u32 = 12;

/// Cold walls, a melt, and a temperature to be reached.
struct Cooling {
    melt: Expr,
    wall: Expr,
    target: Expr,
    diffusivity: Expr,
}

impl Cooling {
    /// The target is so far below the melt that one term of the series is within half a per cent.
    fn drawn(draws: &mut Draws, target: (&'static str, &'static str, [i32; 2])) -> Self {
        Self {
            melt: drawn(draws, "T_m", "melt-temperature", unit::CELSIUS, ([160, 185], 1, 1)),
            wall: drawn(draws, "T_w", "wall-temperature", unit::CELSIUS, ([30, 50], 1, 1)),
            target: drawn(draws, target.0, target.1, unit::CELSIUS, (target.2, 1, 1)),
            diffusivity: drawn(draws, "α", "diffusivity", unit::MM2_S, ([80, 160], 1, 100)),
        }
    }

    fn ratio(&self) -> Expr {
        (self.melt.clone() - self.wall.clone()) / (self.target.clone() - self.wall.clone())
    }

    /// One term of the series for a wall without resistance: h²/(π²α) ln(A ratio).
    fn slab(&self, h: &Expr, coefficient: Expr) -> Expr {
        h.clone().squared() / (pi().squared() * self.diffusivity.clone()) * (coefficient * self.ratio()).ln()
    }

    /// One term with the wall's resistance: (h/2)²/(λ²α) ln(A ratio).
    fn with_wall(&self, h: &Expr, root: &Root) -> Expr {
        let scale =
            (h.clone() / 2.0).squared() / (root.eigenvalue.clone().squared() * self.diffusivity.clone());
        scale * (root.coefficient.clone() * self.ratio()).ln()
    }

    fn by_core(&self, place: Where, h: &Expr) -> f64 {
        let [alpha, melt, wall, target] =
            [&self.diffusivity, &self.melt, &self.wall, &self.target].map(Expr::value);
        cooling_time(Kind::Flat, place, 0.5 * h.value(), alpha, melt, wall, target).unwrap_or(f64::NAN)
    }

    /// Time at which the series of [`TERMS`] terms gives the mean temperature, by bisection.
    fn by_series(&self, h: &Expr, biot: f64) -> f64 {
        let half = 0.5 * h.value();
        let roots: Vec<(f64, f64)> =
            (0..TERMS).map(|k| eigenvalue(biot, k)).map(|x| (x, mean_coefficient(x))).collect();
        let left =
            |fourier: f64| -> f64 { roots.iter().map(|(x, a)| a * (-x * x * fourier).exponential()).sum() };
        let ratio = self.ratio().value();
        let fourier = bisect(0.0, 200.0, HALVINGS, |fourier| left(fourier) * ratio <= 1.0);
        fourier * half * half / self.diffusivity.value()
    }
}

/// The first root of λ tan λ = Bi and the coefficient of the mean, as a table with four decimals gives them.
struct Root {
    eigenvalue: Expr,
    coefficient: Expr,
}

impl Root {
    fn of(biot: f64, [root, coefficient]: [&'static str; 2]) -> Self {
        let rounded = |value: f64| (value * 1e4).round() / 1e4;
        let x = eigenvalue(biot, 0);
        Self {
            eigenvalue: symbol(root, "first-root", unit::PURE, rounded(x)),
            coefficient: symbol(coefficient, "mean-coefficient", unit::PURE, rounded(mean_coefficient(x))),
        }
    }
}

/// The root number k of λ tan λ = Bi, between kπ and kπ + π/2, by bisection.
fn eigenvalue(biot: f64, k: u32) -> f64 {
    let from = f64::from(k) * std::f64::consts::PI;
    let sign = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
    bisect(from, from + std::f64::consts::FRAC_PI_2, HALVINGS, |x| {
        sign * (x * x.sine() - biot * x.cosine()) >= 0.0
    })
}

/// Coefficient of the mean temperature, 2 sin²λ/(λ² + λ sin λ cos λ).
fn mean_coefficient(x: f64) -> f64 {
    let (sine, cosine) = (x.sine(), x.cosine());
    2.0 * sine * sine / (x * x + x * sine * cosine)
}

fn mean() -> Expr {
    number(8.0) / pi().squared()
}

fn centre() -> Expr {
    number(4.0) / pi()
}

/// Freeze time of a gate: mean, centre, and with the resistance of the wall.
pub fn gate_freeze(draws: &mut Draws) -> Task {
    let h = drawn(draws, "h", "gate-depth", unit::MM, ([50, 140], 5, 100));
    let cooling = Cooling::drawn(draws, ("T_n", "no-flow-temperature", [80, 95]));
    let k = drawn(draws, "k", "conductivity", unit::W_MK, ([20, 50], 1, 10));
    let contact = drawn(draws, "h_c", "contact", unit::W_M2K, ([3000, 12_000], 500, 1));
    let half = h.clone() / 2.0;
    let biot = Line::new("Bi", "biot", unit::PURE, contact.clone() * half / k.clone());
    let root = Root::of(biot.value(), ["λ_1", "A_1"]);
    let line = |letter, words, formula| Line::new(letter, words, unit::SECOND, formula);
    let mean_time = line("t_m", "freeze-mean", cooling.slab(&h, mean()));
    let centre_time = line("t_c", "freeze-centre", cooling.slab(&h, centre()));
    let wall_time = line("t_b", "freeze-wall", cooling.with_wall(&h, &root));
    let half_gap = cooling.slab(&(h.clone() / 2.0), mean());
    let by_series = cooling.by_series(&h, biot.value());
    Task::new([
        h.clone(),
        cooling.melt.clone(),
        cooling.wall.clone(),
        cooling.target.clone(),
        cooling.diffusivity.clone(),
        k.clone(),
        contact.clone(),
        root.eigenvalue.clone(),
        root.coefficient.clone(),
    ])
    .ask(
        Asked::new(mean_time.clone(), cooling.by_core(Where::Mean, &h))
            .mistake("gate-freeze-wrong-centre", &centre_time.formula)
            .mistake("gate-freeze-wrong-half", &half_gap)
            .mistake("gate-freeze-wrong-ratio", &cooling.slab(&h, number(1.0))),
    )
    .ask(
        Asked::new(centre_time, cooling.by_core(Where::Centre, &h))
            .mistake("gate-freeze-wrong-mean", &mean_time.formula)
            .mistake("gate-freeze-wrong-half", &cooling.slab(&(h.clone() / 2.0), centre())),
    )
    .ask(
        Asked::new(biot.clone(), contact.value() * 0.5 * h.value() / k.value())
            .mistake("gate-freeze-wrong-whole", &(contact * h.clone() / k)),
    )
    .ask(
        Asked::new(wall_time, by_series)
            .mistake("gate-freeze-wrong-mean", &mean_time.formula)
            .mistake("gate-freeze-wrong-whole", &(4.0 * cooling.with_wall(&h, &root))),
    )
    .beside(Beside {
        demo: "hinge",
        changes: vec![
            ("setup.melt_temperature", told(&cooling.melt).to_string()),
            ("setup.mould_temperature", told(&cooling.wall).to_string()),
            ("cavity.passages.2.form.strip.thickness", told(&h).to_string()),
        ],
        rate: None,
        path: "hold.gates.0.freeze_s",
        unit: unit::SECOND,
        why: "gate-freeze-beside",
    })
}

/// Cooling time of a wall and of a thicker one.
pub fn wall(draws: &mut Draws) -> Task {
    let thin = draws.on_scale([10, 25], 1, 10);
    let ratio = draws.one_of([1.5, 2.0]);
    let h = |letter, words, value| symbol(letter, words, unit::MM, value);
    let (h_1, h_2) = (h("h_1", "wall-thin", thin), h("h_2", "wall-thick", ratio * thin));
    let cooling = Cooling::drawn(draws, ("T_e", "ejection-temperature", [60, 75]));
    let biot_thin = draws.on_scale([8, 40], 1, 10);
    let biot = [
        symbol("Bi_1", "biot", unit::PURE, biot_thin),
        symbol("Bi_2", "biot", unit::PURE, ratio * biot_thin),
    ];
    let roots = [Root::of(biot[0].value(), ["λ_1", "A_1"]), Root::of(biot[1].value(), ["λ_2", "A_2"])];
    let line = |letter, words, formula| Line::new(letter, words, unit::SECOND, formula);
    let ideal = line("t", "cooling-ideal", cooling.slab(&h_1, mean()));
    let first = line("t_1", "cooling-thin", cooling.with_wall(&h_1, &roots[0]));
    let second = line("t_2", "cooling-thick", cooling.with_wall(&h_2, &roots[1]));
    let times = Line::new("q", "cooling-ratio", unit::PURE, second.symbol() / first.symbol());
    let series = [cooling.by_series(&h_1, biot[0].value()), cooling.by_series(&h_2, biot[1].value())];
    let squared = (h_2.clone() / h_1.clone()).squared();
    let linear = h_2.clone() / h_1.clone();
    let mut given = vec![h_1.clone(), h_2];
    given.extend([&cooling.melt, &cooling.wall, &cooling.target, &cooling.diffusivity].map(Clone::clone));
    given.extend(biot);
    given.extend(roots.iter().flat_map(|root| [root.eigenvalue.clone(), root.coefficient.clone()]));
    Task::new(given)
        .ask(
            Asked::new(ideal.clone(), cooling.by_core(Where::Mean, &h_1))
                .mistake("gate-freeze-wrong-centre", &cooling.slab(&h_1, centre()))
                .mistake("gate-freeze-wrong-half", &cooling.slab(&(h_1.clone() / 2.0), mean())),
        )
        .ask(Asked::new(first.clone(), series[0]).mistake("cooling-wrong-ideal", &ideal.formula))
        .ask(
            Asked::new(times, series[1] / series[0])
                .after([first, second])
                .mistake("cooling-wrong-square", &squared)
                .mistake("cooling-wrong-linear", &linear),
        )
}
