//! A passage in SI: its sections, its volume and the area that it opens the mould with.

use super::Kind;
use crate::scenario::{self, Form, Lies, Role};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;
use std::f64::consts::{PI, TAU};

/// A passage in SI: a section that changes linearly from entry to exit.
#[derive(Debug, Clone, PartialEq)]
pub struct Passage {
    /// Name.
    pub name: String,
    /// What it is for.
    pub role: Role,
    /// How it lies in the mould.
    pub lies: Lies,
    /// Angle α of its wall to the opening direction, where it is stated \[rad\].
    pub wall_angle: Option<f64>,
    /// Projected area of one copy, where it is stated \[m²\].
    pub stated_area: Option<f64>,
    /// Kind of section.
    pub kind: Kind,
    /// Whether it is a disc or a sector of one, filled outwards.
    pub disc: bool,
    /// Whether it is a strip, with walls at its sides.
    pub strip: bool,
    /// Length along the flow \[m\].
    pub length: f64,
    /// Half gap, or radius, at entry and exit \[m\].
    pub half_gap: [f64; 2],
    /// Width across the flow at entry and exit (arc length of a disc; diameter of a tube) \[m\].
    pub width: [f64; 2],
    /// How many stand side by side.
    pub copies: f64,
    /// Index of the passage that feeds it; none feeds the first.
    pub feeder: Option<usize>,
    /// Index of the passage whose far end its own meets.
    pub meets: Option<usize>,
}

impl Passage {
    pub(super) fn resolve(cavity: &scenario::Cavity, index: usize) -> Self {
        let p = &cavity.passages[index];
        let all = || cavity.passages.iter().enumerate();
        // Said at one of the two, it holds for both.
        let meets = all().position(|(k, other)| {
            k != index && (p.meets.as_ref() == Some(&other.name) || other.meets.as_ref() == Some(&p.name))
        });
        const MM: f64 = 1e-3;
        let (kind, length, half_gap, width) = match &p.form {
            Form::Tube(t) => {
                let end = t.diameter_end.unwrap_or(t.diameter);
                (Kind::Round, t.length, [t.diameter / 2.0, end / 2.0], [t.diameter, end])
            }
            Form::Strip(s) => {
                let h = [s.thickness / 2.0, s.thickness_end.unwrap_or(s.thickness) / 2.0];
                (Kind::Flat, s.length, h, [s.width, s.width_end.unwrap_or(s.width)])
            }
            Form::Disc(d) => {
                let angle = d.angle / 360.0 * TAU;
                let h = [d.thickness / 2.0, d.thickness_end.unwrap_or(d.thickness) / 2.0];
                let arc = [angle * d.inner_radius, angle * d.outer_radius];
                (Kind::Flat, d.outer_radius - d.inner_radius, h, arc)
            }
        };
        Self {
            name: cavity.told_name(index),
            role: p.role,
            lies: p.lies.unwrap_or(if p.role == Role::Sprue { Lies::Along } else { Lies::Across }),
            wall_angle: p.wall_angle.map(f64::to_radians),
            stated_area: p.projected_area.map(|cm2| cm2 * 1e-4),
            kind,
            disc: matches!(p.form, Form::Disc(_)),
            strip: matches!(p.form, Form::Strip(_)),
            length: length * MM,
            half_gap: half_gap.map(|v| v * MM),
            width: width.map(|v| v * MM),
            copies: f64::from(p.copies),
            feeder: cavity.feeder(index).ok().flatten(),
            meets,
        }
    }

    /// Half gap (radius) at a fraction of the length \[m\].
    pub fn half_gap_at(&self, f: f64) -> f64 {
        self.half_gap[0] + (self.half_gap[1] - self.half_gap[0]) * f
    }

    /// Width at a fraction of the length \[m\].
    pub fn width_at(&self, f: f64) -> f64 {
        self.width[0] + (self.width[1] - self.width[0]) * f
    }

    /// Flow area of one copy at a fraction of the length \[m²\].
    pub fn area_at(&self, f: f64) -> f64 {
        match self.kind {
            Kind::Flat => 2.0 * self.half_gap_at(f) * self.width_at(f),
            Kind::Round => PI * self.half_gap_at(f).powi(2),
        }
    }

    /// Flow area where it ends, all copies \[m²\].
    pub(super) fn whole_exit(&self) -> f64 {
        self.area_at(1.0) * self.copies
    }

