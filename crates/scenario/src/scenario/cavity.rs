//! The flow path from the nozzle to the end of flow, passage by passage.

use crate::catalogue::parameters;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// What a passage is for. Decides which results refer to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// From the machine to the parting plane, along the opening direction.
    Sprue,
    /// In the parting plane, outside the part.
    Runner,
    /// The constriction whose freezing ends the packing.
    Gate,
    /// A section of the part itself.
    Part,
}

/// Direction of a passage's flow in the mould. With the angle of its wall it decides the projected area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Lies {
    /// Across the opening direction; where no angle is stated, in the parting plane.
    Across,
    /// Along the opening direction, or up the slope of an inclined wall; where no angle is stated, upright.
    Along,
}

/// The faces of a wall through which debinding reaches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Reached {
    /// Both faces.
    Both,
    /// One face, because the other lies on a setter or is closed.
    One,
}

/// The shape of a passage with its sizes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Round tube.
    Tube(Tube),
    /// Flat strip, wide against its thickness.
    Strip(Strip),
    /// Disc or sector, flowing outwards.
    Disc(Disc),
}

parameters! {
    /// Round tube, straight or tapering.
    pub struct Tube at "cavity.passages.*.form.tube" {
        required length = 50.0 in 0.01 to 5000.0, "L", "mm", "L", "Length",
            "Length along the flow.", "common practice";
        required diameter = 5.0 in 0.05 to 200.0, "D", "mm", "D", "Diameter",
            "Diameter where the flow enters.", "common practice";
        optional diameter_end = 5.0 in 0.05 to 200.0, "D_2", "mm", "D2", "Diameter at the end",
            "Diameter where the flow leaves; leave out for a straight tube.", "common practice";
    }
}

parameters! {
    /// Strip of rectangular section, straight or tapering in width, thickness or both.
    pub struct Strip at "cavity.passages.*.form.strip" {
        required length = 30.0 in 0.01 to 5000.0, "L", "mm", "L", "Length",
            "Length along the flow.", "common practice";
        required width = 10.0 in 0.05 to 5000.0, "w", "mm", "w", "Width",
            "Width across the flow where it enters; for a closed ring, the mean circumference.", "common practice";
        optional width_end = 10.0 in 0.05 to 5000.0, "w_2", "mm", "w2", "Width at the end",
            "Width where the flow leaves; leave out for a constant width.", "common practice";
        required thickness = 2.0 in 0.05 to 50.0, "h", "mm", "h", "Thickness",
            "Wall thickness (gap) where the flow enters.", "PIM walls 0.1 to 12.5 mm, common practice";
        optional thickness_end = 2.0 in 0.05 to 50.0, "h_2", "mm", "h2", "Thickness at the end",
            "Wall thickness where the flow leaves; leave out for a constant wall.", "PIM walls 0.1 to 12.5 mm, common practice";
    }
}

parameters! {
    /// Disc or sector of a disc, filled outwards.
    pub struct Disc at "cavity.passages.*.form.disc" {
        required inner_radius = 1.0 in 0.01 to 2000.0, "r_1", "mm", "r1", "Inner radius",
            "Radius at which the flow enters.", "common practice";
        required outer_radius = 25.0 in 0.02 to 5000.0, "r_2", "mm", "r2", "Outer radius",
            "Radius at which the flow ends.", "common practice";
        number angle = 360.0 in 1.0 to 360.0, "θ", "°", "q", "Angle",
            "Angle of the sector; 360° for a whole disc.", "common practice";
        required thickness = 2.0 in 0.05 to 50.0, "h", "mm", "h", "Thickness",
            "Wall thickness (gap) at the inner radius.", "PIM walls 0.1 to 12.5 mm, common practice";
        optional thickness_end = 2.0 in 0.05 to 50.0, "h_2", "mm", "h2", "Thickness at the rim",
            "Wall thickness at the outer radius; leave out for a constant wall.", "PIM walls 0.1 to 12.5 mm, common practice";
    }
}

parameters! {
    /// One passage of the flow path.
    pub struct Passage at "cavity.passages.*" {
        count copies = 1.0 in 1.0 to 256.0, "N", "", "N", "Copies",
            "Number of equal passages side by side that share the flow equally.", "common practice";
        optional wall_angle = 90.0 in 0.0 to 90.0, "α", "°", "wa", "Angle of the wall to the opening direction",
            "90° lies in the parting plane, 0° stands upright. It decides the projected area. Left out, it is 90° for flow across the opening direction and 0° for flow along it.", "geometry";
        optional projected_area = 1.0 in 0.0 to 100000.0, "A_p", "cm²", "pa", "Projected area",
            "Area of one copy on the parting plane, from the drawing. Left out, it follows from the sizes and the direction of flow.", "geometry";
    }
    others {
        /// Name of the passage.
        name: String = String::from("section"), required;
        /// What the passage is for.
        role: Role = Role::Part, required;
        /// Its direction in the mould. By default a sprue lies along the opening direction, other passages across it.
        lies: Option<Lies> = None;
        /// Name of the passage it follows, which is earlier in the list; by default the one just before. Passages that
        /// follow the same one are branches. They share its flow according to their resistance.
        after: Option<String> = None;
        /// Name of the passage whose far end meets its own far end. Their fronts run towards each other and weld where
        /// they meet, in either passage. One of the two has to state it.
        meets: Option<String> = None;
        /// The faces through which debinding reaches its wall. Left out, the worst is taken: one face.
        reached: Option<Reached> = None;
        /// Shape and sizes.
        form: Form = Form::Strip(Strip::default()), required;
    }
}

