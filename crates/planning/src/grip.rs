//! A part that has shrunk on a core: the pressure on it, and the force that strips it off.
//!
//! The part around the core is a thick ring with radii r and R = r + t. It would contract by ε but the core is rigid. Lamé's
//! ring gives the pressure at its bore: with K = (R² + r²)/(R² − r²),
//!
//!   p = E ε/(K + ν)                         if the part slides along the core freely,
//!   p = E ε (1 + ν)/[K + ν − ν²(K − 1)]     if the core holds it lengthwise, too.
//!
//! A real part lies between. A flank with the draft α and the friction µ needs, along the axis, N (µ cos α − sin α) with
//! N = p A/(cos α + µ sin α): the balance across the axis.

use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::PI;

/// A core inside a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grip {
    /// Radius of the core \[m\].
    pub radius: f64,
    /// Length of the core inside the part \[m\].
    pub length: f64,
    /// Thickness of the wall around it \[m\].
    pub wall: f64,
    /// Young's modulus of the green part \[Pa\].
    pub modulus: f64,
    /// Its Poisson's ratio, below 0.5.
    pub poisson: f64,
    /// Contraction that the core prevents.
    pub contraction: f64,
    /// Coefficient of friction.
    pub friction: f64,
    /// Angle of the flank to the axis, rad.
    pub draft: f64,
}

impl Grip {
    /// Pressure on the core \[Pa\]: free lengthwise, and held lengthwise.
    pub fn pressure(&self) -> [f64; 2] {
        let (inner, outer) = (self.radius.powi(2), (self.radius + self.wall).powi(2));
        let k = (outer + inner) / (outer - inner);
        let (nu, full) = (self.poisson, self.modulus * self.contraction);
        [full / (k + nu), full * (1.0 + nu) / (k + nu - nu * nu * (k - 1.0))]
    }

    /// Force along the axis \[N\] that strips the part off, for a pressure \[Pa\]. Zero where the draft exceeds the friction:
    /// the part comes off by itself.
    pub fn force(&self, pressure: f64) -> f64 {
        let (sine, cosine) = (self.draft.sine(), self.draft.cosine());
        let area = 2.0 * PI * self.radius * self.length;
        let along = self.friction * cosine - sine;
        pressure * area * along.max(0.0) / (cosine + self.friction * sine)
    }

    /// Draft \[rad\] at which the part comes off by itself: tan α = µ.
    pub fn releasing_draft(&self) -> f64 {
        // The arc tangent by its integral in closed form is not among the project's functions; Newton on tan α = µ.
        let mut angle = self.friction.min(1.2);
        for _ in 0..40 {
            let (sine, cosine) = (angle.sine(), angle.cosine());
            angle =
                (angle - (sine - self.friction * cosine) / (cosine + self.friction * sine)).clamp(0.0, 1.55);
        }
        angle
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grip(wall: f64) -> Grip {
        Grip {
            radius: 5e-3,
            length: 10e-3,
            wall,
            modulus: 4e9,
            poisson: 0.3,
            contraction: 0.004,
            friction: 0.2,
            draft: 0.0,
        }
    }

    /// E ε t/r and E ε t/[r (1 − ν)] of a thin shell; K of Lamé's ring by hand: 61/11.
    #[test]
    fn a_thin_wall_is_a_shell_and_a_thick_one_lames_ring() {
        let thin = grip(5e-6).pressure();
        assert!((thin[0] / (4e9 * 0.004 * 1e-3) - 1.0).abs() < 2e-3, "{thin:?}");
        assert!((thin[1] / (4e9 * 0.004 * 1e-3 / 0.7) - 1.0).abs() < 2e-3, "{thin:?}");
        let [free, held] = grip(1e-3).pressure();
        assert!((free - 16e6 / (61.0 / 11.0 + 0.3)).abs() < 1.0, "{free}");
        assert!(held > 1.35 * free && held < 1.0 / 0.7 * free, "{held}");
    }

    #[test]
    fn draft_takes_the_friction_away() {
        let straight = grip(1e-3);
        let force = straight.force(3.8e6);
        assert!((force - 0.2 * 3.8e6 * 2.0 * PI * 5e-5).abs() < 1e-9, "{force}");
        let drafted = Grip { draft: 2.0_f64.to_radians(), ..straight };
        assert!(drafted.force(3.8e6) < 0.85 * force);
        let angle = straight.releasing_draft();
        assert!((angle - 0.2_f64.atan()).abs() < 1e-12, "{angle}");
        assert!(Grip { draft: angle + 1e-6, ..straight }.force(3.8e6) == 0.0);
    }
}
