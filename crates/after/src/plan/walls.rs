//! The walls of the part, as debinding finds them.

use crate::debinding::diffusion::Section;
use gatefrost_scenario::scenario::{Cavity, Form, Passage, Reached, Role};
use serde::Serialize;

/// A wall of the part.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Wall {
    /// Name of the passage that forms it.
    pub name: String,
    /// Position of that passage in the list.
    pub index: usize,
    /// Greatest thickness in the cavity, or the diameter of a rod.
    pub thickness_mm: f64,
    /// Whether it is a round rod.
    pub rod: bool,
    /// Whether both faces are reached, as the scenario states; `None` where it states nothing and one face is assumed.
    pub both_faces: Option<bool>,
    /// Greatest distance that the binder has to go.
    pub depth_mm: f64,
}

impl Wall {
    fn of(index: usize, name: String, passage: &Passage) -> Self {
        let thickness_mm = passage.form.depths().map(|(_, depth)| depth).fold(0.0, f64::max);
        let rod = matches!(passage.form, Form::Tube(_));
        let both_faces = passage.reached.map(|reached| reached == Reached::Both);
        // A rod is reached all round, whatever is said of faces.
        let depth_mm = if rod || both_faces == Some(true) { 0.5 * thickness_mm } else { thickness_mm };
        Self { name, index, thickness_mm, rod, both_faces, depth_mm }
    }
}

/// A section of a depth in mm.
pub(super) fn section(rod: bool, depth_mm: f64) -> Section {
    let depth = depth_mm * 1e-3;
    if rod { Section::Cylinder { radius: depth } } else { Section::Slab { half: depth } }
}

/// The walls of the parts, the thickest for debinding first, and the one for which `hours` is greatest before all others.
/// `None` stands for a time without end. Empty without a passage of the role "part".
pub(super) fn walls(cavity: &Cavity, hours: impl Fn(&Wall) -> Option<f64>) -> Vec<Wall> {
    let parts = cavity.passages.iter().enumerate().filter(|(_, p)| p.role == Role::Part);
    let mut walls: Vec<Wall> = parts.map(|(i, p)| Wall::of(i, cavity.told_name(i), p)).collect();
    walls.sort_by(|a, b| b.depth_mm.total_cmp(&a.depth_mm));
    // Of one form the deepest takes longest. How a rod compares with a slab depends on the steps: equal times in a bath are at
    // 0.6 of the depth or so, under the pressure of the gas at 0.7, and at one depth in an acid vapour.
    let first = |rod: bool| walls.iter().position(|wall| wall.rod == rod);
    if let (Some(slab), Some(rod)) = (first(false), first(true)) {
        let [of_slab, of_rod] = [slab, rod].map(|i| hours(&walls[i]).unwrap_or(f64::INFINITY));
        let shorter = of_rod.min(of_slab) * (1.0 + SAME);
        let governing = match of_rod > of_slab {
            _ if of_rod.max(of_slab) <= shorter => 0,
            true => rod,
            false => slab,
        };
        walls[..=governing].rotate_right(1);
    }
    walls
}

/// Relative difference of two times below which the deeper wall governs.
const SAME: f64 = 1e-6;
