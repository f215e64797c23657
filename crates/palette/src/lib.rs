//! The colours and the font of the pages and the figures. The build writes the style sheets' custom properties
//! from here; the figures take the same values.
//!
//! No colour carries a meaning of its own: lines are told apart by dashes and labels, so that a figure can be
//! read without colour and in print.

/// The font stack of the pages and the figures.
pub const FONT_FAMILY: &str =
    "Bahnschrift, 'Avenir Next', 'Segoe UI', 'Noto Sans', 'DejaVu Sans', sans-serif";

/// The font stack of text in fixed width.
pub const MONOSPACE: &str = "ui-monospace, 'DejaVu Sans Mono', monospace";

/// A colour: red, green, blue, 0 to 255 each (sRGB).
pub type Color = [u8; 3];

/// The inks and grounds of a page and of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    /// Ground.
    pub paper: Color,
    /// Ground of controls, of the usable region, of tags and of the hollow of a cavity.
    pub lifted: Color,
    /// Lines and text.
    pub ink: Color,
    /// Secondary text, ticks and leaders.
    pub quiet: Color,
    /// Thin rules of a page.
    pub hair: Color,
    /// Grid of a figure.
    pub grid: Color,
    /// The one accent: set point, melt, leading curve, what is not met.
    pub accent: Color,
    /// Ground of a notice.
    pub wash: Color,
    /// Areas of a figure, such as melt.
    pub shade: Color,
}

impl Palette {
    /// Dark ink on warm paper.
    pub const LIGHT: Self = Self {
        paper: [0xf6, 0xf0, 0xe4],
        lifted: [0xff, 0xfd, 0xf8],
        ink: [0x27, 0x23, 0x1e],
        quiet: [0x65, 0x5b, 0x4e],
        hair: [0xd8, 0xcd, 0xb8],
        grid: [0xe2, 0xd9, 0xc7],
        accent: [0xa0, 0x3f, 0x1a],
        wash: [0xf1, 0xdf, 0xd0],
        shade: [0xe6, 0xbf, 0xa4],
    };

    /// Light ink on slate.
    pub const DARK: Self = Self {
        paper: [0x1b, 0x22, 0x28],
        lifted: [0x27, 0x31, 0x3a],
        ink: [0xea, 0xe5, 0xda],
        quiet: [0xac, 0xa8, 0x9d],
        hair: [0x3e, 0x4a, 0x53],
        grid: [0x34, 0x3f, 0x47],
        accent: [0xe8, 0x9c, 0x6d],
        wash: [0x3a, 0x2f, 0x29],
        shade: [0x6e, 0x4a, 0x36],
    };

    /// Black on white.
    pub const PRINT: Self = Self {
        paper: [0xff; 3],
        lifted: [0xff; 3],
        ink: [0; 3],
        quiet: [0x44; 3],
        hair: [0xaa; 3],
        grid: [0xdd; 3],
        accent: [0x7a, 0x2e, 0x12],
        wash: [0xff; 3],
        shade: [0xd9, 0xcc, 0xc6],
    };

    /// Section lining: halfway between the quiet ink and the paper.
    pub fn sectioning(&self) -> Color {
        halfway(self.quiet, self.paper)
    }

    /// The ground of a band of uncertainty. Lines on it stay clear.
    pub fn band(&self) -> Color {
        halfway(self.shade, self.paper)
    }

    /// The tint of a band about a line: one part of ink in eight.
    pub fn tint(&self) -> Color {
        std::array::from_fn(|i| ((u16::from(self.ink[i]) + 7 * u16::from(self.lifted[i])) / 8) as u8)
    }

    /// All colours, mixtures included, by the names of their custom properties.
    pub fn named(&self) -> [(&'static str, Color); 12] {
        [
            ("paper", self.paper),
            ("lifted", self.lifted),
            ("ink", self.ink),
            ("quiet", self.quiet),
            ("hair", self.hair),
            ("grid", self.grid),
            ("accent", self.accent),
            ("wash", self.wash),
            ("shade", self.shade),
            ("sectioning", self.sectioning()),
            ("band", self.band()),
            ("tint", self.tint()),
        ]
    }
}

fn halfway(a: Color, b: Color) -> Color {
    std::array::from_fn(|i| u8::midpoint(a[i], b[i]))
}

/// A colour as six hexadecimal digits in capitals, as the figures' SVG writes it.
pub fn hex([r, g, b]: Color) -> String {
    format!("{r:02X}{g:02X}{b:02X}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast ratio after WCAG 2.2, section 1.4.3.
    fn contrast(a: Color, b: Color) -> f64 {
        let luminance = |color: Color| {
            let linear = |part: u8| {
                let s = f64::from(part) / 255.0;
                if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * linear(color[0]) + 0.7152 * linear(color[1]) + 0.0722 * linear(color[2])
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_can_be_read_on_every_ground_it_stands_on() {
        for palette in [Palette::LIGHT, Palette::DARK, Palette::PRINT] {
            for text in [palette.ink, palette.quiet, palette.accent] {
                for ground in [palette.paper, palette.lifted, palette.wash] {
                    let ratio = contrast(text, ground);
                    assert!(ratio >= 4.5, "{} on {}: {ratio:.2}", hex(text), hex(ground));
                }
            }
            assert!(contrast(palette.ink, palette.band()) >= 4.5);
            assert!(contrast(palette.ink, palette.tint()) >= 4.5);
        }
    }

    /// A drawing made in the light colours is redrawn in others colour by colour.
    #[test]
    fn no_two_light_colours_are_the_same() {
        let all = Palette::LIGHT.named();
        for (i, a) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|b| a.1 != b.1), "{}", a.0);
        }
    }
}
