//! Heat content of the mixture against temperature, with the latent heat of the parts of its binder.

use super::ZERO_CELSIUS;
use gatefrost_numerics::lanes::Number;
use gatefrost_numerics::order;

/// Most melting peaks of a binder: the first and four further ones.
pub const MOST_PEAKS: usize = 5;
/// Their ends cut the temperature into at most this many stretches.
const MOST_STRETCHES: usize = 2 * MOST_PEAKS - 1;

/// One melting peak: a part of the binder that gives up its latent heat evenly between liquidus and solidus.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Where it has solidified \[°C\].
    pub solidus: f64,
    /// Where it has melted \[°C\].
    pub liquidus: f64,
    /// Latent heat \[J/kg\] of the mixture over its heat capacity \[K\].
    pub latent: f64,
}

/// Heat content Θ(T) = h/c_p of the mixture \[K\]; without latent heat it is T itself.
///
/// Each peak gives up its latent heat evenly between solidus and liquidus:
/// Θ = T + Σ (L/c_p) clamp((T − T_s)/(T_l − T_s), 0, 1). Peaks may overlap: their ends cut the temperature into
/// stretches over which Θ is linear, so that its inverse is exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatContent {
    stretches: [Stretch; MOST_STRETCHES],
    count: usize,
}

/// A stretch of temperature over which one or several parts melt.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Stretch {
    /// Its ends \[K\].
    ends: [f64; 2],
    /// Heat content at its lower end \[K\].
    from: f64,
    /// Latent heat taken up in it, over c_p \[K\].
    latent: f64,
    /// 1/(b − a) and 1/(b − a + latent) \[1/K\].
    per_range: [f64; 2],
    /// Apparent heat capacity in it, relative to c_p.
    capacity: f64,
}

impl Stretch {
    /// Latent heat taken up in it at a temperature \[K\].
    #[inline(always)]
    fn molten<N: Number>(&self, t: N) -> N {
        self.share_of_latent((t - N::all(self.ends[0])) * N::all(self.per_range[0]))
    }

    /// The same at a heat content \[K\].
    #[inline(always)]
    fn held<N: Number>(&self, content: N) -> N {
        self.share_of_latent((content - N::all(self.from)) * N::all(self.per_range[1]))
    }

    #[inline(always)]
    fn share_of_latent<N: Number>(&self, share: N) -> N {
        N::all(self.latent) * share.greater(N::all(0.0)).lesser(N::all(1.0))
    }
}

impl HeatContent {
    /// One peak: `latent` is the latent heat \[J/kg\] of the mixture over its heat capacity; temperatures in °C.
    pub fn new(solidus: f64, liquidus: f64, latent: f64) -> Self {
        Self::of_peaks(&[Peak { solidus, liquidus, latent }])
    }

    /// At most [`MOST_PEAKS`] peaks; those without latent heat or of no width have no effect.
    pub fn of_peaks(peaks: &[Peak]) -> Self {
        let peaks = || peaks.iter().take(MOST_PEAKS).filter(|p| p.latent > 0.0 && p.liquidus > p.solidus);
        let mut ends: Vec<f64> = peaks().flat_map(|p| [p.solidus, p.liquidus]).collect();
        order::sort(&mut ends);
        let (mut stretches, mut count) = ([Stretch::default(); MOST_STRETCHES], 0);
        let mut below = 0.0;
        for pair in ends.windows(2) {
            let range = pair[1] - pair[0];
            let inside = |p: &&Peak| p.solidus <= pair[0] && p.liquidus >= pair[1];
            let latent: f64 =
                peaks().filter(inside).map(|p| p.latent * (range / (p.liquidus - p.solidus))).sum();
            if range > 0.0 && latent > 0.0 && count < MOST_STRETCHES {
                stretches[count] = Stretch {
                    ends: [pair[0] + ZERO_CELSIUS, pair[1] + ZERO_CELSIUS],
                    from: pair[0] + ZERO_CELSIUS + below,
                    latent,
                    per_range: [1.0 / range, 1.0 / (range + latent)],
                    capacity: 1.0 + latent / range,
                };
                count += 1;
                below += latent;
            }
        }
        Self { stretches, count }
    }

    fn stretches(&self) -> &[Stretch] {
        &self.stretches[..self.count]
    }

