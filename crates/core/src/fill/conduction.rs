//! Heat in one section: storage, flow through, conduction across the gap, dissipation.

use crate::cavity::Layers;

/// Coefficients of one implicit step in a section, per volume and ρc_p.
pub struct Step<'a> {
    /// Layers of the section.
    pub layers: &'a Layers,
    /// Share of the section that was full at the start of the step (1 for a full cell).
    pub before: f64,
    /// Share of the section that is full at its end.
    pub after: f64,
    /// Fourier number αΔt/H² of the step.
    pub fourier: f64,
    /// Biot number h_c H/k of the wall.
    pub biot: f64,
    /// Wall temperature \[K\].
    pub wall: f64,
}

/// Backward Euler step of the layers' temperatures.
///
/// `inflow[j]` is (volume that enters layer j, its temperature) and `outflow[j]` the volume that
/// leaves it, both relative to the section's volume; `heat[j]` is the temperature rise times volume
/// share that dissipation brings. Returns the heat lost to the wall in the same measure \[K\].
pub fn step(
    s: &Step<'_>,
    temperature: &mut [f64],
    inflow: &[(f64, f64)],
    outflow: &[f64],
    heat: &[f64],
    scratch: &mut [f64],
) -> f64 {
    let count = s.layers.count();
    // Slices of one known length, so that the loop below needs no further checks.
    let (area, conductance) = (&s.layers.area[..count], &s.layers.conductance[..count - 1]);
    let (temperature, scratch) = (&mut temperature[..count], &mut scratch[..count]);
    let (inflow, outflow, heat) = (&inflow[..count], &outflow[..count], &heat[..count]);
    let share = 0.5 * (s.before + s.after) * s.fourier;
    let wall = share * s.layers.wall_conductance(s.biot);
    // Thomas's algorithm; `scratch` holds the eliminated upper diagonal, `kept` what it leaves of 1.
    let (mut lower, mut kept, mut previous) = (0.0, 0.0, 0.0);
    for j in 0..count {
        let (upper, to_wall) = if j + 1 < count { (share * conductance[j], 0.0) } else { (0.0, wall) };
        let (volume, arriving) = inflow[j];
        let own = s.after * area[j] + outflow[j] + lower * kept + to_wall;
        let right = s.before * area[j] * temperature[j]
            + volume * arriving
            + heat[j]
            + to_wall * s.wall
            + lower * previous;
        let inverse = 1.0 / (own + upper);
        kept = own * inverse;
        previous = right * inverse;
        scratch[j] = upper * inverse;
        temperature[j] = previous;
        lower = upper;
    }
    let mut next = previous;
    for (t, e) in temperature.iter_mut().zip(scratch.iter()).rev().skip(1) {
        next = *t + e * next;
        *t = next;
    }
    wall * (temperature[count - 1] - s.wall)
}

/// The matrix of a conduction step without flow, factored once for several right-hand sides.
#[derive(Debug, Clone, Default)]
pub struct Factors {
    /// (lower diagonal, inverse pivot, eliminated upper diagonal) of each layer.
    rows: Vec<(f64, f64, f64)>,
    wall: f64,
}

impl Factors {
    /// Factors the matrix of a full section.
    pub fn set(&mut self, layers: &Layers, fourier: f64, biot: f64) {
        self.wall = fourier * layers.wall_conductance(biot);
        self.rows.clear();
        let (mut lower, mut kept) = (0.0, 0.0);
        for (j, area) in layers.area.iter().enumerate() {
            let upper = layers.conductance.get(j).map_or(0.0, |c| fourier * c);
            let to_wall = if j + 1 < layers.count() { 0.0 } else { self.wall };
            let own = area + lower * kept + to_wall;
            let inverse = 1.0 / (own + upper);
            kept = own * inverse;
            self.rows.push((lower, inverse, upper * inverse));
            lower = upper;
        }
    }

    /// Backward Euler: solves for the temperatures that follow `temperature`, in place.
    pub fn solve(&self, layers: &Layers, wall: f64, temperature: &mut [f64]) {
        let last = self.rows.len() - 1;
        let mut previous = 0.0;
        // The wall's heat enters the last row alone.
        let mut at_wall = 0.0;
        for (j, ((t, area), (lower, inverse, _))) in
            temperature.iter_mut().zip(&layers.area).zip(&self.rows).enumerate()
        {
            if j == last {
                at_wall = self.wall * wall;
            }
            previous = (area * *t + lower * previous + at_wall) * inverse;
            *t = previous;
        }
        let mut next = previous;
        for (t, (_, _, eliminated)) in temperature.iter_mut().zip(&self.rows).rev().skip(1) {
            next = *t + eliminated * next;
            *t = next;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cavity::Kind;

    #[test]
    fn the_factored_step_is_the_step_without_flow() {
        let layers = Layers::new(Kind::Round, 9);
        let s = Step { layers: &layers, before: 1.0, after: 1.0, fourier: 0.03, biot: 7.0, wall: 310.0 };
        let mut direct: Vec<f64> = (0..9).map(|j| 430.0 - 5.0 * f64::from(j)).collect();
        let mut factored = direct.clone();
        step(&s, &mut direct, &[(0.0, 0.0); 9], &[0.0; 9], &[0.0; 9], &mut [0.0; 9]);
        let mut factors = Factors::default();
        factors.set(&layers, s.fourier, s.biot);
        factors.solve(&layers, s.wall, &mut factored);
        assert!(direct.iter().zip(&factored).all(|(a, b)| (a - b).abs() < 1e-11), "{direct:?} {factored:?}");
    }
}
