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
    /// Wall temperature [K].
    pub wall: f64,
}

/// Backward Euler step of the layers' temperatures.
///
/// `inflow[j]` is (volume that enters layer j, its temperature) and `outflow[j]` the volume that
/// leaves it, both relative to the section's volume; `heat[j]` is the temperature rise times volume
/// share that dissipation brings. Returns the heat lost to the wall in the same measure [K].
pub fn step(
    s: &Step<'_>,
    temperature: &mut [f64],
    inflow: &[(f64, f64)],
    outflow: &[f64],
    heat: &[f64],
    scratch: &mut [f64],
) -> f64 {
    let layers = s.layers;
    let count = layers.count();
    let share = 0.5 * (s.before + s.after) * s.fourier;
    let wall = share * layers.wall_conductance(s.biot);
    // Thomas's algorithm; `scratch` holds the eliminated upper diagonal.
    let mut lower = 0.0;
    for j in 0..count {
        let upper = if j + 1 < count { share * layers.conductance[j] } else { 0.0 };
        let to_wall = if j + 1 < count { 0.0 } else { wall };
        let area = layers.area[j];
        let mut diagonal = s.after * area + outflow[j] + lower + upper + to_wall;
        let (volume, arriving) = inflow[j];
        let mut right = s.before * area * temperature[j] + volume * arriving + heat[j] + to_wall * s.wall;
        if j > 0 {
            diagonal -= lower * scratch[j - 1];
            right += lower * temperature[j - 1];
        }
        scratch[j] = upper / diagonal;
        temperature[j] = right / diagonal;
        lower = upper;
    }
    for j in (0..count - 1).rev() {
        temperature[j] += scratch[j] * temperature[j + 1];
    }
    wall * (temperature[count - 1] - s.wall)
}
