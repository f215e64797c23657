//! Limits that the fill decides, but for fronts.

use super::fork::{COPIES, FAR_GATE, FAR_PLATE, FORK, Fork, NEAR_PLATE, RUNNER, SPRUE, Shape, TIME, found};
use super::{Scale, check};
use gatefrost_core::limits::Limit;
use gatefrost_tests::build::{self, power_law};
use gatefrost_tests::numeric::simpson;
use serde_json::json;

/// Viscosity \[Pa s\].
const ETA: f64 = 200.0;

/// Pressure \[Pa\] at the runner's end and at the nozzle when all but the last of the far branch is full.
fn pressures(fork: Fork) -> [f64; 2] {
    let q = fork.rate();
    let each = q / COPIES;
    let junction = fork.far.drop(ETA, each, 0.0, 1.0) + FAR_PLATE.drop(ETA, each, 0.0, 1.0);
    [junction, junction + RUNNER.drop(ETA, q, 0.0, 1.0) + SPRUE.drop(ETA, q, 0.0, 1.0)]
}

/// The last branch takes the whole flow at the end: drops of sprue and runner at Q, of its copies at half of it.
#[test]
fn filling_needs_the_drops_on_the_way_to_the_last_end() {
    let fine = json!({ "model": { "axial_cells": 120, "layers": 8 } });
    let need = pressures(FORK)[1] / 1e6;
    for (most, usable) in [(need / 0.85, 90.0), (need / 0.95, 90.0), (2.0 * need, 48.0), (2.0 * need, 52.0)] {
        let mut changes = fine.clone();
        build::merge(
            &mut changes,
            &json!({ "machine": { "max_pressure": most }, "limits": { "pressure_use": usable } }),
        );
        check(
            &found(&FORK.filled(ETA, &changes), Limit::ShortShot),
            need,
            most * usable / 100.0,
            Scale::AtMost,
            2e-3,
        );
    }
}

/// What is left after the switch-over lies in the far branch. Newtonian melt needs a twentieth of the pressure at a
/// twentieth of the rate, the least that is asked for.
#[test]
fn the_rest_fills_at_a_twentieth_of_the_rate_under_the_hold_pressure() {
    let need = pressures(FORK)[1] / 1e6 / 20.0;
    for hold in [0.95 * need, 1.05 * need] {
        let changes = json!({
            "setup": { "switch_over": 90, "hold_pressure": hold }, "model": { "axial_cells": 120, "layers": 8 }
        });
        check(&found(&FORK.filled(ETA, &changes), Limit::SwitchOver), need, hold, Scale::AtMost, 3e-3);
    }
}

/// η = K exp[(E/R)(1/T − 1/T_r)] γ̇^(n−1) in the section of the lowest shear rate: here a sprue that widens to 12 mm, then
/// one of 3 mm, behind which the wide mouth of the far plate is sheared least.
#[test]
fn the_slowest_section_is_the_stiffest() {
    let (k, n, energy) = (4000.0, 0.4, 40e3);
    let shift = (energy / 8.314_462_618 * (1.0 / 443.15 - 1.0 / 433.15_f64)).exp();
    let wide = Fork { sprue: Shape::Tube(30e-3, [4e-3, 12e-3]), ..FORK };
    let slim = Fork { sprue: Shape::Tube(30e-3, [3e-3; 2]), ..FORK };
    for (fork, rate) in [
        (wide, wide.sprue.shear_rate(wide.rate(), 1.0)),
        (slim, FAR_PLATE.shear_rate(slim.rate() / COPIES, 0.0)),
    ] {
        let expected = k * shift * rate.powf(n - 1.0);
        for allowed in [0.95 * expected, 1.05 * expected] {
            let changes = json!({
                "feedstock": { "flow_law": power_law(k, n, 40.0) },
                "setup": { "melt_temperature": 170, "mould_temperature": 170 },
                "limits": { "viscosity": allowed }
            });
            check(
                &found(&fork.filled(k, &changes), Limit::StiffGate),
                expected,
                allowed,
                Scale::AtMost,
                1e-6,
            );
        }
    }
}

