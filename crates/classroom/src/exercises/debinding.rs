//! Out of the part: diffusion in a bath, and gas in a furnace.

use super::drawn;
use crate::draw::Draws;
use crate::task::{Asked, Task};
use gatefrost_after::debinding::diffusion::Section;
use gatefrost_after::debinding::gas::{Atmosphere, permeability};
use gatefrost_after::debinding::kinetics::GAS;
use gatefrost_formula::{Expr, Line, number, pi, symbol, unit};

/// Time in a bath for two walls.
pub fn solvent(draws: &mut Draws) -> Task {
    let thin = draws.on_scale([20, 45], 1, 10);
    let thick = thin + draws.on_scale([10, 30], 5, 10);
    let wall = |letter, words, value| symbol(letter, words, unit::MM, value);
    let (h_1, h_2) = (wall("h_1", "wall-thin", thin), wall("h_2", "wall-thick", thick));
    let d = drawn(draws, "D", "diffusivity-binder", unit::UM2_S, ([90, 320], 1, 1));
    let left = drawn(draws, "F", "share-left", unit::PERCENT, ([10, 30], 1, 1));
    let time = |h: &Expr| {
        let log = (number(8.0) / (pi().squared() * left.clone())).ln();
        h.clone().squared() / (pi().squared() * d.clone()) * log
    };
    let line = |letter, words, h| Line::new(letter, words, unit::HOUR, time(h));
    let (t_1, t_2) = (line("t_1", "bath-thin", &h_1), line("t_2", "bath-thick", &h_2));
    let by_core = |h: &Expr| Section::Slab { half: 0.5 * h.value() }.time(left.value(), d.value());
    let removed = |h: &Expr| {
        let log = (number(8.0) / (pi().squared() * (1.0 - left.clone()))).ln();
        h.clone().squared() / (pi().squared() * d.clone()) * log
    };
    let linear = t_1.symbol() * h_2.clone() / h_1.clone();
    let ask = |line: &Line, h: &Expr| {
        let asked = Asked::new(line.clone(), by_core(h));
        asked
            .mistake("solvent-wrong-whole", &(4.0 * line.formula.clone()))
            .mistake("solvent-wrong-quarter", &(line.formula.clone() / 4.0))
            .mistake("solvent-wrong-removed", &removed(h))
    };
    let first = ask(&t_1, &h_1);
    let second = ask(&t_2, &h_2).mistake("solvent-wrong-linear", &linear);
    Task::new([h_1, h_2, d, left]).ask(first).ask(second)
}

/// Pressure of the gas inside a wall with open and with shut pores.
pub fn gas(draws: &mut Draws) -> Task {
    let h = drawn(draws, "h", "wall-both-sides", unit::MM, ([30, 60], 2, 10));
    let grain = drawn(draws, "d", "grain", unit::MICROMETRE, ([6, 20], 1, 1));
    let t = drawn(draws, "T", "furnace-temperature", unit::KELVIN, ([650, 750], 10, 1));
    let source = drawn(draws, "Γ", "gas-source", unit::KG_M3S, ([15, 50], 1, 1000));
    let mu = symbol("μ", "gas-viscosity", unit::UPA_S, 25.0);
    let molar = drawn(draws, "M", "gas-molar-mass", unit::G_MOL, ([42, 58], 2, 1));
    let outside = symbol("p_0", "pressure-outside", unit::KPA, 101.325);
    let open = drawn(draws, "ε_1", "porosity-open", unit::PERCENT, ([150, 300], 5, 10));
    let shut = drawn(draws, "ε_2", "porosity-shut", unit::PERCENT, ([20, 40], 1, 10));
    let gas_constant = || symbol("R", "gas-constant", unit::J_MOLK, GAS);
    let k = |letter, pores: &Expr| {
        let solid = 1.0 - pores.clone();
        let kozeny = pores.clone().to(3.0) * grain.clone().squared() / (180.0 * solid.squared());
        Line::new(letter, "permeability", unit::UM2, kozeny)
    };
    let excess = |letter, words, unit, k: &Line, half: Expr| {
        let flow = mu.clone() * gas_constant() * t.clone() * source.clone() * half.squared();
        let squares = outside.clone().squared() + flow / (k.symbol() * molar.clone());
        Line::new(letter, words, unit, squares.sqrt() - outside.clone())
    };
    let (k_1, k_2) = (k("K_1", &open), k("K_2", &shut));
    let half = || h.clone() / 2.0;
    let first = excess("Δp_1", "gas-pressure-open", unit::KPA, &k_1, half());
    let second = excess("Δp_2", "gas-pressure-shut", unit::MPA, &k_2, half());
    let by_core = |pores: &Expr| {
        let around =
            Atmosphere { pressure: outside.value(), viscosity: mu.value(), molar_mass: molar.value() };
        let section = Section::Slab { half: 0.5 * h.value() };
        around.excess(section, source.value(), t.value(), permeability(pores.value(), grain.value()))
    };
    let whole = |line: &Line, k: &Line| excess("", "", line.result.unit, k, h.clone()).formula;
    let absolute = |line: &Line| line.symbol() + outside.clone();
    let first_whole = whole(&first, &k_1);
    let second_whole = whole(&second, &k_2);
    let core_k = permeability(open.value(), grain.value());
    let radius = k_1.formula.clone() / 4.0;
    let asked_k = Asked::new(k_1.clone(), core_k).mistake("gas-wrong-radius", &radius);
    let asked_open = Asked::new(first.clone(), by_core(&open))
        .after([k_1])
        .mistake("gas-wrong-whole", &first_whole)
        .mistake("gas-wrong-absolute", &absolute(&first));
    let asked_shut = Asked::new(second.clone(), by_core(&shut))
        .after([k_2])
        .mistake("gas-wrong-whole", &second_whole)
        .mistake("gas-wrong-absolute", &absolute(&second));
    Task::new([h, grain, t, source, mu, molar, outside, open, shut, gas_constant()])
        .ask(asked_k)
        .ask(asked_open)
        .ask(asked_shut)
}
