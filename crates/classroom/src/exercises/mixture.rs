//! Powder in binder: shares, densities, and the loading at which viscosity runs away.

use super::{HALVINGS, drawn};
use crate::draw::Draws;
use crate::task::{Asked, Task};
use crate::units::{G_CM3, KG, MASS_PERCENT, N_M};
use gatefrost_core::feedstock::loading::relative_viscosity;
use gatefrost_core::feedstock::{Shift, mixture};
use gatefrost_core::scenario::{LoadingLaw, LoadingScaling};
use gatefrost_formula::{Expr, Line, number, symbol, unit};
use gatefrost_laboratory::critical::density;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;

/// Powders: the key of the name, and the density in kg/m³ (densities of solids as in handbooks; zirconia and the
/// cemented carbide from memory).
const POWDERS: [(&str, f64); 7] = [
    ("powder-stainless", 7990.0),
    ("powder-iron", 7870.0),
    ("powder-titanium", 4500.0),
    ("powder-alumina", 3970.0),
    ("powder-zirconia", 6050.0),
    ("powder-carbide", 14_900.0),
    ("powder-tungsten", 19_300.0),
];

/// A share of the mass is 90 % and more, so that one per cent of it would be too much.
const SHARE: f64 = 0.002;
/// Two loadings whose difference matters are closer than one per cent of a loading.
const LOADING: f64 = 0.002;

fn powder(draws: &mut Draws) -> (&'static str, Expr) {
    let (name, density) = draws.one_of(POWDERS);
    (name, symbol("ρ_p", "powder-density", unit::KG_M3, density))
}

fn binder(draws: &mut Draws) -> Expr {
    drawn(draws, "ρ_b", "binder-density", unit::KG_M3, ([880, 980], 1, 1))
}

/// Share of the volume to share of the mass.
pub fn by_mass(draws: &mut Draws) -> Task {
    let (name, rho_p) = powder(draws);
    let rho_b = binder(draws);
    let phi = drawn(draws, "φ", "loading", unit::VOLUME_PERCENT, ([520, 680], 5, 10));
    let batch = drawn(draws, "m", "batch-mass", KG, ([20, 250], 5, 10));
    let of_powder = || phi.clone() * rho_p.clone();
    let mixture_density = of_powder() + (1.0 - phi.clone()) * rho_b.clone();
    let share = Line::new("w_p", "mass-share", MASS_PERCENT, of_powder() / mixture_density);
    let mass = Line::new("m_p", "powder-mass", KG, share.symbol() * batch.clone());
    let by_core = mixture::powder_mass_fraction(phi.value(), rho_p.value(), rho_b.value());
    let swapped =
        phi.clone() * rho_b.clone() / (phi.clone() * rho_b.clone() + (1.0 - phi.clone()) * rho_p.clone());
    let without = of_powder() / (of_powder() + rho_b.clone());
    Task::new([rho_p.clone(), rho_b.clone(), phi.clone(), batch.clone()])
        .name("powder", name)
        .ask(
            Asked::new(share.clone(), by_core)
                .within(SHARE)
                .figures(3, 5)
                .mistake("loading-by-mass-wrong-volume", &phi)
                .mistake("loading-by-mass-wrong-swapped", &swapped)
                .mistake("loading-by-mass-wrong-binder", &without),
        )
        .ask(
            Asked::new(mass, by_core * batch.value())
                .within(SHARE)
                .after([share])
                .mistake("loading-by-mass-wrong-volume", &(phi * batch)),
        )
}

/// Density below, at and above the critical loading.
pub fn densest(draws: &mut Draws) -> Task {
    let (name, rho_p) = powder(draws);
    let rho_b = binder(draws);
    let critical = draws.on_scale([580, 680], 5, 10);
    let loading = |letter, words, value| symbol(letter, words, unit::VOLUME_PERCENT, value);
    let phi_c = loading("φ_c", "critical-loading", critical);
    let below = loading("φ_1", "loading-below", critical - draws.on_scale([20, 60], 5, 10));
    let above = loading("φ_2", "loading-above", critical + draws.on_scale([10, 40], 5, 10));
    let full = |phi: &Expr| phi.clone() * rho_p.clone() + (1.0 - phi.clone()) * rho_b.clone();
    let line = |letter, words, formula| Line::new(letter, words, G_CM3, formula);
    let with_voids =
        phi_c.clone() * rho_p.clone() + phi_c.clone() * (1.0 - above.clone()) / above.clone() * rho_b.clone();
    let core = |phi: &Expr| density::density(phi.value(), phi_c.value(), rho_p.value(), rho_b.value());
    // The formula for shares of the mass.
    let averaged =
        |phi: &Expr| number(1.0) / (phi.clone() / rho_p.clone() + (1.0 - phi.clone()) / rho_b.clone());
    let ask = |line: Line, phi: &Expr| {
        let asked = Asked::new(line, core(phi)).within(0.005);
        asked.mistake("densest-mixture-wrong-mass", &averaged(phi))
    };
    Task::new([rho_p.clone(), rho_b.clone(), phi_c.clone(), below.clone(), above.clone()])
        .name("powder", name)
        .ask(ask(line("ρ_1", "density-below", full(&below)), &below))
        .ask(ask(line("ρ_c", "density-at-critical", full(&phi_c)), &phi_c))
        .ask(
            ask(line("ρ_2", "density-above", with_voids), &above)
                .mistake("densest-mixture-wrong-voids", &full(&above)),
        )
}