/// With several ram speeds the slowest decides in the sections that melt flows through meanwhile: η grows as the rate falls,
/// by r^(n−1). A first step that is slow does not count in sections that are reached later.
#[test]
fn the_slowest_step_of_the_ram_is_the_stiffest() {
    let (k, n) = (4000.0, 0.4);
    let wide = Fork { sprue: Shape::Tube(30e-3, [4e-3, 12e-3]), ..FORK };
    let slim = Fork { sprue: Shape::Tube(30e-3, [3e-3; 2]), ..FORK };
    // Rates of the steps over the mean rate: their times add up to one.
    let rates = |steps: [[f64; 2]; 2]| {
        let time: f64 = steps.iter().map(|[share, speed]| share / 100.0 / speed).sum();
        steps.map(|[_, speed]| speed * time)
    };
    let sprue = |fork: Fork, rate: f64| fork.sprue.shear_rate(rate * fork.rate(), 1.0);
    let plate = |fork: Fork, rate: f64| FAR_PLATE.shear_rate(rate * fork.rate() / COPIES, 0.0);
    let (slow_end, slow_start) = ([[90.0, 100.0], [10.0, 5.0]], [[2.0, 5.0], [98.0, 100.0]]);
    for (fork, steps, rate) in [
        (wide, slow_end, sprue(wide, rates(slow_end)[1])),
        (wide, slow_start, sprue(wide, rates(slow_start)[0])),
        (slim, slow_end, plate(slim, rates(slow_end)[1])),
        (slim, slow_start, sprue(slim, rates(slow_start)[0]).min(plate(slim, rates(slow_start)[1]))),
    ] {
        let ram = steps.map(|[share, speed]| json!({ "share": share, "speed": speed }));
        let changes = json!({
            "feedstock": { "flow_law": power_law(k, n, 0.0) }, "setup": { "ram": ram, "switch_over": 100 },
            "limits": { "viscosity": 1000 }, "model": { "axial_cells": 80 }
        });
        let m = found(&fork.filled(k, &changes), Limit::StiffGate);
        check(&m, k * rate.powf(n - 1.0), 1000.0, Scale::AtMost, 2e-2);
    }
}

/// τ_w = K [γ̇_a (2n + 1)/3n]ⁿ of a power law between plates, where the part is sheared most: at the far plate's narrow end.
/// Gates are sheared more and do not count.
#[test]
fn the_stress_is_that_at_the_wall_of_the_part() {
    for (k, n) in [(4000.0, 0.4), (200.0, 1.0)] {
        let rate = |x: f64| FAR_PLATE.shear_rate(FORK.rate() / COPIES, x);
        assert!(rate(1.0) > rate(0.0) && rate(1.0) > NEAR_PLATE.shear_rate(FORK.rate(), 1.0));
        let expected = k * (rate(1.0) * (2.0 * n + 1.0) / (3.0 * n)).powf(n) / 1e6;
        for allowed in [0.95 * expected, 1.05 * expected] {
            let changes = json!({
                "feedstock": { "flow_law": power_law(k, n, 0.0) }, "limits": { "wall_stress": allowed }
            });
            check(
                &found(&FORK.filled(k, &changes), Limit::WallStress),
                expected,
                allowed,
                Scale::AtMost,
                1e-5,
            );
        }
    }
}

/// v (1 − B h_g/h_s) with the gate's section where the melt leaves it and the plate's where it comes in, per copy.
#[test]
fn the_strand_leaves_the_end_of_the_gate() {
    // A strand from the near gate fills its plate at once: B h_g = 1.1 × 1.9 mm of 2 mm.
    let near = Shape::Strip(2e-3, [12e-3, 10e-3], [1.9e-3; 2]);
    for far in [FAR_GATE, FAR_GATE.turned()] {
        let fork = Fork { near, far, ..FORK };
        let open = 1.0 - 1.1 * far.depth(1.0) / FAR_PLATE.depth(0.0);
        let expected = fork.rate() / COPIES / far.area(1.0) * open;
        for allowed in [0.95 * expected, 1.05 * expected] {
            let s = fork.filled(ETA, &json!({ "limits": { "jet_speed": allowed } }));
            check(&found(&s, Limit::Jetting), expected, allowed, Scale::AtMost, 1e-6);
        }
    }
}

