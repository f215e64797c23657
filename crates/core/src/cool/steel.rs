//! From the coolant to the surface of the cavity steel.
//!
//! The mean heat of the cycle goes from the surface through the steel to the drillings, through the film into the water,
//! and warms it. With q' the heat for each length of drilling:
//!
//!   T_s = T_c + ΔT/2 + q'/(π k_w Nu) + q'/(k_s S'),  ΔT = Q/(V̇ ρc) for all circuits together.
//!
//! Film: Nu = 0.023 Re^0.8 Pr^0.4 above Re = 10⁴ (Dittus and Boelter for a fluid that is heated, as in the package ht),
//! 4.36 below 2300 (laminar, constant heat flux), and between them on the straight line in Re that Gnielinski proposed
//! (from memory). Entry lengths and bends make the film thinner and are left out.
//!
//! Steel: a row of drillings of bore D at the pitch w, their middle z below a plane. The textbooks' shape factor is
//! S' = 2π/ln[(2w/πD) sinh(2πz/w)] (Çengel, Heat Transfer, table of shape factors; Holman alike, from memory). It takes
//! each drilling as a line of heat. The heat leaves on one side only, so that the bore is a dipole, too, which takes
//! [(πD/2w) coth(2πz/w)]² off the logarithm (method of images to second order, closed form). Without it S' is 5 % less
//! in the usual case.

use gatefrost_numerics::elementary::Elementary;
use std::f64::consts::PI;

/// Reynolds numbers at which the flow ceases to be laminar, and from which it is turbulent.
const TRANSITION: [f64; 2] = [2300.0, 1e4];
/// Nusselt number of laminar flow with a constant heat flux.
const LAMINAR: f64 = 4.36;
/// Temperatures between which the properties of water hold \[°C\].
const LIQUID: [f64; 2] = [0.0, 180.0];

/// Water under enough pressure to stay liquid.
struct Water {
    /// Volumetric heat capacity \[J/m³K\].
    heat: f64,
    /// Conductivity \[W/mK\].
    conductivity: f64,
    /// Density \[kg/m³\].
    density: f64,
    /// Viscosity \[Pa·s\].
    viscosity: f64,
}

impl Water {
    /// At a temperature \[K\]; fits to IAPWS-95 and the IAPWS correlations at 1 MPa from 2 to 170 °C, from the package
    /// chemicals 1.5.2: to 0.2 % in ρ and ρc, 1 % in k, 1.2 % in η.
    fn at(temperature: f64) -> Self {
        let t = (temperature - crate::feedstock::ZERO_CELSIUS).clamp(LIQUID[0], LIQUID[1]);
        Self {
            heat: 4.211e6 - (1628.0 + 0.7495 * t) * t,
            conductivity: 0.5629 + (1.897e-3 - 7.382e-6 * t) * t,
            density: 1002.8 - (0.1658 + 2.696e-3 * t) * t,
            viscosity: (563.5 / (t + 132.28) - 10.6024).exponential(),
        }
    }
}

/// Volumetric heat capacity of water at a temperature \[K\], in J/m³K.
pub fn heat_of_water(temperature: f64) -> f64 {
    Water::at(temperature).heat
}

/// How the water flows in the drillings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// Re below 2300.
    Laminar,
    /// Between: the film is known only roughly.
    Between,
    /// Re above 10⁴.
    Turbulent,
}

/// Drillings that carry water past the cavity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circuits {
    /// Set point of the coolant: its temperature where it enters the mould \[K\].
    pub coolant: f64,
    /// Volume flow of all circuits together \[m³/s\].
    pub flow: f64,
    /// Circuits side by side.
    pub count: f64,
    /// Bore of the drillings \[m\].
    pub bore: f64,
    /// Distance between their middles \[m\].
    pub pitch: f64,
    /// Depth of their middles below the surface of the cavity \[m\].
    pub depth: f64,
    /// Length of all drillings together, where they pass the cavity \[m\].
    pub length: f64,
    /// Conductivity of the steel \[W/mK\].
    pub conductivity: f64,
}

/// The surface of the steel, and what lies between it and the coolant's set point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Mean temperature of the surface over the cycle \[K\].
    pub temperature: f64,
    /// Rise of the water through the mould \[K\]. Half of it is the mean's.
    pub rise: f64,
    /// From the water to the wall of the bore \[K\].
    pub film: f64,
    /// From the wall of the bore to the surface \[K\].
    pub steel: f64,
    /// Reynolds number in the drillings.
    pub reynolds: f64,
    /// Nusselt number of the film there.
    pub nusselt: f64,
    /// How the water flows.
    pub regime: Regime,
}

/// Rise of the water's temperature \[K\] that takes up a mean heat \[W\]: ΔT = Q/(V̇ ρc), with the flow V̇ \[m³/s\] and ρc at
/// the temperature \[K\] at which the water enters, between 0 and 180 °C.
pub fn water_rise(heat: f64, flow: f64, coolant: f64) -> f64 {
    heat / (flow * Water::at(coolant).heat)
}

/// Nu of water in a drilling.
fn nusselt(reynolds: f64, prandtl: f64) -> f64 {
    let turbulent = |re: f64| 0.023 * re.power(0.8) * prandtl.power(0.4);
    let [laminar, rough] = TRANSITION;
    let share = ((reynolds - laminar) / (rough - laminar)).clamp(0.0, 1.0);
    if share < 1.0 { LAMINAR + share * (turbulent(rough) - LAMINAR) } else { turbulent(reynolds) }
}

impl Circuits {
    /// S', heat for each length of drilling, conductivity and kelvin. The pitch is at least 1.5 bores and the depth at
    /// least one, as [`crate::scenario::Scenario::validate`] asks.
    pub fn shape_factor(&self) -> f64 {
        let (pitch, across) = (self.pitch, PI * self.bore / (2.0 * self.pitch));
        let mirrored = (-4.0 * PI * self.depth / pitch).exponential();
        let ln_sinh = 2.0 * PI * self.depth / pitch + (0.5 * (1.0 - mirrored)).logarithm();
        let dipole = across * (1.0 + mirrored) / (1.0 - mirrored);
        2.0 * PI / (ln_sinh - across.logarithm() - dipole * dipole)
    }

    /// The surface with a mean heat \[W\] that all goes into the water. It is proportional to the heat but for the
    /// properties of water, which are taken at its mean temperature. `None` where the water would leave the mould hotter
    /// than 180 °C: then the flow is too small to take the heat.
    pub fn surface(&self, heat: f64) -> Option<Surface> {
        let rise = water_rise(heat, self.flow, self.coolant);
        if self.coolant + rise > LIQUID[1] + crate::feedstock::ZERO_CELSIUS {
            return None;
        }
        let mean = self.coolant + 0.5 * rise;
        let water = Water::at(mean);
        let reynolds = 4.0 * self.flow / self.count * water.density / (PI * self.bore * water.viscosity);
        let prandtl = water.viscosity * water.heat / (water.density * water.conductivity);
        let along = heat / self.length;
        let nusselt = nusselt(reynolds, prandtl);
        let film = along / (PI * water.conductivity * nusselt);
        let steel = along / (self.conductivity * self.shape_factor());
        let regime = match reynolds {
            re if re < TRANSITION[0] => Regime::Laminar,
            re if re < TRANSITION[1] => Regime::Between,
            _ => Regime::Turbulent,
        };
        Some(Surface { temperature: mean + film + steel, rise, film, steel, reynolds, nusselt, regime })
    }
}
