//! The size to cut, and how well it is held.

use super::drawn;
use crate::draw::Draws;
use crate::task::{Asked, Task};
use gatefrost_after::dimensions::capability;
use gatefrost_after::{Furnace, Green, Sizes};
use gatefrost_formula::{Expr, Line, number, symbol, unit};

/// A size is wanted to a few parts in ten thousand: the tolerance of the part is ±3 in a thousand.
const SIZE: f64 = 0.0004;

/// Cavity for a final size, by loading alone and with what the hold leaves.
pub fn cavity(draws: &mut Draws) -> Task {
    let size = drawn(draws, "L", "final-size", unit::MM, ([120, 600], 5, 10));
    let phi = drawn(draws, "φ", "loading", unit::VOLUME_PERCENT, ([560, 650], 5, 10));
    let sintered = drawn(draws, "ρ_r", "sintered-density", unit::PERCENT, ([950, 990], 5, 10));
    let filled = drawn(draws, "S", "share-filled", unit::PERCENT, ([9780, 9940], 5, 100));
    let third = || number(1.0) / 3.0;
    let by_loading = size.clone() * (sintered.clone() / phi.clone()).to(third());
    let with_hold = size.clone() * (sintered.clone() / (phi.clone() * filled.clone())).to(third());
    let line = |letter, words, formula| Line::new(letter, words, unit::MM, formula).digits(5);
    let (simple, true_size) =
        (line("L_0", "cavity-by-loading", by_loading), line("L_c", "cavity-size", with_hold));
    let shrinks = Line::new(
        "Y",
        "furnace-shrinkage",
        unit::PERCENT,
        1.0 - (phi.clone() / sintered.clone()).to(third()),
    );
    let by_core = |filled: f64| {
        let furnace = Furnace { loading: phi.value(), powder_loss: 0.0, sintered_density: sintered.value() };
        let sizes = Sizes::of(&Green { filled, parts: Vec::new() }, &furnace);
        sizes.cavity_over_final.map_or(f64::NAN, |ratio| ratio * size.value())
    };
    let by_volume = size.clone() * (sintered.clone() / phi.clone());
    let added = size.clone() * (1.0 + shrinks.symbol());
    Task::new([size.clone(), phi.clone(), sintered.clone(), filled.clone()])
        .ask(
            Asked::new(shrinks.clone(), 1.0 - size.value() / by_core(1.0))
                .within(0.005)
                .mistake("cavity-size-wrong-other-base", &(simple.formula.clone() / size.clone() - 1.0)),
        )
        .ask(
            Asked::new(simple.clone(), by_core(1.0))
                .within(SIZE)
                .figures(4, 6)
                .mistake("cavity-size-wrong-volume", &by_volume)
                .mistake("cavity-size-wrong-added", &added),
        )
        .ask(
            Asked::new(true_size, by_core(filled.value()))
                .within(SIZE)
                .figures(4, 6)
                .mistake("cavity-size-wrong-loading", &simple.formula)
                .mistake("cavity-size-wrong-share", &(simple.formula.clone() / filled)),
        )
}

/// How well the loading has to be held for a tolerance.
pub fn tolerance(draws: &mut Draws) -> Task {
    let phi = drawn(draws, "φ", "loading", unit::VOLUME_PERCENT, ([560, 650], 5, 10));
    let tolerance = drawn(draws, "t", "tolerance", unit::PERCENT, ([20, 60], 5, 100));
    let cpk = symbol("C_pk", "wanted-capability", unit::PURE, draws.one_of([1.0, 1.33, 1.67]));
    let share = drawn(draws, "s", "variance-share", unit::PERCENT, ([30, 70], 5, 1));
    let length = Line::new("σ_L", "length-scatter", unit::PERCENT, tolerance.clone() / (3.0 * cpk.clone()));
    let part =
        Line::new("σ_φL", "length-scatter-loading", unit::PERCENT, share.clone().sqrt() * length.symbol());
    let loading =
        Line::new("σ_φ", "loading-scatter", unit::VOLUME_PERCENT, 3.0 * phi.clone() * part.symbol());
    // The core asks how much room other causes leave.
    let all = tolerance.value() / (3.0 * cpk.value());
    let others = all * (1.0 - share.value()).sqrt();
    let per_loading = capability::of_volume(1.0) / phi.value();
    let by_core = capability::room(cpk.value(), tolerance.value(), others, per_loading).unwrap_or(f64::NAN);
    let of = |part: Expr| 3.0 * phi.clone() * part;
    Task::new([phi.clone(), tolerance.clone(), cpk, share.clone()])
        .ask(
            Asked::new(length.clone(), all)
                .mistake("tolerance-wrong-width", &(2.0 * length.formula.clone()))
                .mistake("tolerance-wrong-three", &(tolerance / 3.0)),
        )
        .ask(
            Asked::new(loading, by_core)
                .after([length.clone(), part.clone()])
                .mistake("tolerance-wrong-variance", &of(share * length.symbol()))
                .mistake("tolerance-wrong-all", &of(length.symbol()))
                .mistake("tolerance-wrong-volume", &(phi.clone() * part.symbol()))
                .mistake("tolerance-wrong-loading", &(3.0 * part.symbol())),
        )
}
