//! The pressure of the gas that a decomposing binder makes inside a wall.
//!
//! The gas leaves through the pores by Darcy's law. With the same source Γ everywhere and an ideal gas, the pressure in
//! the middle is
//!
//!   p² = p₀² + μ R T Γ a²/(s K M),   s = 1 for a slab, 2 for a cylinder,
//!
//! and the permeability follows Carman and Kozeny, K = ε³ d²/[180 (1 − ε)²]. Sources: integration of Darcy's law for a
//! compressible gas (closed form); Carman–Kozeny from memory.

use super::diffusion::Section;
use super::kinetics::GAS;

/// The gas and the atmosphere around the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Atmosphere {
    /// Pressure p₀ outside the part, Pa.
    pub pressure: f64,
    /// Viscosity μ of the gas, Pa·s.
    pub viscosity: f64,
    /// Molar mass M of the gas, kg/mol.
    pub molar_mass: f64,
}

/// Permeability K of a bed with porosity `porosity` of grains of diameter `grain` \[m\], m².
pub fn permeability(porosity: f64, grain: f64) -> f64 {
    let solid = 1.0 - porosity;
    porosity * porosity * porosity * grain * grain / (180.0 * solid * solid)
}

impl Atmosphere {
    /// Pressure in the middle of a section above that outside, Pa.
    ///
    /// `source` is Γ, the gas made in the volume of the part, kg/m³s; `temperature` in K; `permeability` in m².
    pub fn excess(self, section: Section, source: f64, temperature: f64, permeability: f64) -> f64 {
        let shape = match section {
            Section::Slab { .. } => 1.0,
            Section::Cylinder { .. } => 2.0,
        };
        let depth = section.depth();
        let squares = self.viscosity * GAS * temperature * source * depth * depth
            / (shape * permeability * self.molar_mass);
        // √(p₀² + x) − p₀ without the loss of digits for a small x.
        squares / ((self.pressure * self.pressure + squares).sqrt() + self.pressure)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const AIR: Atmosphere = Atmosphere { pressure: 101_325.0, viscosity: 2.5e-5, molar_mass: 0.05 };

    /// Half thickness 2 mm, grains of 10 µm, 700 K, 0.03 kg/m³s: open pores hold the gas back by 0.25 kPa, nearly closed
    /// ones by 0.19 MPa (closed form, worked out by hand).
    #[test]
    fn open_pores_let_the_gas_out_and_closed_ones_do_not() {
        let wall = Section::Slab { half: 2e-3 };
        let at = |porosity: f64| AIR.excess(wall, 0.03, 700.0, permeability(porosity, 10e-6));
        assert!((at(0.20) / 248.2 - 1.0).abs() < 0.01, "{}", at(0.20));
        assert!((at(0.02) / 1.9e5 - 1.0).abs() < 0.02, "{}", at(0.02));
    }

    /// Finite volumes of p dp/dx against the closed form, for a rod.
    #[test]
    fn a_rod_follows_darcys_law() {
        let (rod, k, source, t) = (Section::Cylinder { radius: 3e-3 }, 2e-15, 0.05, 650.0);
        let cells = 2000;
        let dr = 3e-3 / f64::from(cells);
        // From the surface inwards: the flux at radius r carries what is made inside it, Γ r/2.
        let mut p = AIR.pressure;
        for i in (0..cells).rev() {
            let r = (f64::from(i) + 0.5) * dr;
            // Midpoint rule on d(p²)/dr = −2 p dp/dr.
            let slope = 2.0 * source * r / 2.0 * AIR.viscosity * GAS * t / (k * AIR.molar_mass);
            p = (p * p + slope * dr).sqrt();
        }
        let found = AIR.excess(rod, source, t, k);
        assert!((found / (p - AIR.pressure) - 1.0).abs() < 1e-6, "{found} against {}", p - AIR.pressure);
    }
}
