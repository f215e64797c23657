//! Whether a tolerance is held: scatter by cause, Cp and Cpk.
//!
//! The relative scatter of a length follows from φ S/ρ_s,r: (σ_L/L)² = Σ [∂ln(φ S/ρ_s,r)/∂x · σ_x/3]² over independent
//! causes x. Cp = t/(3 σ_L), Cpk = (t − |mean − nominal|)/(3 σ_L) for a tolerance ± t (closed form).

use gatefrost_numerics::elementary::Elementary;

/// Relative scatter of a length by one cause, one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share<C> {
    /// The cause.
    pub cause: C,
    /// σ_L/L.
    pub relative: f64,
}

/// Relative scatter of a length by all causes together.
pub fn together<C>(shares: &[Share<C>]) -> f64 {
    shares.iter().map(|share| share.relative).fold(0.0, Elementary::hypotenuse)
}

/// Relative scatter of a length where a volume scatters by σ_V/V = `relative`.
pub fn of_volume(relative: f64) -> f64 {
    relative / 3.0
}

/// How a tolerance and a scatter meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capability {
    /// Cp: as if the mean were the nominal size.
    pub cp: f64,
    /// Cpk: with the mean where it is.
    pub cpk: f64,
}

/// Cp and Cpk are capped at this value.
pub const MOST: f64 = 100.0;

impl Capability {
    /// Of a dimension with the tolerance ± `tolerance` about `nominal`, the mean `mean` and the standard deviation
    /// `scatter`, all in one unit. Both are at most [`MOST`], and Cpk at least −[`MOST`].
    pub fn of(nominal: f64, tolerance: f64, mean: f64, scatter: f64) -> Self {
        let over = 3.0 * scatter.max(1e-12 * nominal.abs());
        let bounded = |x: f64| x.clamp(-MOST, MOST);
        Self { cp: bounded(tolerance / over), cpk: bounded((tolerance - (mean - nominal).abs()) / over) }
    }
}

/// Greatest σ_x that still leaves Cpk at `wanted`, where the other causes scatter a length by `others` (relative), the mean
/// leaves `left` of the tolerance to the nearer limit (relative) and one unit of x changes a length by `per_unit` (relative).
/// Infinite if x changes nothing; `None` where the others alone are too much.
pub fn room(wanted: f64, left: f64, others: f64, per_unit: f64) -> Option<f64> {
    let all = left / (3.0 * wanted);
    (all > others).then(|| (all * all - others * others).sqrt() / per_unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// φ 60 ± 0.1 vol%, ρ_s 97 ± 0.3 %, mass ± 0.15 %: 0.056, 0.103, 0.050, together 0.127 %; ±0.3 % has Cp 0.79 and
    /// ±0.5 % has Cp 1.31 (closed form, worked out by hand).
    #[test]
    fn the_usual_budget() {
        let shares = [("loading", 0.1 / 60.0), ("density", 0.3 / 97.0), ("mass", 0.0015)]
            .map(|(cause, relative)| Share { cause, relative: of_volume(relative) });
        let near =
            |found: f64, by_hand: f64| assert!((found - by_hand).abs() < 0.006, "{found} against {by_hand}");
        near(100.0 * shares[0].relative, 0.056);
        near(100.0 * shares[1].relative, 0.103);
        near(100.0 * shares[2].relative, 0.050);
        let all = together(&shares);
        near(100.0 * all, 0.127);
        near(Capability::of(25.0, 0.003 * 25.0, 25.0, all * 25.0).cp, 0.79);
        near(Capability::of(25.0, 0.005 * 25.0, 25.0, all * 25.0).cp, 1.31);
    }

    /// ±0.3 % at Cpk 1.33 with half of the variance for the loading: σ_φ ≤ 0.096 vol% (closed form).
    #[test]
    fn the_room_for_the_loading() {
        let all = 0.003 / (3.0 * 1.33);
        let room = room(1.33, 0.003, all / 2_f64.sqrt(), 1.0 / (3.0 * 60.0)).expect("room");
        assert!((room - 0.096).abs() < 5e-4, "{room}");
        assert_eq!(super::room(1.33, 0.003, 2.0 * all, 1.0), None);
    }

    #[test]
    fn a_mean_off_its_nominal_lowers_cpk_alone() {
        let c = Capability::of(10.0, 0.05, 10.02, 0.01);
        assert!((c.cp - 0.05 / 0.03).abs() < 1e-12 && (c.cpk - 0.03 / 0.03).abs() < 1e-12);
        assert!(Capability::of(10.0, 0.05, 10.2, 0.01).cpk < 0.0);
        assert_eq!(Capability::of(10.0, 0.05, 10.0, 0.0).cp, MOST);
    }
}
