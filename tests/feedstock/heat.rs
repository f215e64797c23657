//! Heat content of the mixture: the latent heat of its binder over the setting range.

use gatefrost_core::case::Case;
use gatefrost_core::scenario::demo;
use gatefrost_tests::numeric::off;

/// Cooled from the melt to the wall, a kilogram gives up c_p ΔT and its binder's share of the latent heat of each peak, as
/// far as it lies above the wall; the apparent heat capacity adds up to the same.
#[test]
fn the_mixture_gives_up_what_its_parts_hold() {
    for d in demo::DEMOS {
        let s = d.scenario();
        let m = Case::resolve(&s).material;
        let f = &s.feedstock;
        let phi = f.solids_loading / 100.0;
        let (powder, binder) = (phi * f.powder_density, (1.0 - phi) * f.binder_density);
        let (hot, cold) = (s.setup.melt_temperature + 273.15, s.setup.mould_temperature + 273.15);
        let peaks: Vec<[f64; 3]> = std::iter::once([f.latent_heat, f.solidus, f.liquidus])
            .chain(f.further_melting.iter().map(|p| [p.latent_heat, p.solidus, p.liquidus]))
            .collect();
        let latent = |[latent, solidus, liquidus]: &[f64; 3]| {
            latent * ((liquidus - s.setup.mould_temperature) / (liquidus - solidus)).clamp(0.0, 1.0)
        };
        let given: f64 = peaks.iter().map(latent).sum();
        assert!(given > 0.0, "{}: a case that sets", d.name);
        let sensible = (powder * f.powder_heat_capacity + binder * f.binder_heat_capacity) * (hot - cold);
        let expected = sensible + binder * given * 1e3;
        let found = m.volumetric_heat() * (m.heat.of(hot) - m.heat.of(cold));
        assert!(off(found, expected) < 1e-12, "{}: {found} against {expected} J/m³", d.name);
        let inner = peaks.iter().flat_map(|[_, solidus, liquidus]| [solidus + 273.15, liquidus + 273.15]);
        let mut edges: Vec<f64> = inner.filter(|t| *t > cold && *t < hot).chain([cold, hot]).collect();
        edges.sort_by(f64::total_cmp);
        // The capacity jumps at the edges of the range: each stretch by its middle.
        let summed: f64 =
            edges.windows(2).map(|e| m.heat.capacity(0.5 * (e[0] + e[1])) * (e[1] - e[0])).sum();
        assert!(off(m.volumetric_heat() * summed, expected) < 1e-9, "{}", d.name);
    }
}
