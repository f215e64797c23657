//! Equal branches written out are the same as copies of one.

use gatefrost_core::case::Case;
use gatefrost_core::cavity::Passage;
use gatefrost_core::scenario::{Role, Scenario};
use gatefrost_core::stages::Point;
use gatefrost_tests::build;
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};
use std::ops::Range;

/// A feedstock with everything on: powder, latent heat, Tait's equation, a switch-over before the end and
/// a hold of two steps.
fn everything(cells: usize) -> Value {
    json!({
        "feedstock": {
            "solids_loading": 60, "measured_loading": 60, "binder_density": 880,
            "binder_heat_capacity": 2300, "binder_conductivity": 0.2,
            "latent_heat": 150, "solidus": 45, "liquidus": 75, "pvt": { "tait": {
                "b1m": 1.2, "b2m": 7, "b3m": 150, "b4m": 4.5, "b5": 60, "b6": 0.2,
                "b1s": 1.135, "b2s": 6, "b3s": 250, "b4s": 3, "b7": 0.065, "b8": 0.1, "b9": 0.02
            } }
        },
        "setup": {
            "injection_time": 0.4, "switch_over": 97, "hold_pressure": 60, "hold_time": 0.25,
            "further_hold": [{ "pressure": 30, "time": 2 }]
        },
        "model": { "axial_cells": cells }
    })
}

fn passage(name: &str, role: &str, copies: usize, after: Option<&str>, form: Value) -> Value {
    let mut out = json!({ "name": name, "role": role, "copies": copies, "form": form });
    if let Some(after) = after {
        out["after"] = json!(after);
    }
    out
}

/// Sprue, then `branches` of runner, gate and part, each written out with `copies`.
fn tool(branches: usize, copies: usize, cells: usize) -> Scenario {
    let mut passages = vec![passage(
        "sprue",
        "sprue",
        1,
        None,
        json!({ "tube": { "length": 3, "diameter": 4, "diameter_end": 5 } }),
    )];
    for _ in 0..branches {
        let runner = json!({ "tube": { "length": 20, "diameter": 3.5 } });
        let gate = json!({ "strip": { "length": 1.5, "width": 3, "thickness": 0.8 } });
        let part = json!({ "strip": { "length": 24, "width": 10, "thickness": 1.6 } });
        passages.push(passage("runner", "runner", copies, Some("sprue"), runner));
        passages.push(passage("gate", "gate", copies, None, gate));
        passages.push(passage("part", "part", copies, None, part));
    }
    build::scenario(json!(passages), &everything(cells))
}

/// Cells of the first branch's passages.
fn grid(case: &Case) -> Vec<usize> {
    case.cavity.ranges[..4].iter().map(ExactSizeIterator::len).collect()
}

/// The path with copies, and written out, on the same grid: written-out branches have more length to
/// divide, so that some numbers of cells have to be tried.
fn alike(branches: usize) -> (Case, Case) {
    let resolve = |n, copies, cells| Case::resolve(&tool(n, copies, cells));
    let written: Vec<Case> = (30..150).map(|cells| resolve(branches, 1, cells)).collect();
    let found = (20..60).rev().find_map(|cells| {
        let balanced = resolve(1, branches, cells);
        let like = written.iter().find(|c| grid(c) == grid(&balanced))?;
        Some((balanced, like.clone()))
    });
    found.expect("some numbers of cells divide them alike")
}

fn same(what: &str, found: f64, expected: f64, allowed: f64) {
    assert!(off(found, expected) < allowed, "{what}: {found} against {expected}");
}

