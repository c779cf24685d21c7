//! Redundant constraints by another formulation and another rank, sets of releases by
//! going through all of them, stiffness by solving the released design.

mod common;

use calotte::analysis::Requirements;
use calotte::analysis::releases::{OptionKind, ReleaseOptions, release_report};
use calotte::analysis::stage_curve::least_stiffness;
use calotte::design::{Arrangement, Design, NamedRelease, ToolCarrier};
use calotte::elasticity::{ElasticityError, Structure};
use calotte::kinematics::Kinematics;
use calotte::linkage::redundancy::{
    RedundancyError, RedundancyOptions, checked_redundancy, freed_motion, redundancy,
};
use calotte::linkage::{Configuration, Linkage};
use common::{DEGREE, arm, built, reference_joints, scissor, uniform};
use nalgebra::{DMatrix, Vector3};

const RADIUS: f64 = 0.15;

fn at(design: &Design, mechanism: [f64; 2]) -> (Linkage, Configuration) {
    let kinematics = Kinematics::new(design).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    (kinematics.linkage, pose.configuration)
}

/// Redundant constraints and mobility by the points of two rings on each joint's axis:
/// the point at the joint may not leave its place on the other body, a point 40 mm
/// further out may not leave the axis; rank by the eigenvalues of the Gram matrix. Derived
/// here, nothing shared with the library but the joints' directions.
fn by_two_points(linkage: &Linkage, configuration: &Configuration) -> [usize; 2] {
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let unknowns = 6 * (linkage.bodies.len() - 1);
    for joint in &linkage.joints {
        let axis = linkage.joint_axis(joint, configuration);
        let helper = if axis.x.abs() < 0.5 {
            Vector3::x()
        } else {
            Vector3::y()
        };
        let across = axis.cross(&helper).normalize();
        let other = axis.cross(&across);
        let asked: [(f64, &[Vector3<f64>]); 2] = [
            (RADIUS, &[across, other, axis]),
            (RADIUS + 0.04, &[across, other]),
        ];
        for (radius, directions) in asked {
            let point = axis * radius;
            for direction in directions {
                let mut row = vec![0.0; unknowns];
                for (place, sign) in [(joint.second, 1.0), (joint.first, -1.0)] {
                    if place.body == 0 {
                        continue;
                    }
                    let lever = point.cross(direction);
                    for k in 0..3 {
                        row[6 * (place.body - 1) + k] += sign * direction[k];
                        row[6 * (place.body - 1) + 3 + k] += sign * lever[k] / RADIUS;
                    }
                }
                rows.push(row);
            }
        }
    }
    let matrix = DMatrix::from_fn(rows.len(), unknowns, |i, j| rows[i][j]);
    let eigenvalues = (matrix.transpose() * &matrix).symmetric_eigenvalues();
    let greatest = eigenvalues.amax();
    let rank = eigenvalues.iter().filter(|e| **e > 1e-9 * greatest).count();
    [rows.len() - rank, unknowns - rank]
}

/// K06 of the counting table (derived): m rhombi carry 3m redundant constraints in space,
/// two coaxial base joints included, and keep two freedoms.
#[test]
fn rhombi_carry_three_redundant_constraints_each() {
    for stages in [1, 2, 3, 5] {
        let design = uniform(stages, 60.0 / stages as f64);
        let (linkage, first) = at(&design, [0.3, 1.4]);
        let (_, second) = at(&design, [-1.1, 2.0]);
        let options = RedundancyOptions::at_radius(RADIUS);
        let found = checked_redundancy(&linkage, [&first, &second], &options).unwrap();
        for found in &found {
            assert_eq!([found.redundant, found.mobility], [3 * stages, 2]);
            // Shares sum to the number of redundant constraints.
            let sum: f64 = found
                .per_joint
                .iter()
                .map(|joint| joint.radial + joint.axial + joint.tilt)
                .sum();
            assert!((sum - found.redundant as f64).abs() < 1e-9);
        }
        assert_eq!(by_two_points(&linkage, &first), [3 * stages, 2]);
        assert_eq!(by_two_points(&linkage, &second), [3 * stages, 2]);
        let locked = RedundancyOptions {
            drives_locked: true,
            ..options
        };
        let held = redundancy(&linkage, &first, &locked).unwrap();
        assert_eq!([held.redundant, held.mobility], [3 * stages, 0]);
    }
}