/// The flow path.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub struct Cavity {
    /// Passages in the order in which they fill, from the nozzle to the ends of flow.
    pub passages: Vec<Passage>,
}

impl Form {
    /// The shape of a name, `tube`, `strip` or `disc`, with the catalogue's sizes.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "tube" => Some(Self::Tube(Tube::default())),
            "strip" => Some(Self::Strip(Strip::default())),
            "disc" => Some(Self::Disc(Disc::default())),
            _ => None,
        }
    }

    /// Its depths by field \[mm\]: thickness, or diameter of a tube, first that of the entry.
    pub fn depths(&self) -> impl Iterator<Item = (&'static str, f64)> {
        let (entry, end) = match self {
            Self::Tube(t) => (("tube.diameter", t.diameter), ("tube.diameter_end", t.diameter_end)),
            Self::Strip(s) => (("strip.thickness", s.thickness), ("strip.thickness_end", s.thickness_end)),
            Self::Disc(d) => (("disc.thickness", d.thickness), ("disc.thickness_end", d.thickness_end)),
        };
        std::iter::once(entry).chain(end.1.map(|depth| (end.0, depth)))
    }

    /// Volume \[mm³\]: πL(D² + D D₂ + D₂²)/12 of a frustum, and L(2wh + wh₂ + w₂h + 2w₂h₂)/6 of a strip whose width and
    /// depth change linearly.
    pub fn volume(&self) -> f64 {
        let flat = |length: f64, [w, w_end]: [f64; 2], h: f64, h_end: Option<f64>| {
            let h_end = h_end.unwrap_or(h);
            length / 6.0 * (w * (2.0 * h + h_end) + w_end * (h + 2.0 * h_end))
        };
        match self {
            Self::Tube(t) => {
                let (d, end) = (t.diameter, t.diameter_end.unwrap_or(t.diameter));
                PI / 12.0 * t.length * (d * d + d * end + end * end)
            }
            Self::Strip(s) => {
                flat(s.length, [s.width, s.width_end.unwrap_or(s.width)], s.thickness, s.thickness_end)
            }
            Self::Disc(d) => {
                let arcs = [d.inner_radius, d.outer_radius].map(|r| d.angle.to_radians() * r);
                flat(d.outer_radius - d.inner_radius, arcs, d.thickness, d.thickness_end)
            }
        }
    }

    /// Multiplies all its depths by a factor.
    pub fn scale_depth(&mut self, factor: f64) {
        let (depth, end) = match self {
            Self::Tube(t) => (&mut t.diameter, &mut t.diameter_end),
            Self::Strip(s) => (&mut s.thickness, &mut s.thickness_end),
            Self::Disc(d) => (&mut d.thickness, &mut d.thickness_end),
        };
        *depth *= factor;
        if let Some(end) = end {
            *end *= factor;
        }
    }

    /// Multiplies its length by a factor; that of a disc is the way from the inner radius to the outer one.
    fn scale_length(&mut self, factor: f64) {
        match self {
            Self::Tube(t) => t.length *= factor,
            Self::Strip(s) => s.length *= factor,
            Self::Disc(d) => d.outer_radius = d.inner_radius + factor * (d.outer_radius - d.inner_radius),
        }
    }
}

impl Cavity {
    /// Volume of sprue, runners and parts, all copies \[cm³\].
    pub fn volume(&self) -> f64 {
        self.passages.iter().map(|p| p.form.volume() * f64::from(p.copies)).sum::<f64>() * 1e-3
    }

    /// Depth of the first gate \[mm\]; `None` without a gate.
    pub fn gate_depth(&self) -> Option<f64> {
        self.depth_of(Role::Gate)
    }

    /// Depth of the first passage of a role, at its entry \[mm\]; `None` without one.
    pub fn depth_of(&self, role: Role) -> Option<f64> {
        let first = self.passages.iter().find(|p| p.role == role)?;
        first.form.depths().next().map(|(_, depth)| depth)
    }

    /// Multiplies the depths of all passages of a role by a factor.
    pub fn scale_depth(&mut self, role: Role, factor: f64) {
        let of_role = self.passages.iter_mut().filter(|p| p.role == role);
        of_role.for_each(|p| p.form.scale_depth(factor));
    }

    /// Multiplies the lengths of all passages of a role by a factor. A projected area that is stated goes with them.
    pub fn scale_length(&mut self, role: Role, factor: f64) {
        for passage in self.passages.iter_mut().filter(|p| p.role == role) {
            passage.form.scale_length(factor);
            if let Some(area) = &mut passage.projected_area {
                *area *= factor;
            }
        }
    }

    /// Name of passage `i` in results: its own name, with its place in the list, from 1, if another has the same name.
    pub fn told_name(&self, i: usize) -> String {
        let name = &self.passages[i].name;
        let alike = self.passages.iter().filter(|p| p.name == *name).count();
        if alike > 1 { format!("{name} (passage {})", i + 1) } else { name.clone() }
    }

    /// Index of the passage that feeds passage `i`, `None` for the first.
    ///
    /// # Errors
    /// The name it follows, if no earlier passage has that name.
    pub fn feeder(&self, i: usize) -> Result<Option<usize>, &str> {
        match &self.passages[i].after {
            None => Ok(i.checked_sub(1)),
            Some(name) => {
                self.passages[..i].iter().rposition(|p| p.name == *name).map(Some).ok_or(name.as_str())
            }
        }
    }
}

/// Greatest number of passages in one path.
pub const MAX_PASSAGES: usize = 64;
