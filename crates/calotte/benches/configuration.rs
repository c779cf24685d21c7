//! One configuration of a four-stage scissor linkage, whole and in parts.
//!
//! Whole: joint angles in, 6×6 compliance at the tip out. What does not change
//! with the configuration is prepared once. `cargo bench --bench configuration`.
#![allow(missing_docs)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use calotte::design::Design;
use calotte::elasticity::Structure;
use calotte::kinematics::Kinematics;
use common::{DEGREE, reference_joints, uniform};
use criterion::{Criterion, criterion_group, criterion_main};

/// Swing and opening of the timed configuration, rad.
const MECHANISM: [f64; 2] = [0.3, 60.0 * DEGREE];

/// Four stages of 11.75°, aluminium bars of 12 × 6 mm at 150 mm, elastic joints.
fn four_stages() -> Design {
    let mut design = uniform(4, 11.75);
    design.joints.stiffness = Some(reference_joints());
    design.tool.tip_radius = 0.12;
    design
}

fn one_configuration(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("one_configuration");
    for (name, rigid) in [("elastic_joints", false), ("rigid_joints", true)] {
        let mut design = four_stages();
        if rigid {
            design.joints.stiffness = None;
        }
        let kinematics = Kinematics::new(&design).unwrap();
        let structure = Structure::new(&design, &kinematics.linkage).unwrap();
        let active = kinematics.active_from_mechanism(MECHANISM);
        group.bench_function(name, |bencher| {
            bencher.iter(|| {
                let pose = kinematics.forward(black_box(active)).unwrap();
                structure
                    .solve(&pose.configuration, &pose.frame)
                    .unwrap()
                    .tip_compliance()
            });
        });
    }
    let design = four_stages();
    let kinematics = Kinematics::new(&design).unwrap();
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    let active = kinematics.active_from_mechanism(MECHANISM);
    let pose = kinematics.forward(active).unwrap();
    group.bench_function("part_kinematics", |bencher| {
        bencher.iter(|| kinematics.forward(black_box(active)).unwrap());
    });
    group.bench_function("part_assembly_and_factor", |bencher| {
        bencher.iter(|| {
            structure
                .solve(black_box(&pose.configuration), &pose.frame)
                .unwrap()
        });
    });
    let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
    group.bench_function("part_tip_compliance", |bencher| {
        bencher.iter(|| black_box(&solved).tip_compliance());
    });
    group.bench_function("prepare_kinematics", |bencher| {
        bencher.iter(|| Kinematics::new(black_box(&design)).unwrap());
    });
    group.bench_function("prepare_structure", |bencher| {
        bencher.iter(|| Structure::new(black_box(&design), &kinematics.linkage).unwrap());
    });
    group.finish();
}

/// Length of the vectors of the peak loop: both stay in the fastest cache.
const PEAK_LENGTH: usize = 1024;

/// The machine's measured peak for comparison: y += a·x over short vectors, as
/// the factorisation does it, two operations an entry.
fn peak(criterion: &mut Criterion) {
    let design = four_stages();
    let kinematics = Kinematics::new(&design).unwrap();
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    eprintln!(
        "{} unknowns; {} operations in one pass of the peak loop",
        structure.unknowns(),
        2 * PEAK_LENGTH
    );
    let x: Vec<f64> = (0..PEAK_LENGTH).map(|i| 1.0 / (i + 1) as f64).collect();
    let mut y = vec![0.0; PEAK_LENGTH];
    criterion.bench_function("peak_multiply_add", |bencher| {
        bencher.iter(|| {
            let a = black_box(1e-9);
            for (y, x) in y.iter_mut().zip(&x) {
                *y += a * x;
            }
            black_box(&mut y);
        });
    });
}

criterion_group!(benches, one_configuration, peak);
criterion_main!(benches);
