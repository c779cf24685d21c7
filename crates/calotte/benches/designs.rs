//! Work over many configurations and designs: a search candidate, a map over
//! stages and arc, the conditioning of one design.
//! `cargo bench --bench designs`.
#![allow(missing_docs)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use calotte::analysis::Requirements;
use calotte::brief::{
    ArrangementChoice, Brief, FamilyName, KeepOut, KeepOutShape, Limits, LoadVector, Range,
};
use calotte::design::{Arrangement, DriveLayout, DriveRange};
use calotte::elasticity::Structure;
use calotte::kinematics::conditioning::conditioning;
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::working_range::all_ranges;
use calotte::kinematics::{Kinematics, Margins};
use calotte::quantity::Quantity;
use calotte::search::{Grid, complete_design, evaluate, evaluate_group};
use calotte::sphere::Region;
use calotte::subject::Subject;
use common::{DEGREE, built, reference_joints, uniform};
use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::{Matrix6, Vector3};

/// A brief whose grid is one scissor linkage.
fn brief(stages: usize, arc: f64) -> Brief {
    let mut brief = common::brief::brief();
    brief.region.excluded[0].half_angle = 20.0 * DEGREE;
    brief.tool.mass = Some(0.3.into());
    brief.loads[0].loads[0].force = LoadVector::Local(Vector3::new(0.0, 0.0, 5.0));
    brief.limits = Limits::of([
        (Quantity::ContactDeflection, 5e-3),
        (Quantity::Sag, 20e-3),
        (Quantity::LciMin, 0.1),
        (Quantity::TransmissionAngle, 20.0 * DEGREE),
    ]);
    brief.choice.families = vec![FamilyName::SCISSOR_LINKAGE];
    brief.choice.stages = vec![stages];
    brief.choice.arc = Range::single(arc * DEGREE);
    brief.choice.bend = Range::single(0.0);
    brief.choice.arm_arc = Range::single(1.0);
    // The larger one.
    brief.choice.sections.remove(0);
    brief.choice.drive_layouts = vec![DriveLayout::TwoBars];
    brief.objectives.clear();
    brief
}

fn search_candidate(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("search_candidate");
    for (stages, arc) in [(2, 24.0), (4, 11.75)] {
        let brief = brief(stages, arc);
        let grid = Grid::new(&brief);
        let requirements = Requirements::from_brief(&brief);
        let candidate = grid.group(0)[0];
        let design = complete_design(&brief, &requirements, &candidate).unwrap();
        let subject = requirements.subject(&design).unwrap();
        let verdict = evaluate(&subject, &requirements);
        assert!(
            verdict.is_whole(),
            "the timed candidate must reach the elastic part: {:?}",
            verdict.against()
        );
        group.bench_function(format!("{stages}_stages_whole"), |bencher| {
            bencher.iter(|| evaluate_group(black_box(&brief), &grid, 0));
        });
        group.bench_function(format!("{stages}_stages_kinematic_part"), |bencher| {
            bencher.iter(|| {
                let motion = requirements.motion(black_box(&design)).unwrap();
                *motion.summary()
            });
        });
        group.bench_function(format!("{stages}_stages_elastic_part"), |bencher| {
            bencher.iter(|| {
                let fresh = Subject::on(&subject.motion, black_box(&design).clone()).unwrap();
                evaluate(&fresh, &requirements)
            });
        });
    }
    group.finish();
}

/// The same brief with layers, pins and bearings: reach with clearing, conditioning,
/// stiffness, limits over 7 rings of 8 azimuths, more than 24 configurations.
fn built_candidate(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("built_candidate");
    for (stages, arc) in [(1, 46.0), (2, 24.0), (3, 16.5), (4, 12.5)] {
        let design = built(uniform(stages, arc), Arrangement::Two);
        let mut brief = brief(stages, arc);
        brief.coverage_min = 0.5;
        brief.limits.set(Quantity::ContactDeflection, Some(50e-3));
        brief.limits.set(Quantity::Sag, None);
        brief.joints = Some(design.joints);
        brief.layers = design.layers;
        brief.choice.sections = vec![design.section];
        for (name, arrangements, keep_outs) in [
            ("two", Vec::new(), false),
            ("fewest", vec![ArrangementChoice::Fewest], false),
            ("two_among_keep_outs", Vec::new(), true),
        ] {
            let mut brief = brief.clone();
            brief.choice.arrangements = arrangements;
            if keep_outs {
                brief.keep_outs = vec![KeepOut {
                    name: "post".to_string(),
                    shape: KeepOutShape::Cylinder {
                        from: Vector3::new(0.4, 0.0, -0.3),
                        to: Vector3::new(0.4, 0.0, 0.2),
                        radius: 0.03,
                    },
                    tool_may_touch: false,
                }];
            }
            let grid = Grid::new(&brief);
            let requirements = Requirements::from_brief(&brief);
            let candidate = grid.group(0)[0];
            let design = complete_design(&brief, &requirements, &candidate).unwrap();
            let verdict = evaluate(&requirements.subject(&design).unwrap(), &requirements);
            assert!(
                verdict.is_whole(),
                "{stages} {name}: {:?}",
                verdict.against()
            );
            group.bench_function(format!("{stages}_stages_{name}"), |bencher| {
                bencher.iter(|| evaluate_group(black_box(&brief), &grid, 0));
            });
        }
    }
    group.finish();
}

/// Compliance of a uniform scissor linkage at a polar angle; `None` out of reach.
fn cell(stages: usize, arc_deg: f64, polar: f64) -> Option<Matrix6<f64>> {
    let mut design = uniform(stages, arc_deg);
    design.joints.stiffness = Some(reference_joints());
    let kinematics = Kinematics::new(&design).ok()?;
    let ranges = all_ranges(&kinematics, &DriveRange::default(), &Margins::default());
    let second = ranges
        .iter()
        .find_map(|range| range.second_for_polar(&kinematics.meridian, polar))?;
    let structure = Structure::new(&design, &kinematics.linkage).ok()?;
    let pose = kinematics.forward_from_mechanism([0.0, second]).ok()?;
    let solved = structure.solve(&pose.configuration, &pose.frame).ok()?;
    Some(solved.tip_compliance())
}

fn map(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("map");
    group.sample_size(20);
    group.bench_function("8_x_33_cells_at_polar_40", |bencher| {
        bencher.iter(|| {
            let mut reached = 0;
            for stages in 1..=8 {
                for arc in 8..=40 {
                    let found = cell(stages, f64::from(arc), black_box(40.0 * DEGREE));
                    reached += usize::from(found.is_some());
                }
            }
            reached
        });
    });
    group.finish();
}

fn gci(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("gci_half_sphere");
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    for (name, design) in [
        ("2_stages", uniform(2, 24.0)),
        ("4_stages", uniform(4, 11.75)),
    ] {
        let kinematics = Kinematics::new(&design).unwrap();
        let (drives, margins) = (DriveRange::default(), Margins::default());
        let range = working_range(&kinematics, &drives, &margins, &region).unwrap();
        group.bench_function(name, |bencher| {
            bencher.iter(|| conditioning(black_box(&kinematics), &range, &region));
        });
        group.bench_function(format!("{name}_with_working_range"), |bencher| {
            bencher.iter(|| {
                let kinematics = black_box(&kinematics);
                let range = working_range(kinematics, &drives, &margins, &region).unwrap();
                conditioning(kinematics, &range, &region)
            });
        });
    }
    group.finish();
}

criterion_group!(benches, search_candidate, built_candidate, map, gci);
criterion_main!(benches);
