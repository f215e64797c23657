//! Heat in one section: storage, flow through, conduction across the gap, dissipation.

use crate::cavity::Layers;
use crate::feedstock::HeatContent;
use crate::order::greater;

/// A section and what its wall does to it in one implicit step.
pub struct Section<'a> {
    /// Layers of the section.
    pub layers: &'a Layers,
    /// Heat content of the material.
    pub heat: &'a HeatContent,
    /// Fourier number αΔt/H² of the step, times the share of the section that is full.
    pub share: f64,
    /// Biot number h_c H/k of the wall.
    pub biot: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
}

/// Rounds of linearisation at most, where latent heat makes the step nonlinear.
pub(crate) const MOST_ROUNDS: u32 = 6;
/// Disagreement of temperature and heat content that is let pass \[K\].
pub(crate) const AGREEMENT: f64 = 0.1;

impl Section<'_> {
    /// Solves weight_j Θ_j + (conduction out of layer j at T) = right_j, with Θ = Θ(T) the heat content
    /// in kelvin, for the layers of the section; weights and right sides are relative to its volume.
    /// Returns the heat lost to the wall in the same measure \[K\].
    ///
    /// `scratch` is room for four numbers a layer.
    ///
    /// Newton on T from the state given, in piecewise linear Θ(T). Heat is conserved to rounding
    /// whenever it stops: the contents follow from the linear system that was solved.
    pub fn solve(
        &self,
        weight: &[f64],
        right: &[f64],
        temperature: &mut [f64],
        content: &mut [f64],
        scratch: &mut [f64],
    ) -> f64 {
        if self.heat.is_plain() {
            let lost = self.eliminate(weight, right, temperature, scratch);
            content.copy_from_slice(temperature);
            return lost;
        }
        let count = self.layers.count();
        let (linear, scratch) = scratch.split_at_mut(3 * count);
        let (heavy, linear) = linear.split_at_mut(count);
        let (loaded, capacity) = linear.split_at_mut(count);
        let (weight, right) = (&weight[..count], &right[..count]);
        let (temperature, content) = (&mut temperature[..count], &mut content[..count]);
        let mut lost = 0.0;
        for _ in 0..MOST_ROUNDS {
            for j in 0..count {
                let t = temperature[j];
                capacity[j] = self.heat.capacity(t);
                // Θ = offset + capacity·T around the present T.
                content[j] = self.heat.of(t) - capacity[j] * t;
                heavy[j] = weight[j] * capacity[j];
                loaded[j] = right[j] - weight[j] * content[j];
            }
            lost = self.eliminate(heavy, loaded, temperature, scratch);
            let mut worst = 0.0_f64;
            for j in 0..count {
                content[j] += capacity[j] * temperature[j];
                let settled = self.heat.temperature(content[j]);
                worst = greater(worst, (settled - temperature[j]).abs());
                temperature[j] = settled;
            }
            if worst < AGREEMENT {
                break;
            }
        }
        lost
    }

    /// Thomas's algorithm on weight_j x_j + conduction = right_j.
    fn eliminate(&self, weight: &[f64], right: &[f64], x: &mut [f64], scratch: &mut [f64]) -> f64 {
        let count = self.layers.count();
        // Slices of one known length, so that the loop below needs no further checks.
        let (conductance, weight) = (&self.layers.conductance[..count - 1], &weight[..count]);
        let (right, x, scratch) = (&right[..count], &mut x[..count], &mut scratch[..count]);
        let wall = self.share * self.layers.wall_conductance(self.biot);
        // `scratch` holds the eliminated upper diagonal, `kept` what it leaves of 1.
        let (mut lower, mut kept, mut previous) = (0.0, 0.0, 0.0);
        for j in 0..count {
            let (upper, to_wall) =
                if j + 1 < count { (self.share * conductance[j], 0.0) } else { (0.0, wall) };
            let own = weight[j] + lower * kept + to_wall;
            let inverse = 1.0 / (own + upper);
            kept = own * inverse;
            previous = (right[j] + to_wall * self.wall + lower * previous) * inverse;
            scratch[j] = upper * inverse;
            x[j] = previous;
            lower = upper;
        }
        let mut next = previous;
        for (t, e) in x.iter_mut().zip(scratch.iter()).rev().skip(1) {
            next = *t + e * next;
            *t = next;
        }
        wall * (x[count - 1] - self.wall)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cavity::Kind;

    #[test]
    fn heat_is_conserved_through_setting() {
        let layers = Layers::new(Kind::Flat, 12);
        for (range, latent) in [(20.0, 18.0), (1.0, 150.0)] {
            let heat = HeatContent::new(60.0, 60.0 + range, latent);
            let mut t = vec![430.0; 12];
            let mut content: Vec<f64> = t.iter().map(|&t| heat.of(t)).collect();
            let mut scratch = vec![0.0; 48];
            let total = |c: &[f64]| layers.mean(c);
            for _ in 0..600 {
                let before = total(&content);
                let right: Vec<f64> = content.iter().zip(&layers.area).map(|(c, a)| c * a).collect();
                let section = Section { layers: &layers, heat: &heat, share: 0.02, biot: 20.0, wall: 310.0 };
                let lost = section.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
                assert!((before - lost - total(&content)).abs() < 1e-10);
                // Colder than the wall or hotter than the melt would be made up.
                assert!(t.iter().all(|&t| t > 309.5 && t < 430.5), "{t:?}");
            }
            assert!(t[0] < 315.0, "it has set: {t:?}");
        }
    }
}
