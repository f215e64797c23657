//! The flow laws by hand: viscosity at a shear rate, at the loading in use.

use crate::Facts;
use gatefrost_core::feedstock::{Shift, at_loading};
use gatefrost_core::scenario::FlowLaw;
use gatefrost_formula::{Expr, Line, constant, number, symbol, unit};

use super::Hand;

/// Gas constant \[J/mol K\].
const GAS: f64 = 8.314_462_618;
const ZERO: f64 = 273.15;

/// Viscosity at 1000 1/s and the melt temperature.
pub fn viscosity(f: &Facts<'_>, _row: usize) -> Hand {
    let feedstock = &f.scenario.feedstock;
    let factor = at_loading(feedstock).1;
    let binder = (100.0 - feedstock.solids_loading) / (100.0 - feedstock.measured_loading);
    let shift = Shift::new(feedstock.loading_scaling, factor, binder);
    let rate = symbol("γ̇", "shear rate", unit::PER_SECOND, 1000.0);
    let pure = |letter: &'static str, words: &'static str, value| symbol(letter, words, unit::PURE, value);
    let stress = |expr: Expr| match shift.stress == 1.0 {
        true => expr,
        false => pure("s", "factor of stresses by the loading", shift.stress) * expr,
    };
    let faster = |expr: Expr| match shift.rate == 1.0 {
        true => expr,
        false => pure("r", "factor of shear rates by the loading", shift.rate) * expr,
    };
    let melt = f.scenario.setup.melt_temperature;
    Ok(match &feedstock.flow_law {
        FlowLaw::PowerLaw(c) => {
            let at = arrhenius(melt, c.activation_energy, c.reference_temperature);
            let n = || pure("n", "flow exponent", c.n);
            let k = symbol(
                "K",
                "consistency at the reference temperature",
                unit::consistency(c.n),
                c.consistency,
            );
            let tau = Line::new(
                "τ",
                "shear stress",
                unit::KPA,
                stress(k * at.symbol()) * faster(rate.clone()).to(n()),
            );
            let eta = over_rate(&tau, rate);
            vec![at, tau, eta]
        }
        FlowLaw::HerschelBulkley(c) => {
            let at = arrhenius(melt, c.activation_energy, c.reference_temperature);
            let b = Line::new(
                "g",
                "shear rate as at the reference temperature",
                unit::PER_SECOND,
                faster(at.symbol() * rate.clone()),
            );
            let k = symbol(
                "K",
                "consistency at the reference temperature",
                unit::consistency(c.n),
                c.consistency,
            );
            let m = symbol("m", "regularisation", unit::SECOND, c.regularisation);
            let yielding =
                symbol("τ_y", "yield stress", unit::KPA, c.yield_stress) * (1.0 - (-(m * b.symbol())).exp());
            let whole = yielding + k * b.symbol().to(pure("n", "flow exponent", c.n));
            let tau = Line::new("τ", "shear stress", unit::KPA, stress(whole));
            let eta = over_rate(&tau, rate);
            vec![at, b, tau, eta]
        }
        FlowLaw::CarreauYasuda(c) => {
            let at = arrhenius(melt, c.activation_energy, c.reference_temperature);
            let eta0 = symbol("η_0", "viscosity at rest at the reference temperature", unit::PA_S, c.eta0);
            let lambda = symbol("λ", "relaxation time", unit::SECOND, c.relaxation_time);
            let a = || pure("a", "breadth of the transition", c.transition);
            let bend = 1.0 + faster(at.symbol() * lambda * rate).to(a());
            let n = pure("n", "flow exponent", c.n);
            let eta = at.symbol() * stress(faster(eta0)) * bend.to((n - 1.0) / a());
            let eta = Line::new("η", "viscosity", unit::PA_S, eta);
            vec![at, eta]
        }
        FlowLaw::CrossWlf(c) => {
            let above = f.melt() - symbol("D_2", "reference temperature", unit::CELSIUS, c.d2);
            let a1 = pure("A_1", "WLF constant", c.a1);
            let a2 = symbol("A_2", "WLF temperature", unit::KELVIN, c.a2);
            let d1 = symbol("D_1", "viscosity constant", unit::PA_S, c.d1);
            let eta0 = stress(faster(d1)) * (-(a1 * above.clone() / (a2 + above))).exp();
            let eta0 = Line::new("η_0", "viscosity at rest", unit::PA_S, eta0);
            let star = stress(symbol("τ*", "stress at the onset of thinning", unit::KPA, c.tau_star));
            let n = pure("n", "flow exponent", c.n);
            let eta = eta0.symbol() / (1.0 + (eta0.symbol() * rate / star).to(1.0 - n));
            let eta = Line::new("η", "viscosity", unit::PA_S, eta);
            vec![eta0, eta]
        }
    })
}

/// The shift of temperature, a_T = exp[(E/R)(1/T − 1/T_r)].
fn arrhenius(melt: f64, energy: f64, reference: f64) -> Line {
    let kelvin = |letter: &'static str, words: &'static str, celsius: f64| {
        symbol(letter, words, unit::KELVIN, celsius + ZERO)
    };
    let t = kelvin("T", "melt temperature, absolute", melt);
    let r = kelvin("T_r", "reference temperature, absolute", reference);
    let energy = symbol("E", "flow activation energy", unit::KJ_MOL, energy);
    let gas = symbol("R", "gas constant", unit::J_MOLK, GAS);
    Line::new(
        "a_T",
        "shift of temperature",
        unit::PURE,
        (energy / gas * (number(1.0) / t - number(1.0) / r)).exp(),
    )
}

fn over_rate(tau: &Line, rate: Expr) -> Line {
    Line::new("η", "viscosity", unit::PA_S, tau.symbol() / rate)
}

/// First zero of the Bessel function J₀.
pub(super) fn bessel() -> Expr {
    constant("j", 2.404_825_557_695_773)
}
