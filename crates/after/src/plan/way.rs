//! A wall to debind, as the steps of debinding take it.

use super::walls::section;
use crate::debinding::diffusion::Section;

/// A wall to debind: form and depth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    pub(super) rod: bool,
    pub(super) depth_mm: f64,
}

impl Way {
    pub(super) fn section(self) -> Section {
        section(self.rod, self.depth_mm)
    }

    pub(super) fn scaled(self, factor: f64) -> Self {
        Self { depth_mm: self.depth_mm * factor, ..self }
    }

    /// D t/a² of earlier baths that left the share `left`; `None` where they left nothing.
    pub(super) fn fourier(self, left: f64) -> Option<f64> {
        match left {
            1.0.. => Some(0.0),
            left if left > 0.0 => Some(self.section().fourier(left)),
            _ => None,
        }
    }

    /// Distance of a front from the middle, over the depth, that has left the share `left`.
    pub(super) fn core(self, left: f64) -> f64 {
        if self.rod { left.sqrt() } else { left }
    }
}
