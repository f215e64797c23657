//! What a user waits for: one set point, the coarse picture while dragging, the fine one at rest.
//!
//! `cargo xtask bench`
#![allow(missing_docs)]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use gatefrost_core::case::Case;
use gatefrost_core::scenario::{Role, demo};
use gatefrost_core::{fill, pack};
use gatefrost_window::{Detail, trace};
use std::hint::black_box;

fn stages(c: &mut Criterion) {
    let mut group = c.benchmark_group("hinge");
    let scenario = demo::default_demo().scenario();
    let case = Case::resolve(&scenario);
    group.bench_function("set point", |b| b.iter(|| black_box(&case).evaluate().fill.peak));
    group.bench_function("fill", |b| {
        b.iter(|| fill::unlimited(&case.material, &case.cavity, black_box(case.drive)).peak)
    });
    let filled = fill::unlimited(&case.material, &case.cavity, case.drive);
    group.bench_function("hold", |b| {
        b.iter(|| pack::hold(&case.material, &case.cavity, black_box(&filled.end), &case.hold).part_mass)
    });
    group.sample_size(10);
    group.bench_function("coarse window", |b| b.iter(|| trace(black_box(&scenario), Detail::Coarse)));
    group.bench_function("fine window", |b| b.iter(|| trace(black_box(&scenario), Detail::Fine)));
    group.finish();
}

/// A family tool of unlike branches off one sprue: the cost should grow with its passages, not faster.
fn passages(c: &mut Criterion) {
    let mut group = c.benchmark_group("passages");
    group.sample_size(10);
    for branches in [5, 10, 20] {
        let mut scenario = demo::default_demo().scenario();
        let [sprue, runner, gate, part] = [Role::Sprue, Role::Runner, Role::Gate, Role::Part].map(|role| {
            scenario.cavity.passages.iter().find(|p| p.role == role).expect("the demo has one").clone()
        });
        scenario.cavity.passages = vec![sprue];
        for k in 0..branches {
            let own = [&runner, &gate, &part].map(|passage| {
                let mut own = passage.clone();
                own.name = format!("{} {k}", passage.name);
                own.copies = 1;
                own.form.scale_depth(1.0 + 0.01 * f64::from(k));
                own
            });
            let first = scenario.cavity.passages.len();
            scenario.cavity.passages.extend(own);
            scenario.cavity.passages[first].after = Some(scenario.cavity.passages[0].name.clone());
        }
        // Ten cells a branch, however many branches.
        scenario.model.axial_cells = 10 * branches as u32;
        let case = Case::resolve(&scenario);
        group.throughput(Throughput::Elements(u64::from(case.cavity.cells.len() as u32)));
        group.bench_function(case.cavity.passages.len().to_string(), |b| {
            b.iter(|| black_box(&case).evaluate().fill.peak)
        });
    }
    group.finish();
}

criterion_group!(benches, stages, passages);
criterion_main!(benches);
