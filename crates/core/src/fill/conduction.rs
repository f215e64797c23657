//! Heat in one section: storage, flow through, conduction across the gap, dissipation.

use crate::cavity::Layers;
use crate::feedstock::{HeatContent, Material};
use crate::wall::Wall;
use gatefrost_numerics::lanes::{Number, dot};

/// A section and its wall in one implicit step.
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
    /// Heat lost through the side walls per kelvin, see [`Wall::sink`].
    pub sink: f64,
}

/// Most rounds of linearisation; latent heat makes the step nonlinear.
pub(crate) const MOST_ROUNDS: u32 = 6;
/// Difference between temperature and heat content that is accepted \[K\].
pub(crate) const AGREEMENT: f64 = 0.1;

impl<'a> Section<'a> {
    /// A section of a half gap \[m\] over a time \[s\].
    pub fn new(material: &'a Material, layers: &'a Layers, half_gap: f64, time: f64, wall: Wall) -> Self {
        Self {
            layers,
            heat: &material.heat,
            share: material.diffusivity() * time / (half_gap * half_gap),
            biot: wall.contact * half_gap / material.conductivity,
            wall: wall.temperature,
            sink: wall.sink,
        }
    }

    /// Solves weight_j Θ_j + (conduction out of layer j at T) = right_j for the layers of the section, with the heat
    /// content Θ = Θ(T) \[K\]; weights and right sides are relative to the section's volume. Returns the heat lost to the
    /// wall in the same measure \[K\]. `scratch` is space for four numbers a layer.
    ///
    /// Newton's method on T in the piecewise linear Θ(T), from the temperatures given. Heat is conserved to rounding
    /// however many rounds are made, because the contents follow from the linear system that was solved.
    pub fn solve(
        &self,
        weight: &[f64],
        right: &[f64],
        temperature: &mut [f64],
        content: &mut [f64],
        scratch: &mut [f64],
    ) -> f64 {
        let count = self.layers.count();
        let (linear, scratch) = scratch.split_at_mut(3 * count);
        let (heavy, linear) = linear.split_at_mut(count);
        let (loaded, capacity) = linear.split_at_mut(count);
        // Slices of one known length, so that the loops need no further checks.
        let (weight, right, area) = (&weight[..count], &right[..count], &self.layers.area[..count]);
        let (temperature, content) = (&mut temperature[..count], &mut content[..count]);
        let to_wall = self.share * self.layers.wall_conductance(self.biot);
        let line = AcrossGap { layers: self.layers, share: self.share, to_wall, wall: self.wall };
        let mut lost = 0.0;
        for _ in 0..MOST_ROUNDS {
            // Θ = offset + capacity·T around the present T.
            self.heat.tangents(temperature, content, capacity);
            for j in 0..count {
                let sink = self.sink * area[j];
                heavy[j] = weight[j] * capacity[j] + sink;
                loaded[j] = right[j] - weight[j] * content[j] + sink * self.wall;
            }
            line.solve(|j| (heavy[j], loaded[j]), temperature, scratch);
            lost = to_wall * (temperature[count - 1] - self.wall);
            if self.sink > 0.0 {
                // The areas of the layers add up to one.
                lost += self.sink * (dot(area, temperature) - self.wall);
            }
            for j in 0..count {
                content[j] += capacity[j] * temperature[j];
            }
            let settled = &mut heavy[..count];
            self.heat.temperatures(content, settled);
            let mut unsettled = 0_u64;
            for j in 0..count {
                unsettled += u64::from((settled[j] - temperature[j]).abs() >= AGREEMENT);
                temperature[j] = settled[j];
            }
            if unsettled == 0 {
                break;
            }
        }
        lost
    }
}

/// Conduction across the gap of one section, or of several side by side.
pub(crate) struct AcrossGap<'a, N> {
    /// Layers of the sections.
    pub layers: &'a Layers,
    /// αΔt/H² of the step.
    pub share: N,
    /// The same times the conductance to the wall.
    pub to_wall: N,
    /// Wall temperature \[K\].
    pub wall: N,
}

/// State of the elimination behind the last row: that row holds `kept` of 1 against its neighbour and `passed` with the
/// conductance between them; its solution would be `value` if the neighbour's were zero.
struct Behind<N> {
    kept: N,
    passed: N,
    value: N,
}

