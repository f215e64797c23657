//! Conductivity within its bounds; density, heat capacity and shares of the mixture.

use gatefrost_core::feedstock::mixture::{density, loading_of_mass_fraction, powder_mass_fraction};
use gatefrost_core::scenario::{ConductivityRule, demo};
use gatefrost_report::evaluate;
use gatefrost_tests::numeric::off;

const RULES: [ConductivityRule; 3] =
    [ConductivityRule::MaxwellEucken, ConductivityRule::Bruggeman, ConductivityRule::Lichtenecker];

fn conductivity(rule: ConductivityRule, phi: f64, kp: f64, kb: f64) -> f64 {
    rule.conductivity(phi, 0.66, kp, kb)
}

/// Powder conductivities \[W/mK\]: steel, alumina, zirconia, tungsten; binder 0.2 and 0.5.
const POWDERS: [f64; 4] = [14.6, 36.0, 2.7, 174.0];

/// Hashin and Shtrikman, J. Appl. Phys. 33 (1962) 3125 (from memory), for k_p > k_b.
fn hashin_shtrikman(phi: f64, kp: f64, kb: f64) -> [f64; 2] {
    let bound = |matrix: f64, other: f64, share: f64| {
        matrix + share / (1.0 / (other - matrix) + (1.0 - share) / (3.0 * matrix))
    };
    [bound(kb, kp, phi), bound(kp, kb, 1.0 - phi)]
}

/// Maxwell–Eucken is the lower bound itself; Bruggeman's medium can be built, so it lies between the
/// bounds. Lichtenecker's mean cannot in general, but lies between layers in series and in parallel.
#[test]
fn conductivities_lie_within_their_bounds() {
    for kb in [0.2, 0.5] {
        for kp in POWDERS {
            for percent in [1, 20, 40, 55, 60, 65, 80, 99] {
                let phi = f64::from(percent) / 100.0;
                let [low, high] = hashin_shtrikman(phi, kp, kb);
                let [maxwell, bruggeman, lichtenecker] = RULES.map(|rule| conductivity(rule, phi, kp, kb));
                assert!(off(maxwell, low) < 1e-12, "{maxwell} against {low}");
                assert!(bruggeman > low && bruggeman < high, "{low} {bruggeman} {high}");
                let series = 1.0 / (phi / kp + (1.0 - phi) / kb);
                let parallel = phi * kp + (1.0 - phi) * kb;
                assert!(lichtenecker > series && lichtenecker < parallel);
            }
        }
    }
}

#[test]
fn conductivity_has_its_parts_as_limits() {
    for rule in RULES {
        for kp in POWDERS {
            assert!(off(conductivity(rule, 0.0, kp, 0.2), 0.2) < 1e-9, "{rule:?}");
            assert!(off(conductivity(rule, 1.0, kp, 0.2), kp) < 1e-9, "{rule:?}");
            assert!(off(conductivity(rule, 0.5, 0.2, 0.2), 0.2) < 1e-9, "{rule:?}: equal parts");
        }
        // Dilute spheres of great conductivity: 1 + 3φ (Maxwell). Lichtenecker's has no such limit.
        if rule != ConductivityRule::Lichtenecker {
            let slope = (conductivity(rule, 1e-5, 1e9, 1.0) - 1.0) / 1e-5;
            assert!((slope - 3.0).abs() < 1e-3, "{rule:?}: {slope}");
        }
    }
}

/// 60 vol% of 7950 kg/m³ in 880 kg/m³: 1 m³ holds 4770 kg of powder and 352 kg of binder.
#[test]
fn a_cubic_metre_weighs_what_its_parts_weigh() {
    assert!((density(0.6, 7950.0, 880.0) - 5122.0).abs() < 1e-9);
    assert!((powder_mass_fraction(0.6, 7950.0, 880.0) - 4770.0 / 5122.0).abs() < 1e-12);
    for powder in [3970.0, 7950.0, 19300.0] {
        for percent in 0..=100 {
            let phi = f64::from(percent) / 100.0;
            let back = loading_of_mass_fraction(powder_mass_fraction(phi, powder, 900.0), powder, 900.0);
            assert!((back - phi).abs() < 1e-12);
        }
    }
}

/// The report's mixture, worked out again from the document's numbers.
#[test]
fn the_reported_mixture_balances_mass_and_heat() {
    for d in demo::DEMOS {
        let s = d.scenario();
        let (f, r) = (&s.feedstock, evaluate(&s).expect("valid").feedstock);
        let phi = f.solids_loading / 100.0;
        let (powder, binder) = (phi * f.powder_density, (1.0 - phi) * f.binder_density);
        assert!(off(r.density_kg_m3, powder + binder) < 1e-12);
        assert!(off(r.powder_mass_percent, 100.0 * powder / (powder + binder)) < 1e-12);
        let heat = powder * f.powder_heat_capacity + binder * f.binder_heat_capacity;
        assert!(off(r.heat_capacity_j_kgk * r.density_kg_m3, heat) < 1e-12);
        assert!(off(r.diffusivity_mm2_s * 1e-6 * heat, r.conductivity_w_mk) < 1e-12);
    }
}
