//! Heat content of the mixture against temperature, with the latent heat of the binder.

use super::ZERO_CELSIUS;
use gatefrost_numerics::lanes::Number;

/// Heat content Θ(T) = h/c_p of the mixture \[K\]; without latent heat it is T itself.
///
/// The latent heat is given up evenly between solidus and liquidus:
/// Θ = T + (L/c_p) clamp((T − T_s)/(T_l − T_s), 0, 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatContent {
    solidus: f64,
    liquidus: f64,
    /// L/c_p \[K\].
    latent: f64,
    /// 1/(T_l − T_s) and 1/(T_l − T_s + L/c_p) \[1/K\].
    per_range: [f64; 2],
    /// Apparent heat capacity while setting, relative to c_p.
    setting: f64,
}

impl HeatContent {
    /// `latent` is the latent heat \[J/kg\] of the mixture over its heat capacity; temperatures in °C.
    pub fn new(solidus: f64, liquidus: f64, latent: f64) -> Self {
        let range = liquidus - solidus;
        Self {
            solidus: solidus + ZERO_CELSIUS,
            liquidus: liquidus + ZERO_CELSIUS,
            latent,
            per_range: [1.0 / range, 1.0 / (range + latent)],
            setting: 1.0 + latent / range,
        }
    }

    /// Θ(T) \[K\].
    #[inline(always)]
    pub fn of<N: Number>(&self, t: N) -> N {
        t + self.molten(t, self.per_range[0])
    }

    /// T(Θ) \[K\], the inverse of [`Self::of`].
    #[inline(always)]
    pub fn temperature<N: Number>(&self, content: N) -> N {
        content - self.molten(content, self.per_range[1])
    }

    /// Latent heat held at a temperature so far above the solidus \[K\].
    #[inline(always)]
    fn molten<N: Number>(&self, x: N, per_range: f64) -> N {
        let share = (x - N::all(self.solidus)) * N::all(per_range);
        N::all(self.latent) * share.greater(N::all(0.0)).lesser(N::all(1.0))
    }

    /// dΘ/dT, the apparent heat capacity relative to c_p.
    #[inline(always)]
    pub fn capacity<N: Number>(&self, t: N) -> N {
        t.inside([self.solidus, self.liquidus], self.setting)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperature_and_content_are_inverse() {
        let heat = HeatContent::new(45.0, 65.0, 28.0);
        let mut last = 0.0;
        for i in 0..1500 {
            let t = 300.0 + 0.1 * f64::from(i);
            let content = heat.of(t);
            assert!(content > last);
            last = content;
            assert!((heat.temperature(content) - t).abs() < 1e-9, "{t}");
        }
        let rise = heat.of(340.0) - heat.of(310.0);
        assert!((rise - 30.0 - 28.0).abs() < 1e-9, "the whole latent heat lies between: {rise}");
    }
}