/// 6Q/wh² of one copy where the gate is narrowest, be it at its end or at its entry.
#[test]
fn separation_is_judged_where_the_gate_is_narrowest() {
    for (far, narrow) in [(FAR_GATE, 1.0), (FAR_GATE.turned(), 0.0)] {
        let fork = Fork { far, ..FORK };
        let expected = far.shear_rate(fork.rate() / COPIES, narrow);
        assert!(expected > 2.0 * far.shear_rate(fork.rate() / COPIES, 1.0 - narrow));
        for allowed in [0.95 * expected, 1.05 * expected] {
            let s = fork.filled(ETA, &json!({ "limits": { "shear_rate": allowed } }));
            check(&found(&s, Limit::Separation), expected, allowed, Scale::AtMost, 1e-6);
        }
    }
    // A round passage: 4Q/πR³, here of a sprue that is narrowest at its entry or at its end.
    let narrow = Shape::Tube(30e-3, [2e-3, 6e-3]);
    let wide = Shape::Strip(2e-3, [14e-3; 2], [1.6e-3; 2]);
    for (sprue, place) in [(narrow, 0.0), (narrow.turned(), 1.0)] {
        let fork = Fork { sprue, near: wide, far: wide };
        let expected = sprue.shear_rate(fork.rate(), place);
        for allowed in [0.95 * expected, 1.05 * expected] {
            let s = fork.filled(ETA, &json!({ "limits": { "shear_rate": allowed } }));
            check(&found(&s, Limit::Separation), expected, allowed, Scale::AtMost, 1e-6);
        }
    }
}

/// Share of the binder \[%\] that is lost in times at temperatures \[s, °C\], by Arrhenius' law from the onset: heated at
/// 10 K/min from 23 °C up to it, a sample loses 1 %. The temperature integral is that over 1/T, by another rule.
fn lost(onset: f64, energy: f64, stays: &[[f64; 2]]) -> f64 {
    let kelvin = |t: f64| t + 273.15;
    let rate = |t: f64| (-energy / 8.314_462_618 * (1.0 / kelvin(t) - 1.0 / kelvin(onset))).exp();
    // dT = −T² d(1/T).
    let heated = simpson(|u| rate(1.0 / u - 273.15) / (u * u), 1.0 / kelvin(onset), 1.0 / kelvin(23.0), 4000);
    let dose: f64 = stays.iter().map(|[time, t]| time * rate(*t)).sum();
    100.0 * (1.0 - 0.99_f64.powf(dose / (6.0 * heated)))
}

/// Melt and wall at one temperature and no heat of shear: what is lost is lost at the set temperature, over the shots that
/// the barrel holds and the cycle of set times, and while the mould fills.
#[test]
fn the_binder_loses_what_barrel_and_fill_take() {
    for (melt, onset, energy) in [(200.0, 210.0, 100e3), (170.0, 210.0, 100e3), (180.0, 200.0, 300e3)] {
        let shot = 2.0 * FORK.volume() * 1e6;
        let cycle = 4.0 + TIME + 1.0 + FORK.volume() * 1e6 / 8.0;
        let expected = lost(onset, energy, &[[3.0 * 2.0 * cycle + TIME, melt]]);
        for allowed in [0.95 * expected, 1.05 * expected] {
            let changes = json!({
                "feedstock": { "burn_onset": onset, "barrel_energy": energy / 1e3 },
                "machine": { "shot_volume": shot, "barrel_shots": 3, "dosing_rate": 8, "idle_time": 4 },
                "setup": { "melt_temperature": melt, "mould_temperature": melt },
                "limits": { "binder_loss": allowed }
            });
            check(
                &found(&FORK.filled(ETA, &changes), Limit::Burning),
                expected,
                allowed,
                Scale::AtMost,
                2e-3,
            );
        }
    }
}