/// Critical loading from two torques.
pub fn runaway(draws: &mut Draws) -> Task {
    let first = draws.on_scale([500, 580], 5, 10);
    let second = first + draws.on_scale([30, 50], 5, 10);
    let low = draws.on_scale([100, 160], 5, 1);
    let ratio = draws.on_scale([19, 30], 1, 1);
    let other = draws.on_scale([16, 18], 1, 10);
    let loading = |letter, words, value| symbol(letter, words, unit::VOLUME_PERCENT, value);
    let torque = |letter, words, value: f64| symbol(letter, words, N_M, value);
    let (phi_1, phi_2) = (loading("φ_1", "loading-first", first), loading("φ_2", "loading-second", second));
    let (t_1, t_2) =
        (torque("M_1", "torque-first", low / 100.0), torque("M_2", "torque-second", low * ratio / 1000.0));
    let m = symbol("m", "runaway-exponent", unit::PURE, 2.0);
    let m_other = symbol("m", "runaway-exponent-other", unit::PURE, other);
    let root = |m: &Expr| {
        Line::new("r", "torque-root", unit::PURE, (t_2.clone() / t_1.clone()).to(number(1.0) / m.clone()))
    };
    let critical = |r: &Expr| (r.clone() * phi_2.clone() - phi_1.clone()) / (r.clone() - 1.0);
    let asked = |m: &Expr, words: &'static str| {
        let r = root(m);
        let line = Line::new("φ_c", words, unit::VOLUME_PERCENT, critical(&r.symbol()));
        // The model: the loading at which the core's law gives the ratio of the torques, by bisection.
        let law = |phi: f64, phi_c: f64| relative_viscosity(LoadingLaw::Power, phi, phi_c, m.value());
        let ratio = |phi_c: f64| law(phi_2.value(), phi_c) / law(phi_1.value(), phi_c);
        let wanted = t_2.value() / t_1.value();
        let by_core = bisect(phi_2.value() * (1.0 + 1e-9), 1.0, HALVINGS, |phi_c| ratio(phi_c) <= wanted);
        Asked::new(line, by_core)
            .within(LOADING)
            .after([r])
            .mistake("runaway-wrong-root", &critical(&(t_2.clone() / t_1.clone())))
            .mistake("runaway-wrong-power", &critical(&(t_2.clone() / t_1.clone()).to(m.clone())))
    };
    Task::new([phi_1.clone(), t_1.clone(), phi_2.clone(), t_2.clone(), m.clone(), m_other.clone()])
        .ask(asked(&m, "critical-loading"))
        .ask(asked(&m_other, "critical-loading-other"))
}

/// More powder in a fluid that thins.
pub fn thinning(draws: &mut Draws) -> Task {
    let first = draws.on_scale([560, 610], 5, 10);
    let second = first + draws.on_scale([15, 35], 5, 10);
    let critical = second + draws.on_scale([25, 60], 5, 10);
    let loading = |letter, words, value| symbol(letter, words, unit::VOLUME_PERCENT, value);
    let phi_1 = loading("φ_1", "loading-first", first);
    let phi_2 = loading("φ_2", "loading-second", second);
    let phi_c = loading("φ_c", "critical-loading", critical);
    let m = symbol("m", "runaway-exponent", unit::PURE, 2.0);
    let n = drawn(draws, "n", "flow-exponent", unit::PURE, ([30, 55], 1, 100));
    let ratio = (phi_c.clone() - phi_1.clone()) / (phi_c.clone() - phi_2.clone());
    let newtonian = Line::new("x", "factor-newtonian", unit::PURE, ratio.clone().to(m.clone()));
    let x = newtonian.symbol();
    let equal = Line::new("x_τ", "factor-equal-stress", unit::PURE, x.clone().to(n.clone()));
    let binder = (1.0 - phi_2.clone()) / (1.0 - phi_1.clone());
    let even = x.clone().to((1.0 + n.clone()) / 2.0) * binder.clone().to((1.0 - n.clone()) / 2.0);
    let homogenised = Line::new("x_h", "factor-homogenised", unit::PURE, even);
    let law = |phi: &Expr| relative_viscosity(LoadingLaw::Power, phi.value(), phi_c.value(), m.value());
    let by_core = law(&phi_2) / law(&phi_1);
    // The branch K γ̇ⁿ gets the factor s rⁿ of the core's shift.
    let at_rate = |scaling| {
        let shift = Shift::new(scaling, by_core, binder.value());
        shift.stress * shift.rate.power(n.value())
    };
    Task::new([phi_1.clone(), phi_2.clone(), phi_c.clone(), m.clone(), n.clone()])
        .ask(
            Asked::new(newtonian.clone(), by_core)
                .mistake("thinning-wrong-linear", &ratio)
                .mistake("thinning-wrong-loadings", &(phi_2 / phi_1).to(m)),
        )
        .ask(
            Asked::new(equal, at_rate(LoadingScaling::EqualStress))
                .after([newtonian.clone()])
                .mistake("thinning-wrong-newtonian", &x)
                .mistake("thinning-wrong-root", &x.clone().to(number(1.0) / n.clone())),
        )
        .ask(
            Asked::new(homogenised, at_rate(LoadingScaling::Homogenised))
                .after([newtonian])
                .mistake("thinning-wrong-newtonian", &x)
                .mistake("thinning-wrong-equal-stress", &x.clone().to(n.clone()))
                .mistake("thinning-wrong-binder", &x.clone().to((1.0 + n) / 2.0)),
        )
}