    /// Θ(T) \[K\].
    #[inline(always)]
    pub fn of<N: Number>(&self, t: N) -> N {
        let mut content = t;
        for s in self.stretches() {
            content = content + s.molten(t);
        }
        content
    }

    /// T(Θ) \[K\], the inverse of [`Self::of`].
    #[inline(always)]
    pub fn temperature<N: Number>(&self, content: N) -> N {
        let mut t = content;
        for s in self.stretches() {
            t = t - s.held(content);
        }
        t
    }

    /// Θ around each of many temperatures as offset + capacity·T. One stretch, which most binders have, is a loop of its
    /// own: it works on several temperatures at once.
    #[inline(always)]
    pub fn tangents<N: Number>(&self, t: &[N], offset: &mut [N], capacity: &mut [N]) {
        let count = t.len();
        let (offset, capacity) = (&mut offset[..count], &mut capacity[..count]);
        if let [s] = self.stretches() {
            for j in 0..count {
                let own = t[j].inside(s.ends, s.capacity);
                capacity[j] = own;
                offset[j] = t[j] + s.molten(t[j]) - own * t[j];
            }
            return;
        }
        for j in 0..count {
            let own = self.capacity(t[j]);
            capacity[j] = own;
            offset[j] = self.of(t[j]) - own * t[j];
        }
    }

    /// T at many heat contents: [`Self::temperature`] of each.
    #[inline(always)]
    pub fn temperatures<N: Number>(&self, content: &[N], t: &mut [N]) {
        let count = content.len();
        let t = &mut t[..count];
        if let [s] = self.stretches() {
            for j in 0..count {
                t[j] = content[j] - s.held(content[j]);
            }
            return;
        }
        for j in 0..count {
            t[j] = self.temperature(content[j]);
        }
    }

    /// dΘ/dT, the apparent heat capacity relative to c_p.
    #[inline(always)]
    pub fn capacity<N: Number>(&self, t: N) -> N {
        let mut capacity = N::all(1.0);
        for s in self.stretches() {
            capacity = capacity * t.inside(s.ends, s.capacity);
        }
        capacity
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn peak(solidus: f64, liquidus: f64, latent: f64) -> Peak {
        Peak { solidus, liquidus, latent }
    }

    /// One peak, two apart, two that overlap, one within another, five, in any order.
    #[test]
    fn temperature_and_content_are_inverse_for_any_peaks() {
        let five = [30.0, 50.0, 62.0, 80.0, 110.0].map(|t| peak(t, t + 18.0, 9.0));
        for peaks in [
            &[peak(45.0, 65.0, 28.0)][..],
            &[peak(100.0, 120.0, 15.0), peak(45.0, 65.0, 28.0)],
            &[peak(45.0, 70.0, 28.0), peak(60.0, 110.0, 15.0)],
            &[peak(45.0, 110.0, 28.0), peak(60.0, 70.0, 15.0)],
            &five,
        ] {
            let heat = HeatContent::of_peaks(peaks);
            let mut last = 0.0;
            for i in 0..1500 {
                let t = 300.0 + 0.1 * f64::from(i);
                let content = heat.of(t);
                assert!(content > last);
                last = content;
                assert!((heat.temperature(content) - t).abs() < 1e-9, "{peaks:?} at {t}");
                let sum: f64 = peaks
                    .iter()
                    .map(|p| {
                        let share = (t - 273.15 - p.solidus) / (p.liquidus - p.solidus);
                        p.latent * share.clamp(0.0, 1.0)
                    })
                    .sum();
                assert!((content - t - sum).abs() < 1e-9, "{peaks:?} at {t}");
                let slope = (heat.of(t + 1e-4) - heat.of(t - 1e-4)) / 2e-4;
                let near_an_end = peaks
                    .iter()
                    .any(|p| [p.solidus, p.liquidus].iter().any(|end| (t - 273.15 - end).abs() < 1e-3));
                assert!(near_an_end || (heat.capacity(t) - slope).abs() < 1e-6, "{peaks:?} at {t}");
            }
        }
    }

    #[test]
    fn a_peak_without_heat_or_width_has_no_effect() {
        for heat in [HeatContent::new(45.0, 65.0, 0.0), HeatContent::new(45.0, 45.0, 10.0)] {
            for t in [300.0, 318.15, 330.0] {
                assert_eq!((heat.of(t), heat.temperature(t), heat.capacity(t)), (t, t, 1.0));
            }
        }
    }
}