/// K03: an open chain carries none; a follower adds a body and as many constraints.
#[test]
fn an_arm_has_none_and_a_follower_adds_none() {
    let options = RedundancyOptions::at_radius(RADIUS);
    let (linkage, configuration) = at(&arm(60.0, 45.0), [0.3, 1.4]);
    let found = redundancy(&linkage, &configuration, &options).unwrap();
    assert_eq!([found.redundant, found.mobility], [0, 2]);
    assert_eq!(by_two_points(&linkage, &configuration), [0, 2]);
    let mut design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    design.tool.carried_by = ToolCarrier::Bisector;
    let (linkage, configuration) = at(&design, [0.3, 1.4]);
    let found = redundancy(&linkage, &configuration, &options).unwrap();
    assert_eq!([found.redundant, found.mobility], [6, 2]);
}

/// Every self-stress state is in equilibrium on every body: the rows that span them
/// lie in the null space of the transposed constraints, and are orthonormal.
#[test]
fn self_stress_is_in_equilibrium() {
    let (linkage, configuration) = at(&scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]), [0.3, 1.4]);
    let options = RedundancyOptions::at_radius(RADIUS);
    let found = redundancy(&linkage, &configuration, &options).unwrap();
    let (matrix, _) = calotte::linkage::redundancy::constraints(&linkage, &configuration, &options);
    assert!((&found.stresses * &matrix).amax() < 1e-11);
    let gram = &found.stresses * found.stresses.transpose();
    assert!((gram - DMatrix::identity(6, 6)).amax() < 1e-11);
}

/// A release that frees a motion names the bodies, and the structure agrees.
#[test]
fn a_release_of_an_arm_frees_a_motion() {
    let mut design = arm(60.0, 45.0);
    design.joints.stiffness = Some(reference_joints());
    design.joints.releases = vec![NamedRelease {
        joint: "elbow".to_string(),
        axial: true,
        tilt: false,
    }];
    let kinematics = Kinematics::new(&design).unwrap();
    let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
    let options = RedundancyOptions::at_radius(RADIUS);
    let freed = freed_motion(&kinematics.linkage, &pose.configuration, &options).unwrap();
    assert_eq!(freed.freedoms, 1);
    assert_eq!(freed.bodies, ["second-arc"]);
    assert_eq!(freed.off_sphere, ["second-arc"]);
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    assert!(matches!(
        structure.solve(&pose.configuration, &pose.frame),
        Err(ElasticityError::Singular)
    ));
}

#[test]
fn what_has_no_rank_is_an_error() {
    let (linkage, configuration) = at(&uniform(2, 25.0), [0.3, 1.4]);
    for radius in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let options = RedundancyOptions::at_radius(radius);
        assert!(matches!(
            redundancy(&linkage, &configuration, &options),
            Err(RedundancyError::Length { .. })
        ));
    }
    let options = RedundancyOptions::at_radius(RADIUS);
    // Opened by hand: one bar turned away.
    let mut open = configuration.clone();
    open.rotations[3] =
        calotte::sphere::direction::rotation_about(&Vector3::x(), 0.1) * open.rotations[3];
    assert!(matches!(
        redundancy(&linkage, &open, &options),
        Err(RedundancyError::NotClosed(_))
    ));
    // All side joints of a stage coincide: more freedoms on the sphere than counted.
    let (_, singular) = at(&uniform(2, 25.0), [0.3, 1e-13]);
    assert!(checked_redundancy(&linkage, [&singular, &configuration], &options).is_err());
}

fn soft(mut design: Design) -> Design {
    design.joints.stiffness = Some(reference_joints());
    design
}

