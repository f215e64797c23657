//! Heat that a strip loses through its side walls.
//!
//! The temperature of a bar that cools on all sides is the product of that of a slab between its broad faces and that of
//! a slab between its side walls (Carslaw and Jaeger, section 5.6, from memory). The layers hold the first, as a mean
//! over the width. The mean m of the second falls from 1, and how fast depends on m alone: with F = αt/W² and the half
//! width W, m = 1 − 2√(F/π) while the middle is hot, and ∝ exp(−π²F/4) after that. The two meet at m = ½ within 3 %.

use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::PI;

/// Mean over the width of the temperature above the wall, relative to that in the middle of the broad faces' slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side(f64);

impl Default for Side {
    /// Fresh melt.
    fn default() -> Self {
        Self(1.0)
    }
}

impl Side {
    /// Mixes in a volume of fresh melt, or of melt from a section before, per volume of this section.
    pub fn mix(&mut self, own: f64, added: f64, from: Self) {
        if own + added > 0.0 {
            self.0 = (own * self.0 + added * from.0) / (own + added);
        }
    }

    /// Cools for a Fourier number αΔt/W², the side walls having a Biot number h W/k. Returns the heat lost through them
    /// per kelvin above the wall and per heat capacity: the sink s of an implicit step, m → m/(1 + s).
    pub fn cool(&mut self, fourier: f64, biot: f64) -> f64 {
        if fourier <= 0.0 {
            return 0.0;
        }
        let bare = self.after(fourier);
        // Mean flux of the step if the wall had no resistance, and the resistance of the melt that goes with it.
        let flux = (self.0 - bare) / fourier;
        let resistance = if flux > 0.0 { bare / flux } else { 0.0 };
        let sink = fourier / (resistance + 1.0 / biot);
        self.0 /= 1.0 + sink;
        sink
    }

    /// m after a Fourier number, walls without resistance.
    fn after(&self, fourier: f64) -> f64 {
        let m = self.0;
        let mut left = fourier;
        let mut m_now = m;
        if m > 0.5 {
            let gone = 1.0 - m;
            // (1 − m)² grows by 4F/π up to ¼.
            let until = 0.25 * PI * (0.25 - gone * gone);
            if left <= until {
                return 1.0 - (gone * gone + 4.0 / PI * left).sqrt();
            }
            left -= until;
            m_now = 0.5;
        }
        m_now * (-0.25 * PI * PI * left).exponential()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean of a slab from its series (Carslaw and Jaeger, section 3.3, from memory).
    fn series(fourier: f64) -> f64 {
        let odd = (0..400).map(|k| f64::from(2 * k + 1));
        odd.map(|j| 8.0 / (j * j * PI * PI) * (-0.25 * j * j * PI * PI * fourier).exp()).sum()
    }

    #[test]
    fn the_mean_follows_the_series_of_a_slab() {
        let mut side = Side::default();
        let step = 2e-3;
        for i in 1..1000 {
            side.cool(step, 1e9);
            let exact = series(step * f64::from(i));
            assert!((side.0 - exact).abs() < 0.012, "{i}: {} against {exact}", side.0);
        }
    }

    #[test]
    fn a_poor_contact_decides_alone() {
        let (mut side, biot) = (Side::default(), 0.01);
        for _ in 0..1000 {
            side.cool(0.01, biot);
        }
        let lumped = (-biot * 10.0_f64).exp();
        assert!((side.0 / lumped - 1.0).abs() < 0.01, "{} against {lumped}", side.0);
    }
}