    /// Depth \[m\] below which the steel at this passage keeps its temperature, the drillings lying `drillings` \[m\]
    /// deep: the thickness of a slab of the same resistance. Around a tube, heat spreads out: R ln(1 + d/R). From the area A
    /// of a flat passage it spreads sideways, too, as from a patch of that area on a half-space, 0.473 √A (mean excess of
    /// a patch with a uniform flux, from memory), in parallel with the slab. The heat from neighbouring passages is left out.
    pub fn steel_depth(&self, drillings: f64) -> f64 {
        let half_gap = 0.5 * (self.half_gap[0] + self.half_gap[1]);
        match self.kind {
            Kind::Round => half_gap * (drillings / half_gap).logarithm_1p(),
            Kind::Flat => {
                let area = 0.5 * (self.width[0] + self.width[1]) * self.length;
                1.0 / (1.0 / drillings + 1.0 / (0.473 * area.sqrt()))
            }
        }
    }

    /// Volume of one copy between two fractions of the length \[m³\]. Simpson's rule is exact here:
    /// the area is a quadratic.
    pub fn volume_between(&self, a: f64, b: f64) -> f64 {
        let middle = 0.5 * (a + b);
        self.length * (b - a) / 6.0 * (self.area_at(a) + 4.0 * self.area_at(middle) + self.area_at(b))
    }

    /// Fraction of the length at which the mean of the shares of length and of volume passed is
    /// `share`. Cells on equal steps of it are short where the flow is fast and small where it is
    /// slow; in a straight passage it is `share` itself.
    pub(super) fn station(&self, share: f64) -> f64 {
        if share <= 0.0 || share >= 1.0 {
            return share.clamp(0.0, 1.0);
        }
        let volume = self.volume();
        let passed = |at: f64| 0.5 * (at + self.volume_between(0.0, at) / volume);
        bisect(0.0, 1.0, 40, |at| passed(at) >= share)
    }

    /// Volume of one copy \[m³\].
    pub fn volume(&self) -> f64 {
        self.volume_between(0.0, 1.0)
    }

    /// Area of one copy between two fractions of the length, projected on the parting plane \[m²\]:
    /// A_face sin α + A_edge cos α for a wall at the angle α to the opening direction, the shadow of a straight
    /// bar or tube (closed form). The edge is the section where the flow runs along the opening direction; it
    /// pushes once, with the mean pressure along the passage. Where the flow runs across, it is the side of a
    /// strip, L h, and for a disc of angle θ the chord of each step of the radius, 2 sin(θ/2) Δr h, θ ≤ π.
    /// Passages that lie above each other are not looked for. What is stated as projected area is not looked at.
    pub fn projected_between(&self, a: f64, b: f64) -> f64 {
        let middle = 0.5 * (a + b);
        let length = self.length * (b - a);
        let thickness = 2.0 * self.half_gap_at(middle);
        let face = self.width_at(middle) * length;
        let edge = match (self.kind, self.lies) {
            (Kind::Flat, Lies::Across) if self.disc => {
                let angle = (self.width[1] - self.width[0]) / self.length;
                2.0 * (0.5 * angle.min(PI)).sine() * length * thickness
            }
            (Kind::Flat, Lies::Across) => length * thickness,
            (Kind::Round, _) | (_, Lies::Along) => self.area_at(middle) * (b - a),
        };
        match (self.wall_angle, self.lies) {
            (Some(angle), _) => face * angle.sine() + edge * angle.cosine(),
            (None, Lies::Across) => face,
            (None, Lies::Along) => edge,
        }
    }

    /// Greatest area that a bar, a wall or a tube of its sizes casts on any plane \[m²\], the root of the sum of
    /// squares of its three faces.
    pub fn greatest_shadow(&self) -> f64 {
        let face = self.width_at(0.5) * self.length;
        let section = self.area_at(0.0).max(self.area_at(1.0));
        let side = match self.kind {
            Kind::Flat => self.length * self.thickest(),
            Kind::Round => 0.0,
        };
        face.hypotenuse(section).hypotenuse(side)
    }

    /// Thickest gap (diameter) \[m\].
    pub fn thickest(&self) -> f64 {
        2.0 * self.half_gap[0].max(self.half_gap[1])
    }

    /// Apparent wall shear rate at a flow rate through one copy, 6Q/wh² or 4Q/πR³, at a fraction of
    /// the length \[1/s\].
    pub fn apparent_shear_rate(&self, q: f64, f: f64) -> f64 {
        let h = self.half_gap_at(f);
        match self.kind {
            Kind::Flat => 1.5 * q / (self.width_at(f) * h * h),
            Kind::Round => 4.0 * q / (PI * h.powi(3)),
        }
    }
}