/// Where conduction carries off all that a Newtonian fluid dissipates between walls at melt temperature, the middle is
/// ηγ̇_w²H²/12k warmer than they (Bird, Stewart and Lightfoot, from memory; derived in `tests/fill/limits.rs`).
#[test]
fn heat_of_shear_counts_as_hot_melt() {
    const K: f64 = 1.6;
    let (h, length, rise) = (1e-3, 0.1, 2.0);
    let time = 4.0 * h * h * 3.38e6 / K;
    let wall_rate = 3.0 * length / time / h;
    let eta = 12.0 * K * rise / (h * h) / (wall_rate * wall_rate);
    let strip = json!({ "strip": { "length": length * 1e3, "width": 20, "thickness": 2e3 * h } });
    // Hardly any time in the barrel, 10 s of idle time; a binder that loses nearly twice as much for each 2 K.
    let (onset, energy, volume) = (165.0, 500e3, 2.0 * h * 20e-3 * length * 1e6);
    let cycle = 10.0 + time + volume / 5e3;
    let stays = |rise: f64| [[0.1 * cycle, 160.0], [time, 160.0 + rise]];
    let expected = lost(onset, energy, &stays(rise));
    assert!(expected > 1.5 * lost(onset, energy, &stays(0.0)));
    for allowed in [0.8 * expected, 1.2 * expected] {
        let changes = json!({
            "feedstock": {
                "flow_law": power_law(eta, 1.0, 0.0), "no_flow_temperature": 20, "burn_onset": onset,
                "barrel_energy": energy / 1e3
            },
            "machine": { "shot_volume": volume, "barrel_shots": 0.1, "dosing_rate": 5e3, "idle_time": 10 },
            "setup": {
                "melt_temperature": 160, "mould_temperature": 160, "contact_conductance": 1e7, "injection_time": time,
                "hold_time": 0, "cooling_time": 0
            },
            "limits": { "binder_loss": allowed },
            "model": { "axial_cells": 80, "layers": 40 }
        });
        let s = build::scenario(json!([{ "name": "path", "role": "part", "form": strip }]), &changes);
        // Where the front has just passed, some layers are warmer for a while, by a twentieth of the rise.
        check(&found(&s, Limit::Burning), expected, allowed, Scale::AtMost, 0.06);
    }
}

/// ∫p dA at the end of filling: the near branch stands under the pressure at the junction, the far one, the runner and
/// the sprue under theirs; the sprue pushes with its section once, the others with their outlines.
fn filling_force(fork: Fork) -> f64 {
    let q = fork.rate();
    let [junction, _] = pressures(fork);
    let plate = FAR_PLATE.drop(ETA, q / COPIES, 0.0, 1.0);
    let near = junction * (fork.near.outline() + NEAR_PLATE.outline());
    let far = COPIES * (fork.far.force(ETA, q / COPIES, plate) + FAR_PLATE.force(ETA, q / COPIES, 0.0));
    let foot = junction + RUNNER.drop(ETA, q, 0.0, 1.0);
    let sprue = simpson(|x| SPRUE.area(x) * (foot + SPRUE.drop(ETA, q, x, 1.0)), 0.0, 1.0, 100);
    near + far + RUNNER.force(ETA, q, junction) + sprue
}

/// The whole projected area with all copies \[m²\]; the sprue's is its mean section.
fn area(fork: Fork) -> f64 {
    let once = RUNNER.outline() + fork.near.outline() + NEAR_PLATE.outline();
    once + COPIES * (fork.far.outline() + FAR_PLATE.outline()) + SPRUE.volume() / SPRUE.length()
}

/// Without a hold, filling decides; where nothing freezes, a hold puts its pressure on the whole area.
#[test]
fn the_clamp_stands_against_filling_and_holding() {
    let at = |hold: f64, clamp: f64, usable: f64| {
        let changes = json!({
            "setup": { "hold_pressure": hold }, "machine": { "clamp_force": clamp }, "limits": { "clamp_use": usable },
            "model": { "axial_cells": 160, "layers": 8 }
        });
        found(&FORK.filled(ETA, &changes), Limit::Flash)
    };
    let filling = filling_force(FORK) / 1e3;
    let holding = 60e6 * area(FORK) / 1e3;
    assert!(holding > 2.0 * filling, "{holding} kN, {filling} kN");
    for (hold, force) in [(0.0, filling), (60.0, holding)] {
        for clamp in [force / 0.8, force / 0.9] {
            check(&at(hold, clamp, 85.0), force, 0.85 * clamp, Scale::AtMost, 5e-3);
        }
        check(&at(hold, 2.0 * force, 45.0), force, 0.9 * force, Scale::AtMost, 5e-3);
    }
}

/// Nothing of these hangs on the injection time but by the rate: at half of it, twice the rates.
#[test]
fn twice_as_fast_is_twice_the_rate() {
    let at = |time: f64, limit: Limit| {
        found(&FORK.filled(ETA, &json!({ "setup": { "injection_time": time } })), limit).value
    };
    for limit in [Limit::Rate, Limit::Separation, Limit::Jetting, Limit::ShortShot] {
        let ratio = at(0.5 * TIME, limit) / at(TIME, limit);
        assert!((ratio - 2.0).abs() < 1e-6, "{limit:?}: {ratio}");
    }
}