fn compare(one: &Point<'_>, tree: &Point<'_>, branches: usize) {
    let (a, b) = (&one.fill, &tree.fill);
    same("needed pressure", b.peak, a.peak, 1e-9);
    same("opening force", b.opening_force, a.opening_force, 1e-9);
    same("time", b.end.time, a.end.time, 1e-9);
    assert!((b.coldest_front - a.coldest_front).abs() < 1e-6);
    assert!((b.end.hottest - a.end.hottest).abs() < 1e-6);
    let (h, k) =
        (&one.hold.as_ref().expect("the part is full"), &tree.hold.as_ref().expect("the part is full"));
    assert_eq!((h.gates.len(), k.gates.len(), k.ends.len()), (1, branches, branches));
    // What counts as stirred by next to no flow is a matter of the cells' sizes, here and below.
    same("mass", k.part_mass, h.part_mass, 1e-8);
    same("residual pressure", k.opened.residual + 1.0, h.opened.residual + 1.0, 1e-6);
    same("cooling", k.part_cooled.expect("cools"), h.part_cooled.expect("cools"), 1e-6);
    for (gate, end) in k.gates.iter().zip(&k.ends) {
        same("freeze", gate.freeze.expect("freezes"), h.gate_freeze().expect("freezes"), 1e-6);
        same(
            "centre",
            gate.centre_freeze.expect("freezes"),
            h.gates[0].centre_freeze.expect("freezes"),
            1e-6,
        );
        same("sealed pressure", end.sealed_pressure + 1.0, h.ends[0].sealed_pressure + 1.0, 1e-6);
        same("sealed temperature", end.sealed_temperature, h.ends[0].sealed_temperature, 1e-7);
        same("shrinkage", end.shrinkage, h.ends[0].shrinkage, 1e-6);
    }
    // Cell by cell, in every branch.
    let (from, to) = (&one.case.cavity, &tree.case.cavity);
    for branch in 0..branches {
        for passage in 0..4 {
            let written = if passage == 0 { 0 } else { passage + 3 * branch };
            for (i, j) in from.ranges[passage].clone().zip(to.ranges[written].clone()) {
                same("pressure", b.end.pressure[j] + 1.0, a.end.pressure[i] + 1.0, 1e-6);
                assert!((b.end.mean_temperature(j) - a.end.mean_temperature(i)).abs() < 1e-6);
                assert!((k.shrinkage[j] - h.shrinkage[i]).abs() < 1e-4);
            }
        }
    }
}

#[test]
fn branches_written_out_are_copies() {
    for branches in [2, 3] {
        let (balanced, tree) = alike(branches);
        assert!(balanced.cavity.cells.len() > 25, "{:?}", balanced.cavity.ranges);
        compare(&balanced.evaluate(), &tree.evaluate(), branches);
    }
}

/// Six levels of branches in two, written out as a tree of 63 passages, the last of the 32 followed by
/// one more, against a chain of passages with 1, 2, 4 … 32 copies. On the coarsest grid every passage has
/// two cells in both, a gate six.
#[test]
fn a_tree_of_sixty_four_passages_is_a_chain_of_copies() {
    let form = |level: usize| match level {
        5 => json!({ "strip": { "length": 8, "width": 5, "thickness": 1.2 } }),
        4 => json!({ "strip": { "length": 1, "width": 2, "thickness": 0.7 } }),
        _ => json!({ "tube": { "length": 10, "diameter": 4.0 - 0.4 * level as f64 } }),
    };
    let role = |level: usize| ["sprue", "runner", "runner", "runner", "gate", "part"][level];
    let chain: Vec<Value> =
        (0..6).map(|level| passage("level", role(level), 1 << level, None, form(level))).collect();
    let mut tree = Vec::new();
    for level in 0..6 {
        for k in 0..1_usize << level {
            let above = (level > 0).then(|| format!("{} {}", level - 1, k / 2));
            tree.push(passage(&format!("{level} {k}"), role(level), 1, above.as_deref(), form(level)));
        }
    }
    assert_eq!(tree.len(), 63);
    let run = |passages: &[Value]| Case::resolve(&build::scenario(json!(passages), &everything(4)));
    let (chain, tree) = (run(&chain), run(&tree));
    assert!(
        [&chain, &tree].iter().all(|c| {
            let alike =
                |(r, p): (&Range<usize>, &Passage)| r.len() == if p.role == Role::Gate { 6 } else { 2 };
            c.cavity.ranges.iter().zip(&c.cavity.passages).all(alike)
        }),
        "{:?}",
        chain.cavity.ranges
    );
    let (a, b) = (chain.evaluate(), tree.evaluate());
    let [h, k] = [&a, &b].map(|point| point.hold.as_ref().expect("the part is full"));
    same("needed pressure", b.fill.peak, a.fill.peak, 1e-6);
    same("mass", k.part_mass, h.part_mass, 1e-6);
    assert_eq!(k.gates.len(), 16);
    assert_eq!(k.ends.len(), 32);
    for gate in &k.gates {
        same("freeze", gate.freeze.expect("freezes"), h.gate_freeze().expect("freezes"), 1e-5);
    }
    for end in &k.ends {
        same("shrinkage", end.shrinkage, h.ends[0].shrinkage, 1e-4);
    }
}
