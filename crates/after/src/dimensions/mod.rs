//! Dimensions of the part: the cavity for each, their scatter, and what measured parts say.
//!
//!   cavity/final = Y f_a^(α − 1/3) f_v^(υ − 1/3),   Y = (ρ_s,r/(φ S (1 − w)))^⅓
//!
//! α is 1 for a dimension along the flow and 0 for one across it; υ is 1 for a vertical one and 0 for a horizontal one.
//! Y is the oversize factor of [`crate::Sizes`]. f_a stands for a dimension along the flow against one across it, f_v for
//! a vertical one in the furnace against a horizontal one, where gravity and friction on the setter make a difference of
//! 0.1 to 0.5 % (from memory). Both are 1 until they are measured on a part.
//!
//! A part has three directions at right angles: one along the flow and two across it, one vertical and two horizontal. The
//! product of the three ratios is Y³, whatever the factors are and whether or not the vertical is the direction of the flow:
//! powder is conserved. So the ratio across the flow and horizontal, Y₀ = Y (f_a f_v)^−⅓, has Y₀³ f_a f_v = ρ_s,r/(φ S (1 − w)).
//! The same holds in the mould alone, with f_a, and in the furnace alone, with f_v.

pub mod capability;
pub mod measured;

use gatefrost_numerics::elementary::Elementary;

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
    /// Ratio of a dimension over the mean of the three directions, f_a^(α − 1/3) f_v^(υ − 1/3).
    pub fn of(self, lie: Lie) -> f64 {
        self.in_mould(lie) * power(self.vertical, lie.in_furnace())
    }

    /// The part of it that arises in the mould, f_a^(α − 1/3).
    pub fn in_mould(self, lie: Lie) -> f64 {
        power(self.along, lie.in_mould())
    }
}

impl Lie {
    /// Power of f_a, α − 1/3: the three directions of a part add up to nothing.
    pub fn in_mould(self) -> f64 {
        f64::from(self.along) - 1.0 / 3.0
    }

    /// Power of f_v, υ − 1/3.
    pub fn in_furnace(self) -> f64 {
        f64::from(self.vertical) - 1.0 / 3.0
    }
}

fn power(factor: f64, by: f64) -> f64 {
    (by * factor.logarithm()).exponential()
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
    /// `over_final` cavity over sintered part, both as the mean of the three directions.
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
        let across = (1.003_f64 * 1.005).cbrt().recip();
        assert!((there.cavity - 25.0 * 1.17814 * across * 1.003).abs() < 1e-12);
        let back = Chain::from(there.cavity, lie, uneven, 1.0038, 1.17814);
        assert!((back.sintered - 25.0).abs() < 1e-12 && (back.green - there.green).abs() < 1e-12);
    }

    /// Three cuts of 12 mm at right angles hold the powder that the part needs, whatever the directions are and whether the
    /// flow runs upwards or not: cavity over part is Y³ = 1.6426, by volume, and in the mould 1/S.
    #[test]
    fn directions_conserve_the_powder() {
        let directions = Directions { along: 0.997, vertical: 1.05 };
        let [across, along, up] =
            [(false, false), (true, false), (false, true)].map(|(along, vertical)| Lie { along, vertical });
        let both = Lie { along: true, vertical: true };
        let (over_green, over_final) = (0.985_f64.cbrt().recip(), 1.6426_f64.cbrt());
        for part in [[across, along, up], [across, across, both]] {
            let chains = part.map(|lie| Chain::to(12.0, lie, directions, over_green, over_final));
            let volume = |of: fn(&Chain) -> f64| chains.iter().map(of).product::<f64>();
            let (cavity, green) = (volume(|c| c.cavity), volume(|c| c.green));
            assert!((cavity / 1728.0 / 1.6426 - 1.0).abs() < 1e-12, "{cavity}");
            assert!((green / cavity / 0.985 - 1.0).abs() < 1e-12, "{green}");
        }
        let of = |lie: Lie| Chain::to(12.0, lie, directions, over_green, over_final).cavity;
        assert!((of(up) / of(across) - 1.05).abs() < 1e-12 && (of(along) / of(across) - 0.997).abs() < 1e-12);
    }

    /// A handbook's part shrinks from 13.8 to 12 mm: by 13 % of the green size.
    #[test]
    fn a_handbooks_shrinkage() {
        let none = Lie { along: false, vertical: false };
        let chain = Chain::to(12.0, none, Directions { along: 1.0, vertical: 1.0 }, 1.0, 13.8 / 12.0);
        assert!((100.0 * (1.0 - chain.sintered / chain.green) - 13.04).abs() < 0.01);
    }
}
