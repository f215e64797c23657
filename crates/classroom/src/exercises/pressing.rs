//! The other route: pressure along a compact in a die.

use super::drawn;
use crate::draw::Draws;
use crate::task::{Asked, Task};
use gatefrost_formula::{Expr, Line, unit};
use gatefrost_planning::press::{Compact, Punches};

/// Pressure at the far end, pressed from one side, and in the middle, pressed from both.
pub fn pressure(draws: &mut Draws) -> Task {
    let height = drawn(draws, "H", "compact-height", unit::MM, ([20, 60], 1, 1));
    let width = drawn(draws, "D", "compact-width", unit::MM, ([12, 25], 1, 1));
    let friction = drawn(draws, "μk", "wall-friction", unit::PURE, ([10, 20], 1, 100));
    let left = |depth: Expr| (-(4.0 * friction.clone() * depth / width.clone())).exp();
    let line = |letter, words, depth| Line::new(letter, words, unit::PERCENT, left(depth));
    let one = line("s_1", "left-from-one", height.clone());
    let both = line("s_2", "left-from-both", height.clone() / 2.0);
    let compact = Compact {
        height: height.value(),
        width: width.value(),
        friction: friction.value(),
        density: 0.6,
        slope: 0.1,
    };
    let radius = left(height.clone() / 4.0);
    let lost = |line: &Line| 1.0 - line.symbol();
    Task::new([height.clone(), width.clone(), friction.clone()])
        .ask(
            Asked::new(one.clone(), compact.least(Punches::One))
                .mistake("pressing-wrong-lost", &lost(&one))
                .mistake("pressing-wrong-radius", &left(height.clone() / 2.0))
                .mistake("pressing-wrong-factor", &radius),
        )
        .ask(
            Asked::new(both.clone(), compact.least(Punches::Both))
                .mistake("pressing-wrong-lost", &lost(&both))
                .mistake("pressing-wrong-one", &one.formula),
        )
}
