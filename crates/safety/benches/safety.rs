//! What a user waits for who asks how safe a set point is.
//!
//! `cargo xtask bench`
#![allow(missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use gatefrost_core::scenario::demo;
use gatefrost_safety::{best, levers, yields};
use std::hint::black_box;

fn safety(c: &mut Criterion) {
    let mut group = c.benchmark_group("hinge");
    group.sample_size(10);
    let scenario = demo::default_demo().scenario();
    group.bench_function("best set point", |b| b.iter(|| best(black_box(&scenario))));
    group.bench_function("yield", |b| b.iter(|| yields(black_box(&scenario))));
    group.bench_function("levers", |b| b.iter(|| levers(black_box(&scenario))));
    group.finish();
}

criterion_group!(benches, safety);
criterion_main!(benches);
