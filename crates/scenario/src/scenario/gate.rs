//! The usual forms of a gate, sized from the wall that they feed.
//!
//! All ratios are common practice for powder feedstocks, from memory: gates are short, and about half as deep as the
//! wall, deeper than for plastics. A toolmaker begins with them and cuts deeper if necessary.

use super::{Cavity, Disc, Form, Passage, Role, Strip, Tube};
use std::f64::consts::PI;

/// A form of gate. h is the thickness of the part's wall, b its width where the melt enters.
#[derive(Debug)]
pub struct GateForm {
    /// Short name, by which the list of forms describes it.
    pub name: &'static str,
    shape: GateShape,
    /// Depth, or diameter of a bore, where melt enters and leaves, as multiples of h.
    depth: [f64; 2],
    /// Width of a slot: so many h, b at most. How much more than its h a bore is wide \[mm\].
    more: f64,
    /// Length along the flow \[mm\].
    length: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum GateShape {
    Slot,
    /// A slot that widens to b and is half as long.
    Fan,
    Bore,
    /// A disc inside a bore of the part.
    Membrane,
}

const fn form(name: &'static str, shape: GateShape, depth: [f64; 2], more: f64, length: f64) -> GateForm {
    GateForm { name, shape, depth, more, length }
}

/// A gate as wide as the part.
const WHOLE: f64 = f64::INFINITY;

/// The forms; the first is the most usual.
pub static GATES: &[GateForm] = &[
    form("edge", GateShape::Slot, [0.6, 0.6], 2.0, 1.0),
    form("tunnel", GateShape::Bore, [1.2, 0.6], 0.0, 3.0),
    form("pin", GateShape::Bore, [0.6, 0.6], 0.0, 1.0),
    form("fan", GateShape::Fan, [1.0, 0.5], 2.0, 0.0),
    form("film", GateShape::Slot, [0.5, 0.5], WHOLE, 0.8),
    form("diaphragm", GateShape::Membrane, [0.65, 0.65], 0.0, 0.0),
    form("ring", GateShape::Slot, [0.5, 0.5], WHOLE, 1.0),
    form("direct", GateShape::Bore, [1.0, 1.0], 1.0, 2.0),
];

/// The form of that name.
pub fn find(name: &str) -> Option<&'static GateForm> {
    GATES.iter().find(|g| g.name == name)
}

/// Rounded to 0.05 mm, as it would be cut, within the accepted range of a gap.
fn cut(mm: f64) -> f64 {
    ((mm * 20.0).round() / 20.0).clamp(0.1, 50.0)
}

impl GateForm {
    /// Form of the gate between the passage that feeds it and the part behind it.
    fn form(&self, feeder: Option<&Form>, part: &Form) -> Form {
        let (h, b) = match part {
            Form::Tube(t) => (t.diameter, t.diameter),
            Form::Strip(s) => (s.thickness, s.width),
            Form::Disc(d) => (d.thickness, d.inner_radius * d.angle.to_radians()),
        };
        let more = if self.shape == GateShape::Bore { self.more } else { 0.0 };
        let [depth, end] = self.depth.map(|times| cut(times * h + more));
        let end = (end != depth).then_some(end);
        let fan = self.shape == GateShape::Fan;
        let length = if fan { cut(b / 2.0) } else { self.length };
        match self.shape {
            GateShape::Bore => Form::Tube(Tube { length, diameter: depth, diameter_end: end }),
            GateShape::Membrane => {
                let inner_radius = match feeder {
                    Some(Form::Tube(t)) => t.diameter_end.unwrap_or(t.diameter) / 2.0,
                    _ => h,
                };
                // Up to the bore: b is the mean circumference.
                let outer_radius = cut(b / (2.0 * PI) - h / 2.0).max(inner_radius + 1.0);
                Form::Disc(Disc {
                    inner_radius,
                    outer_radius,
                    angle: 360.0,
                    thickness: depth,
                    thickness_end: end,
                })
            }
            GateShape::Slot | GateShape::Fan => {
                let width = (self.more * h).min(b);
                let width_end = fan.then_some(b);
                Form::Strip(Strip { length, width, width_end, thickness: depth, thickness_end: end })
            }
        }
    }
}

impl Cavity {
    /// Gives every gate this form, each sized from the part behind it. A cavity without a gate gets one
    /// before its first part; one without a part stays as it is.
    pub fn take_gate(&mut self, gate: &GateForm) {
        let of_role = |list: &[Passage], role| list.iter().position(|p| p.role == role);
        if let Some(part) = of_role(&self.passages, Role::Part)
            && of_role(&self.passages, Role::Gate).is_none()
        {
            let after = self.passages[part].after.take();
            self.passages.insert(part, Passage { role: Role::Gate, after, ..Passage::default() });
        }
        // The sizes of the first part behind a gate are applied last, and so decide.
        for part in (0..self.passages.len()).rev() {
            if self.passages[part].role == Role::Part {
                self.size_gate(part, gate);
            }
        }
        for i in 0..self.passages.len() {
            if self.passages[i].role == Role::Gate {
                self.rename(i, &format!("{} gate", gate.name));
            }
        }
    }

    /// Sets the sizes of the last gate before a part.
    fn size_gate(&mut self, part: usize, gate: &GateForm) {
        let mut below = part;
        while let Ok(Some(i)) = self.feeder(below) {
            if self.passages[i].role == Role::Gate {
                let feeder = self.feeder(i).ok().flatten().map(|k| &self.passages[k].form);
                self.passages[i].form = gate.form(feeder, &self.passages[part].form);
                return;
            }
            below = i;
        }
    }

    /// Names a passage, with a number if the name is taken, and renames every reference to it.
    fn rename(&mut self, i: usize, title: &str) {
        let mut name = title.to_owned();
        let mut count = 1;
        while self.passages.iter().enumerate().any(|(k, p)| k != i && p.name == name) {
            count += 1;
            name = format!("{title} {count}");
        }
        for k in i + 1..self.passages.len() {
            if self.passages[k].after.is_some() && self.feeder(k) == Ok(Some(i)) {
                self.passages[k].after = Some(name.clone());
            }
        }
        self.passages[i].name = name;
    }
}
