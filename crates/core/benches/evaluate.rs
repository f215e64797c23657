//! What a user waits for: one set point, the coarse picture while dragging, the fine one at rest.
//!
//! `cargo xtask bench`
#![allow(missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use gatefrost_core::case::Case;
use gatefrost_core::scenario::demo;
use gatefrost_core::window::{Detail, trace};
use gatefrost_core::{fill, pack};
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

criterion_group!(benches, stages);
criterion_main!(benches);
