//! How figures look: fine ink lines on warm paper, one iron-oxide ink for what matters most.

use gatefrost_core::limits::Limit;
use gatefrost_core::units::Units;
use gatefrost_palette::Palette;

/// Least text size, in CSS pixels.
pub(crate) const SMALL: f64 = 11.0;
/// Text size of labels on lines, in CSS pixels.
pub(crate) const LABEL: f64 = 12.0;
/// Text size of titles, in CSS pixels.
pub(crate) const TITLE: f64 = 13.5;

/// Choices that hold for a whole figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Light ink on slate instead of dark ink on paper.
    pub dark: bool,
    /// Device pixels per CSS pixel; every font, margin and stroke is multiplied by it.
    pub scale: f64,
    /// Black on white, for paper; goes before `dark`.
    pub print: bool,
    /// Whether the figure carries its own title; a page with headings leaves it out.
    pub title: bool,
    /// The units in which a reader sees the numbers.
    pub units: Units,
}

impl Default for Style {
    fn default() -> Self {
        Self { dark: false, scale: 1.0, print: false, title: false, units: Units::Si }
    }
}

impl Style {
    /// The colours in use.
    pub fn palette(&self) -> Palette {
        if self.print {
            Palette::PRINT
        } else if self.dark {
            Palette::DARK
        } else {
            Palette::LIGHT
        }
    }

    /// The scale, held to what can be drawn.
    pub(crate) fn safe_scale(&self) -> f64 {
        if self.scale.is_finite() { self.scale.clamp(0.25, 32.0) } else { 1.0 }
    }
}

/// Lengths of dash and gap in turn, in CSS pixels; empty for an unbroken line.
pub(crate) type Dashes = &'static [f64];

pub(crate) const SOLID: Dashes = &[];
pub(crate) const LONG: Dashes = &[12.0, 5.0];
pub(crate) const SHORT: Dashes = &[5.0, 4.0];
pub(crate) const DOTS: Dashes = &[1.6, 3.6];
/// The centre line of a drawing: long, short, long.
pub(crate) const CHAIN: Dashes = &[10.0, 3.0, 2.0, 3.0];

/// The edge of a band: finer dots than any line has.
pub(crate) const BAND_EDGE: Dashes = &[1.2, 2.8];
/// The outline of another scenario's usable region, which is drawn double.
pub(crate) const BESIDE: Dashes = &[22.0, 7.0];

/// Each limit keeps its own dashes in every window.
pub(crate) fn limit_dashes(limit: Limit) -> Dashes {
    match limit {
        Limit::ShortShot => SOLID,
        Limit::StiffGate => &[14.0, 4.0, 2.0, 4.0],
        Limit::Jetting => &[8.0, 3.0, 2.0, 3.0, 2.0, 3.0, 2.0, 3.0],
        Limit::Separation => &[16.0, 5.0],
        Limit::Burning => &[14.0, 3.5, 2.0, 3.5, 2.0, 3.5],
        Limit::Residence => &[10.0, 9.0],
        Limit::Venting => &[1.6, 3.0, 1.6, 6.0],
        Limit::ColdFront => &[7.0, 4.0],
        Limit::Flash => &[16.0, 4.0, 6.0, 4.0],
        Limit::Sink => &[2.5, 3.5],
        Limit::Ejection => &[9.0, 3.0, 2.0, 3.0],
        Limit::CoolingWater => &[10.0, 6.0, 2.0, 6.0],
        Limit::Shot => &[12.0, 3.0, 4.0, 3.0],
        Limit::Rate => &[5.0, 3.0, 2.0, 3.0, 2.0, 3.0],
        Limit::SwitchOver => &[20.0, 4.0, 2.0, 4.0],
        Limit::Weld => &[7.0, 3.0, 7.0, 8.0],
        Limit::HoldCover => &[18.0, 3.0, 5.0, 3.0, 5.0, 3.0],
        Limit::Residual => &[4.0, 2.5, 4.0, 8.0],
        Limit::Melted => &[24.0, 5.0],
        Limit::Loading => &[12.0, 4.0, 2.0, 3.0, 2.0, 3.0, 2.0, 4.0],
        Limit::GatePowder => &[1.6, 2.6, 1.6, 2.6, 6.0, 4.0],
        Limit::GateWall => &[9.0, 3.5, 9.0, 9.0],
        Limit::WallStress => &[18.0, 3.5, 2.0, 3.5, 2.0, 3.5],
        Limit::Migration => &[3.0, 3.0, 3.0, 3.0, 9.0, 3.0],
        Limit::SmallShot => &[14.0, 4.0, 8.0, 4.0],
        Limit::Size => &[20.0, 3.5, 2.0, 3.5, 7.0, 3.5],
        Limit::Debinding => &[6.0, 3.0, 6.0, 3.0, 2.0, 7.0],
    }
}
