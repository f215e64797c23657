//! Dimensions of the part: the cavity for each, their scatter, and what measured parts say.
//!
//!   cavity/final = Y f_a^α f_v^υ,   Y = (ρ_s,r/(φ S (1 − w)))^⅓
//!
//! α is 1 for a dimension along the flow and 0 for one across it; υ is 1 for a vertical one and 0 for a horizontal one.
//! Y is the oversize factor of [`crate::Sizes`]. f_a stands for a dimension along the flow against one across it, f_v for
//! a vertical one in the furnace against a horizontal one, where gravity and friction on the setter make a difference of
//! 0.1 to 0.5 % (from memory). Both are 1 until they are measured on a part.

pub mod capability;
pub mod measured;

/// How a dimension lies to the flow and in the furnace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lie {
    /// Whether it runs along the flow of the melt, not across it.
    pub along: bool,
    /// Whether it is vertical in the furnace, not horizontal.
    pub vertical: bool,
}

/// Factors of the directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Directions {
    /// f_a.
    pub along: f64,
    /// f_v.
    pub vertical: f64,
}

impl Directions {
    /// f_a^α f_v^υ of a dimension.
    pub fn of(self, lie: Lie) -> f64 {
        let flow = if lie.along { self.along } else { 1.0 };
        let height = if lie.vertical { self.vertical } else { 1.0 };
        flow * height
    }

    /// The part of it that arises in the mould, f_a^α.
    pub fn in_mould(self, lie: Lie) -> f64 {
        if lie.along { self.along } else { 1.0 }
    }
}

/// Sizes of one dimension from the cavity to the sintered part, in any one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// In the cavity, at 23 °C.
    pub cavity: f64,
    /// In the cold green part.
    pub green: f64,
    /// In the sintered part.
    pub sintered: f64,
}

impl Chain {
    /// The cavity to cut for `sintered`, and the green size on the way: `over_green` is cavity over green part,
    /// `over_final` cavity over sintered part, both without directions.
    pub fn to(sintered: f64, lie: Lie, directions: Directions, over_green: f64, over_final: f64) -> Self {
        let cavity = sintered * over_final * directions.of(lie);
        Self { cavity, green: cavity / (over_green * directions.in_mould(lie)), sintered }
    }

    /// The sizes that come out of a cavity that is cut already.
    pub fn from(cavity: f64, lie: Lie, directions: Directions, over_green: f64, over_final: f64) -> Self {
        let green = cavity / (over_green * directions.in_mould(lie));
        Self { cavity, green, sintered: cavity / (over_final * directions.of(lie)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 25 mm along the flow with an oversize factor of 1.17814 (worked out by hand: 29.4535 mm), and with 0.3 % more along
    /// the flow.
    #[test]
    fn the_cavity_is_the_part_times_the_oversize_and_the_directions() {
        let lie = Lie { along: true, vertical: false };
        let even = Directions { along: 1.0, vertical: 1.0 };
        assert!((Chain::to(25.0, lie, even, 1.0038, 1.17814).cavity - 29.4535).abs() < 1e-10);
        let uneven = Directions { along: 1.003, vertical: 1.005 };
        let there = Chain::to(25.0, lie, uneven, 1.0038, 1.17814);
        assert!((there.cavity - 25.0 * 1.17814 * 1.003).abs() < 1e-12, "the vertical factor does not count");
        let back = Chain::from(there.cavity, lie, uneven, 1.0038, 1.17814);
        assert!((back.sintered - 25.0).abs() < 1e-12 && (back.green - there.green).abs() < 1e-12);
    }

    /// A handbook's part shrinks from 13.8 to 12 mm: by 13 % of the green size.
    #[test]
    fn a_handbooks_shrinkage() {
        let none = Lie { along: false, vertical: false };
        let chain = Chain::to(12.0, none, Directions { along: 1.0, vertical: 1.0 }, 1.0, 13.8 / 12.0);
        assert!((100.0 * (1.0 - chain.sintered / chain.green) - 13.04).abs() < 0.01);
    }
}