/// All sets of releases of a design that take out exactly `redundant` constraints,
/// with their least stiffness; `None` where the structure can move.
fn every_set(design: &Design, redundant: usize) -> Vec<(Vec<NamedRelease>, Option<f64>)> {
    let linkage = Kinematics::new(design).unwrap().linkage;
    let joints: Vec<String> = linkage.joints.iter().map(|j| j.name.clone()).collect();
    let requirements = Requirements::without_brief(design);
    let mut found = Vec::new();
    for code in 0..4usize.pow(joints.len() as u32) {
        let mut rest = code;
        let mut set = Vec::new();
        let mut released = 0;
        for joint in &joints {
            let (axial, tilt) = (rest % 2 == 1, rest / 2 % 2 == 1);
            rest /= 4;
            released += usize::from(axial) + 2 * usize::from(tilt);
            if axial || tilt {
                set.push(NamedRelease {
                    joint: joint.clone(),
                    axial,
                    tilt,
                });
            }
        }
        if released == redundant {
            let mut design = design.clone();
            design.joints.releases = set.clone();
            found.push((set, least_stiffness(&design, &requirements)));
        }
    }
    found
}

/// One stage: the proposal is the best of all sets, solved one by one. A set that frees a
/// motion leaves no answer, or one by rounding that is a billionth of the others.
#[test]
fn the_proposal_is_the_best_of_all_sets() {
    let mut design = soft(uniform(1, 40.0));
    // Off the singular ends, so that every ring has an answer.
    design.drives.range.second = Some([50.0 * DEGREE, 140.0 * DEGREE]);
    let requirements = Requirements::without_brief(&design);
    let report = release_report(&design, &requirements, &ReleaseOptions::default()).unwrap();
    assert_eq!(report.redundant, 3);
    assert!(report.complete);
    let unreleased = least_stiffness(&design, &requirements).unwrap();
    let all = every_set(&design, 3);
    let best = all
        .iter()
        .filter_map(|(set, stiffness)| Some((set, (*stiffness)?)))
        .filter(|(_, stiffness)| *stiffness > 1e-6 * unreleased)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap();
    let proposal = &report.options[report.proposal.unwrap()];
    assert!(proposal.is_exact());
    let stiffness = proposal.stiffness.unwrap();
    assert!(
        (stiffness / best.1 - 1.0).abs() < 2e-3,
        "{stiffness} {best:?}"
    );
    // One tilt with one axial release, or three axial ones: 5·5 + C(5, 3).
    assert_eq!(all.len(), 35);
}

/// Each option's numbers are those of the design released in that way.
#[test]
fn options_say_what_the_released_design_does() {
    for design in [
        soft(scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0])),
        built(uniform(2, 25.0), Arrangement::Two),
    ] {
        let requirements = Requirements::without_brief(&design);
        let report = release_report(&design, &requirements, &ReleaseOptions::default()).unwrap();
        assert_eq!(report.redundant, 6);
        assert_eq!(report.releases_min, 3);
        let kinds = |kind| report.options.iter().filter(|o| o.kind == kind).count();
        assert_eq!(kinds(OptionKind::Unreleased), 1);
        // Eight joints, two releases each.
        assert_eq!(kinds(OptionKind::Single), 16);
        let unreleased = report.options[0].stiffness.unwrap();
        for option in &report.options {
            let mut released = design.clone();
            released.joints.releases = option.releases.clone();
            let expected = least_stiffness(&released, &requirements);
            if let Some(stiffness) = option.stiffness {
                assert!((stiffness / expected.unwrap() - 1.0).abs() < 1e-9);
                let loss = 1.0 - stiffness / unreleased;
                assert!((option.loss.unwrap() - loss).abs() < 1e-12);
                assert!(loss > -1e-9, "releasing never stiffens");
            } else {
                assert!(option.freed.is_some());
            }
            let removed = option
                .releases
                .iter()
                .map(|r| usize::from(r.axial) + 2 * usize::from(r.tilt))
                .sum::<usize>();
            if option.freed.is_none() {
                assert_eq!(option.redundant_left, 6 - removed);
                assert_eq!(option.mobility, 2);
            }
        }
        let proposal = &report.options[report.proposal.unwrap()];
        assert!(proposal.is_exact());
        let fewest = &report.options[report.fewest.unwrap()];
        assert!(fewest.is_exact() && fewest.count() == 3);
        assert!(proposal.stiffness >= fewest.stiffness);
        let partial = &report.options[report.partial.unwrap()];
        assert_eq!(partial.count(), 2);
    }
}
