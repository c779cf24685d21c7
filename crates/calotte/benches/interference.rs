//! Interference of built scissor linkages over their range, whole and in parts.
//!
//! `cargo bench -p calotte --bench interference`.
#![allow(missing_docs)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use calotte::built::{Built, Core, Piece, Profile};
use calotte::design::Arrangement;
use calotte::interference::cores::{PreparedCore, chord};
use calotte::interference::strips::{Shape, Strips};
use calotte::interference::{Clearing, assign_layers, distance};
use calotte::kinematics::Kinematics;
use common::{DEGREE, built, uniform};
use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::Vector3;

fn of_one_pair(criterion: &mut Criterion) {
    let arc = |shift: f64| Piece {
        core: Core::Arc(
            Vector3::new(shift, 0.1, 1.0).normalize(),
            Vector3::new(shift, 0.5, 1.0).normalize(),
        ),
        profile: Profile::Straight,
        half_width: 0.006,
        inner: 0.147,
        outer: 0.153,
        void: None,
    };
    let (first, second) = (arc(0.0), arc(0.1));
    criterion.bench_function("distance_of_two_arcs", |bencher| {
        bencher.iter(|| distance(black_box(&first), black_box(&second)));
    });
    let cores = [&first, &second].map(|piece| PreparedCore::new(&piece.core).unwrap());
    let shapes = [&first, &second].map(|piece| Shape::of(piece).unwrap());
    let strips = Strips::new(&shapes[0], &shapes[1]);
    criterion.bench_function("distance_of_two_arcs_prepared", |bencher| {
        bencher.iter(|| {
            let [first, second] = black_box(&cores);
            black_box(&strips).distance(chord(first, second))
        });
    });
}

fn over_the_range(criterion: &mut Criterion) {
    for (stages, arc) in [(2, 23.5), (3, 15.5)] {
        for arrangement in [Arrangement::Two, Arrangement::Nested] {
            let mut group = criterion.benchmark_group(format!("{stages}_stages_{arrangement:?}"));
            let design = built(uniform(stages, arc), arrangement);
            let kinematics = Kinematics::new(&design).unwrap();
            let parts = Built::new(&design, &kinematics.linkage).unwrap();
            let range = [10.0 * DEGREE, 170.0 * DEGREE];
            group.bench_function("prepare", |bencher| {
                bencher.iter(|| Clearing::new(black_box(&design), &kinematics, &parts).unwrap());
            });
            let clearing = Clearing::new(&design, &kinematics, &parts).unwrap();
            group.bench_function("free_range", |bencher| {
                bencher.iter(|| {
                    clearing
                        .free_range(black_box(range), 90.0 * DEGREE)
                        .unwrap()
                });
            });
            group.bench_function("allowed_intervals", |bencher| {
                bencher.iter(|| clearing.allowed_intervals(black_box(range)).unwrap());
            });
            let free = clearing.free_range(range, 90.0 * DEGREE).unwrap().range;
            group.bench_function("minimum_distances", |bencher| {
                bencher.iter(|| clearing.least_distances(black_box(free)).unwrap());
            });
            group.bench_function("assign_layers", |bencher| {
                bencher.iter(|| {
                    assign_layers(black_box(&design), &kinematics, range, [0.8, 2.2]).unwrap()
                });
            });
            group.bench_function("minimum_at", |bencher| {
                bencher.iter(|| clearing.least_at(black_box(90.0 * DEGREE)).unwrap());
            });
        }
    }
}

criterion_group!(benches, of_one_pair, over_the_range);
criterion_main!(benches);
