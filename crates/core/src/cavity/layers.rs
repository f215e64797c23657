//! Layers over the half gap, in y/H: shared by every section of one kind.

use gatefrost_numerics::elementary::Elementary;

/// Kind of cross-section a passage has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Flat gap: y from the middle plane to the wall.
    Flat,
    /// Round: r from the axis to the wall.
    Round,
}

impl Kind {
    /// 0 for flat, 1 for round: the power of y in the area element.
    pub fn power(self) -> i32 {
        match self {
            Self::Flat => 0,
            Self::Round => 1,
        }
    }
}

/// Geometry of the layers in the normalised coordinate ŷ = y/H (r/R), from middle to wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// Kind of section.
    pub kind: Kind,
    /// Faces ŷ, one more than layers, from 0 to 1.
    pub faces: Vec<f64>,
    /// Where each layer's fluidity is taken: centroid of its weight in the flow integral.
    pub stress_points: Vec<f64>,
    /// ln of `stress_points`.
    pub log_stress_points: Vec<f64>,
    /// Share of the section's area.
    pub area: Vec<f64>,
    /// Weight of each layer's fluidity in the flow: ∫ŷ²dŷ flat, ∫r̂³dr̂ round.
    pub flow_weight: Vec<f64>,
    /// Rise of velocity across a layer per fluidity, ∫ŷ dŷ.
    pub shear_weight: Vec<f64>,
    /// Flow inside a layer per fluidity beyond that of its outer velocity, as a share of the area:
    /// ∫(ŷ₊² − ŷ²)/2 dA/A.
    pub inner_weight: Vec<f64>,
    /// Share of each layer in the slip of a section whose melt flows everywhere; empty where nothing slips.
    pub slip_weight: Vec<f64>,
    /// Conductance of the inner faces in k/H² per volume; the wall's is added per section.
    pub conductance: Vec<f64>,
    /// Distance from the middle of the last layer to the wall.
    pub wall_distance: f64,
}

impl Layers {
    /// `count` layers clustered at the wall: ŷ = 1 − (1 − ξ)^q with q = 1.6, ξ in equal steps.
    ///
    /// The clustering puts a fifth of the layers into the outer tenth of the gap, where the frozen
    /// layer and the shear heating are.
    pub fn new(kind: Kind, count: usize) -> Self {
        let face = |j: usize| 1.0 - (1.0 - j as f64 / count as f64).power(1.6);
        let p = kind.power();
        let dimension = f64::from(1 + p);
        let none = || Vec::with_capacity(count);
        let mut layers = Self {
            kind,
            faces: vec![0.0],
            stress_points: none(),
            log_stress_points: none(),
            area: none(),
            flow_weight: none(),
            shear_weight: none(),
            inner_weight: none(),
            slip_weight: Vec::new(),
            conductance: none(),
            wall_distance: 0.0,
        };
        let (mut start, mut middle) = (0.0, 0.0);
        for j in 0..count {
            let end = face(j + 1);
            // ∫ŷ^(n−1)dŷ over the layer.
            let span = |n: i32| (f64::powi(end, n) - f64::powi(start, n)) / f64::from(n);
            let (area, flow) = (dimension * span(1 + p), span(3 + p));
            let point = span(4 + p) / flow;
            layers.faces.push(end);
            layers.stress_points.push(point);
            layers.log_stress_points.push(point.logarithm());
            layers.area.push(area);
            layers.flow_weight.push(flow);
            layers.shear_weight.push(span(2));
            layers.inner_weight.push(0.5 * (end * end * area - dimension * flow));
            let before = middle;
            middle = 0.5 * (start + end);
            if j > 0 {
                layers.conductance.push(dimension * f64::powi(start, p) / (middle - before));
            }
            start = end;
        }
        layers.wall_distance = 1.0 - middle;
        layers
    }

    /// The same layers for melt that slips with a velocity ∝ τ^s. What flows inside the face ŷ, with the share of the area
    /// A(ŷ), slips along that face at the stress τ_w ŷ: Q_s ∝ A ŷ^s. A layer adds what this rises by across it.
    pub fn slipping(self, exponent: f64) -> Self {
        let dimension = f64::from(1 + self.kind.power());
        let inside = |face: f64| face.power(dimension + exponent);
        let slip_weight = self.faces.windows(2).map(|face| inside(face[1]) - inside(face[0])).collect();
        Self { slip_weight, ..self }
    }

    /// How many layers.
    pub fn count(&self) -> usize {
        self.area.len()
    }

    /// Mean over the section of one value a layer.
    pub fn mean(&self, values: &[f64]) -> f64 {
        values.iter().zip(&self.area).map(|(value, area)| value * area).sum()
    }

    /// Conductance of the wall face in k/H² per volume for the Biot number h_c H/k.
    pub fn wall_conductance(&self, biot: f64) -> f64 {
        f64::from(1 + self.kind.power()) / (self.wall_distance + 1.0 / biot)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_tile_the_section_and_integrate_polynomials() {
        for (kind, flow) in [(Kind::Flat, 1.0 / 3.0), (Kind::Round, 0.25)] {
            let layers = Layers::new(kind, 20);
            let sum = |v: &[f64]| v.iter().sum::<f64>();
            assert!((sum(&layers.area) - 1.0).abs() < 1e-14);
            assert!((sum(&layers.flow_weight) - flow).abs() < 1e-14);
            assert!((sum(&layers.shear_weight) - 0.5).abs() < 1e-14);
        }
    }
}
