//! What the melt meets at its walls: steel that warms, and the side walls of a strip.

mod side;
mod steel;

pub use side::Side;
pub use steel::{Kernel, Steel, StepOfSteel, SurfaceHeat, TwoParts};

use crate::cavity::Cavity;

/// The walls of a section during one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Conductance between the melt and what has [`Self::temperature`] \[W/m²K\].
    pub contact: f64,
    /// Temperature behind that conductance \[K\].
    pub temperature: f64,
    /// Heat lost through the side walls during the step, per kelvin above the wall and per heat capacity of the section.
    pub sink: f64,
}

impl Wall {
    /// Puts warming steel behind the contact, whose surface has an excess temperature at the end of the step \[K\] if no heat
    /// comes, and rises with a resistance \[m²K/W\] with the heat that comes.
    pub fn warm(&mut self, excess: f64, resistance: f64) {
        self.temperature += excess;
        self.contact = 1.0 / (1.0 / self.contact + resistance);
    }
}

/// What the material meets, as it is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Conductance between melt and steel \[W/m²K\].
    pub conductance: f64,
    /// Conductance where the part has shrunk off the steel \[W/m²K\]; `None` if contact is never lost.
    pub released: Option<f64>,
    /// The steel, if it warms; `None` if it stays at its temperature.
    pub steel: Option<Steel>,
}

/// Pressure above which melt and steel touch fully \[Pa\]; below it, contact is lost in proportion. Order of magnitude,
/// from memory: a crystallising shell shrinks off the steel once no pressure holds it there.
const TOUCHING: f64 = 1e6;

impl Contact {
    /// How the steel at each passage of a path answers a heat flux; empty if the steel does not warm.
    pub fn kernels(&self, cavity: &Cavity) -> Vec<Kernel> {
        let of = |steel: Steel| {
            cavity.passages.iter().map(move |p| steel.kernel(p.steel_depth(steel.depth))).collect()
        };
        self.steel.map(of).unwrap_or_default()
    }

    /// Conductance at a pressure of the melt \[Pa\] during the hold \[W/m²K\].
    pub fn at(&self, pressure: f64) -> f64 {
        let Some(released) = self.released else { return self.conductance };
        let share = (pressure / TOUCHING).clamp(0.0, 1.0);
        // A gap that conducted better than the contact would be none.
        let released = released.min(self.conductance);
        released + share * (self.conductance - released)
    }
}