impl<N: Number> Behind<N> {
    /// Eliminates a row between the conductances `back` and `on`; returns the factor by which it follows the next.
    #[inline(always)]
    fn take(&mut self, (weight, right): (N, N), back: N, on: N) -> N {
        let own = weight + self.passed;
        let inverse = N::all(1.0) / (own + on);
        self.kept = own * inverse;
        // Computed before `value`: the next row waits for this alone.
        self.passed = own * on * inverse;
        self.value = (right + back * self.value) * inverse;
        on * inverse
    }
}

impl<N: Number> AcrossGap<'_, N> {
    /// Solves weight_j x_j + conduction = right_j, with both from `row`; `follows` is scratch space for one number a
    /// layer.
    ///
    /// Eliminates without subtractions, from the middle and from the wall at once: two chains of divisions that do not
    /// wait for each other.
    #[inline(always)]
    pub fn solve(&self, row: impl Fn(usize) -> (N, N), x: &mut [N], follows: &mut [N]) {
        let count = self.layers.count();
        let half = count / 2;
        // Slices of known lengths, so that the loops need few further checks.
        let conductance = &self.layers.conductance[..count - 1];
        let (x, follows) = (&mut x[..count], &mut follows[..count]);
        let face = |j: usize| self.share * N::all(conductance[j]);
        let zero = N::all(0.0);
        let mut inner = Behind { kept: zero, passed: zero, value: zero };
        let mut outer = Behind { kept: N::all(1.0), passed: self.to_wall, value: self.wall };
        let (mut before, mut after) = (zero, self.to_wall);
        for k in 0..count - half {
            let j = count - 1 - k;
            // The wall's side has one row more if the count is odd.
            if k < half {
                let on = face(k);
                follows[k] = inner.take(row(k), before, on);
                x[k] = inner.value;
                before = on;
            }
            let back = face(j - 1);
            follows[j] = outer.take(row(j), after, back);
            x[j] = outer.value;
            after = back;
        }
        // Where they meet: x_i = a + e x_j and x_j = b + f x_i, with 1 − e f = (1 − e) + e (1 − f).
        let e = follows[half - 1];
        let mut up = (inner.value + e * outer.value) / (inner.kept + e * outer.kept);
        let mut down = outer.value + follows[half] * up;
        (x[half - 1], x[half]) = (up, down);
        for k in 1..count - half {
            if k < half {
                let i = half - 1 - k;
                up = x[i] + follows[i] * up;
                x[i] = up;
            }
            down = x[half + k] + follows[half + k] * down;
            x[half + k] = down;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cavity::Kind;

    /// The rows of the system, with as many layers on either side of where the eliminations meet, and not.
    #[test]
    fn the_line_solves_its_rows() {
        for count in [3, 4, 7, 20, 21] {
            let layers = Layers::new(Kind::Round, count);
            for (share, to_wall) in [(1e-4, 0.3), (0.1, 40.0), (50.0, 1e-6)] {
                let right = |j: usize| 400.0 + 30.0 * (2.3 * j as f64).sin();
                let row = |j: usize| (layers.area[j], layers.area[j] * right(j));
                let (mut x, mut follows) = (vec![0.0; count], vec![0.0; count]);
                AcrossGap { layers: &layers, share, to_wall, wall: 310.0 }.solve(row, &mut x, &mut follows);
                for j in 0..count {
                    let flow = |face: usize| share * layers.conductance[face] * (x[face] - x[face + 1]);
                    let inwards = if j > 0 { flow(j - 1) } else { 0.0 };
                    let out = if j + 1 < count { flow(j) } else { to_wall * (x[j] - 310.0) };
                    let (weight, right) = row(j);
                    let missing = weight * x[j] + out - inwards - right;
                    let scale = 400.0 * (weight + share * layers.conductance[count - 2] + to_wall);
                    assert!(missing.abs() < 1e-13 * scale, "{count} layers, {share}, row {j}: {missing}");
                }
            }
        }
    }

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
                let section = Section {
                    layers: &layers,
                    heat: &heat,
                    share: 0.02,
                    biot: 20.0,
                    wall: 310.0,
                    sink: 1e-3,
                };
                let lost = section.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
                assert!((before - lost - total(&content)).abs() < 1e-10);
                // Colder than the wall or hotter than the melt would be made up.
                assert!(t.iter().all(|&t| t > 309.5 && t < 430.5), "{t:?}");
            }
            assert!(t[0] < 315.0, "it has set: {t:?}");
        }
    }
}
