//! Virtual joints against reference values, against the structure with rigid
//! joints, and against what theory asks of any of them.

mod common;

use calotte::design::{Design, Family, NamedRelease, ScissorLinkage, Support, ToolCarrier};
use calotte::elasticity::arc::{BarStiffness, end_compliance, transport};
use calotte::elasticity::virtual_joints::{
    ASSEMBLY_TOLERANCE, Comparison, Entry, SpringJacobian, VirtualJointError, VirtualJointModel,
    compare, hand_estimate, spring_jacobian, virtual_joint_compliance,
};
use calotte::elasticity::{ElasticityError, Structure};
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::kinematics::{Kinematics, Pose};
use calotte::linkage::{Body, BodyArc};
use calotte::stock::Section;
use common::*;
use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use VirtualJointModel::{EndOfArcSprings, HandEstimate, MidArcSprings};

fn at(design: &Design, mechanism: [f64; 2]) -> (Kinematics, Pose) {
    let kinematics = Kinematics::new(design).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    (kinematics, pose)
}

fn by_model(design: &Design, mechanism: [f64; 2], model: VirtualJointModel) -> Matrix6<f64> {
    let (kinematics, pose) = at(design, mechanism);
    let (configuration, frame) = (&pose.configuration, &pose.frame);
    virtual_joint_compliance(design, &kinematics.linkage, configuration, frame, model).unwrap()
}

fn jacobian(design: &Design, mechanism: [f64; 2], model: VirtualJointModel) -> SpringJacobian {
    let (kinematics, pose) = at(design, mechanism);
    let (configuration, frame) = (&pose.configuration, &pose.frame);
    spring_jacobian(design, &kinematics.linkage, configuration, frame, model).unwrap()
}

fn structure_compliance(design: &Design, mechanism: [f64; 2]) -> Matrix6<f64> {
    let (kinematics, pose) = at(design, mechanism);
    let structure = Structure::new(design, &kinematics.linkage).unwrap();
    let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
    solved.tip_compliance()
}

fn comparison(design: &Design, mechanism: [f64; 2]) -> Comparison {
    let (kinematics, pose) = at(design, mechanism);
    let (configuration, frame) = (&pose.configuration, &pose.frame);
    compare(design, &kinematics.linkage, configuration, frame).unwrap()
}

/// Greatest |Aᵢⱼ − Bᵢⱼ|/√(Bᵢᵢ Bⱼⱼ).
fn difference(a: &Matrix6<f64>, b: &Matrix6<f64>) -> f64 {
    let scale = Vector6::from_fn(|i, _| 1.0 / b[(i, i)].sqrt());
    let scale = Matrix6::from_diagonal(&scale);
    (scale * (a - b) * scale).amax()
}

/// The two stages of 23.5° at α = 50° that the check values are for.
fn checked_case() -> (Design, [f64; 2]) {
    (uniform(2, 23.5), [0.4, 100.0 * DEGREE])
}

#[test]
fn mid_arc_springs_and_hand_estimate_give_their_check_values() {
    // Derived: a separate program with its loops written out by hand, µm/N.
    let (design, mechanism) = checked_case();
    let c = by_model(&design, mechanism, MidArcSprings) * 1e6;
    for (entry, wanted) in Entry::ALL
        .into_iter()
        .zip([22.7605, 8.8604, 56.5904, -28.1445])
    {
        assert!((entry.of(&c) - wanted).abs() < 1e-4, "{entry:?} {c}");
    }
    let (kinematics, pose) = at(&design, mechanism);
    let (configuration, frame) = (&pose.configuration, &pose.frame);
    let hand = hand_estimate(&design, &kinematics.linkage, configuration, frame).unwrap();
    assert!((hand.polar * 1e6 - 9.5838).abs() < 1e-4, "{hand:?}");
    assert!((hand.radial * 1e6 - 16.0513).abs() < 1e-4, "{hand:?}");
    assert!((hand.polar_radial * 1e6 + 12.1088).abs() < 1e-4, "{hand:?}");
    assert_eq!(hand.azimuth, None);
    assert_eq!(hand.entry(Entry::Azimuth), None);
    // Its matrix shows why: nothing yields along azimuth.
    let matrix = by_model(&design, mechanism, HandEstimate);
    assert!(matrix[(1, 1)] < 1e-12 * matrix[(0, 0)]);
}

#[test]
fn the_model_is_counted_as_the_linkage_is_built() {
    let (design, mechanism) = checked_case();
    // Eight arcs, six passive joints, two rhombi; 12 rows leave 30 − 12 motions.
    let mid = jacobian(&design, mechanism, MidArcSprings);
    assert_eq!(
        (mid.spring_count, mid.passive_count, mid.loop_count),
        (24, 6, 2)
    );
    assert_eq!(mid.springs.ncols(), 18);
    let hand = jacobian(&design, mechanism, HandEstimate);
    assert_eq!((hand.spring_count, hand.springs.ncols()), (8, 2));
    // An arm closes no loop: its springs move freely.
    let open = jacobian(&arm(60.0, 50.0), [0.1, 1.2], MidArcSprings);
    assert_eq!(
        (open.spring_count, open.passive_count, open.loop_count),
        (6, 0, 0)
    );
    assert_eq!(open.springs.ncols(), 6);
}

#[test]
fn virtual_joints_lie_in_their_band_in_the_middle_of_the_reach() {
    for (stages, arc) in [(2, 23.5), (3, 47.0 / 3.0)] {
        let c = comparison(&uniform(stages, arc), [0.4, 100.0 * DEGREE]);
        for row in &c.rows[..3] {
            assert_eq!(row.as_expected(), Some(true), "{row:?}");
        }
        for entry in [Entry::Polar, Entry::Azimuth] {
            let excess = c.row(entry).virtual_joints_too_stiff().unwrap();
            assert!((0.07..0.50).contains(&excess), "{entry:?} {excess}");
        }
        let radial = c.row(Entry::Radial).virtual_joints_difference.unwrap();
        assert!(radial.abs() < 0.15, "{radial}");
        assert!(c.assembly_difference < ASSEMBLY_TOLERANCE);
    }
}

#[test]
fn more_stages_bring_less_than_the_virtual_joints_say() {
    // Polar stiffness at 30° with 94° of arc in all: the reference turns back
    // after four stages, the virtual joints go on rising, too stiff ever more.
    let row = |stages: usize| {
        let arc = 47.0 / stages as f64;
        let cosine = (15.0 * DEGREE / stages as f64).tan() / (arc * DEGREE).tan();
        *comparison(&uniform(stages, arc), [0.0, 2.0 * cosine.acos()]).row(Entry::Polar)
    };
    let rows: Vec<_> = (1..=6).map(row).collect();
    assert!(rows[5].reference > rows[3].reference);
    for pair in rows.windows(2) {
        assert!(pair[1].virtual_joints < pair[0].virtual_joints);
        let excess = |i: usize| pair[i].virtual_joints_too_stiff().unwrap();
        assert!(excess(1) > excess(0));
        // Shear and axial deformation count for more and more.
        let share = |i: usize| 1.0 - pair[i].without_shear_and_axial / pair[i].reference;
        assert!(share(1) > share(0) && share(0) > 0.0);
    }
}

/// A random linkage with random sizes and carrier, and a configuration well
/// inside its range.
fn random_case(sample: u64) -> (Design, [f64; 2]) {
    let mut random = ChaCha8Rng::seed_from_u64(20);
    random.set_stream(sample);
    let mut between = |low: f64, high: f64| random.random_range(low..high);
    let (mut design, mechanism) = if sample % 5 == 4 {
        let arcs = [between(25.0, 100.0), between(25.0, 100.0)];
        let turn = between(-160.0, 160.0) * DEGREE;
        (arm(arcs[0], arcs[1]), [between(-3.0, 3.0), turn])
    } else {
        let stages = 1 + (sample as usize / 5) % 4;
        let mean = 50.0 / stages as f64;
        let mut arcs = || -> Vec<f64> {
            (0..stages)
                .map(|_| mean * between(0.9, 1.15) * DEGREE)
                .collect()
        };
        let proximal_arcs = arcs();
        // Longer distal arcs close at any opening.
        let distal_arcs = arcs().iter().map(|arc| 1.3 * arc).collect();
        let bends = (1..stages).map(|_| between(-8.0, 15.0) * DEGREE).collect();
        let family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs,
            distal_arcs,
            bends,
            assembly_modes: vec![1; stages],
            sides: Default::default(),
        });
        let half_angle = between(35.0, 60.0) * DEGREE;
        (design(family), [between(-3.0, 3.0), 2.0 * half_angle])
    };
    design.section = Section::Rectangle {
        tangential: between(0.006, 0.016),
        radial: between(0.004, 0.012),
    };
    design.joint_radius = between(0.12, 0.4);
    design.tool.tip_radius = design.joint_radius * between(0.6, 1.3);
    design.tool.bracket_arc = between(-20.0, 20.0) * DEGREE;
    design.joints.boss_diameter = [0.0, 0.01][sample as usize % 2];
    let carriers = [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector];
    design.tool.carried_by = carriers[sample as usize % 3];
    if sample.is_multiple_of(7) && sample % 5 != 4 {
        design.joints.releases = vec![NamedRelease {
            joint: "side-left-1".to_string(),
            axial: true,
            tilt: sample.is_multiple_of(2),
        }];
    }
    (design, mechanism)
}

#[test]
fn full_springs_equal_the_structure_on_random_designs() {
    for sample in 0..200 {
        let (design, mechanism) = random_case(sample);
        let reference = structure_compliance(&design, mechanism);
        let c = by_model(&design, mechanism, EndOfArcSprings);
        let apart = difference(&c, &reference);
        assert!(apart < 1e-8, "sample {sample}: {apart:.1e}");
        assert!(c.symmetric_eigenvalues().min() > 0.0, "sample {sample}");
        let mid = by_model(&design, mechanism, MidArcSprings);
        assert!(
            mid.fixed_view::<3, 3>(0, 0).symmetric_eigenvalues().min() > 0.0,
            "sample {sample}"
        );
    }
}

#[test]
fn full_springs_equal_the_structure_of_thick_bars() {
    // Depth over radius 0.24: the Winkler form with its coupling.
    let mut design = scissor(&[50.0], &[60.0], &[]);
    design.section = Section::Rectangle {
        tangential: 0.012,
        radial: 0.036,
    };
    let reference = structure_compliance(&design, [0.2, 1.7]);
    let c = by_model(&design, [0.2, 1.7], EndOfArcSprings);
    assert!(difference(&c, &reference) < 1e-8);
    // The springs at mid-arc bend about the shifted line too: close to, not at, the thin form.
    let bar = BarStiffness::new(&design.section, &design.material, 0.15);
    assert!(bar.winkler_shift.is_some());
    let mid = by_model(&design, [0.2, 1.7], MidArcSprings);
    assert!(mid[(2, 2)] < reference[(2, 2)]);
}

#[test]
fn a_serial_arm_is_the_sum_of_its_parts() {
    // C = Σ J Cᵢ Jᵀ over the arcs' ends, each in its own frame, by hand.
    let mut design = arm(70.0, 55.0);
    design.tool.tip_radius = 0.11;
    let elbow = 65.0 * DEGREE;
    let (_, pose) = at(&design, [0.2, elbow]);
    let bar = BarStiffness::new(&design.section, &design.material, 0.15);
    let rotations = &pose.configuration.rotations;
    let tip = rotations[2] * Vector3::new((55.0 * DEGREE).sin(), 0.0, (55.0 * DEGREE).cos()) * 0.11;
    let mut sum = Matrix6::zeros();
    for (body, arc) in [(1, 70.0 * DEGREE), (2, 55.0 * DEGREE)] {
        let end = end_compliance(0.15, arc, &bar);
        // End frame (r, t, z) of an arc from z towards x, in the base frame.
        let r = rotations[body] * Vector3::new(arc.sin(), 0.0, arc.cos());
        let t = rotations[body] * Vector3::new(arc.cos(), 0.0, -arc.sin());
        let axes = Matrix3::from_columns(&[r, t, r.cross(&t)]);
        let to_local = pose.frame.rotation().transpose();
        let mut j = Matrix6::zeros();
        j.fixed_view_mut::<3, 3>(0, 0).copy_from(&(to_local * axes));
        j.fixed_view_mut::<3, 3>(3, 3).copy_from(&(to_local * axes));
        let lever = -(tip - r * 0.15).cross_matrix();
        j.fixed_view_mut::<3, 3>(0, 3)
            .copy_from(&(to_local * lever * axes));
        sum += j * end * j.transpose();
    }
    let c = by_model(&design, [0.2, elbow], EndOfArcSprings);
    assert!(difference(&c, &sum) < 1e-12);
    // The clamped end frames are carried on as the exact arc carries them.
    let half = transport(0.15, 20.0 * DEGREE);
    let whole = end_compliance(0.15, 55.0 * DEGREE, &bar);
    let parts = half * end_compliance(0.15, 35.0 * DEGREE, &bar) * half.transpose()
        + end_compliance(0.15, 20.0 * DEGREE, &bar);
    assert!(difference(&parts, &whole) < 1e-12);
}

#[test]
fn a_cantilevered_arc_with_three_springs_is_its_hand_sum() {
    // An arm stretched in line, drives locked: two arcs, three springs each at
    // their middles, radial force at the tip of one plane: Σ (R sin ψ)²·l/EI_n.
    let design = arm(40.0, 30.0);
    let c = by_model(&design, [0.0, 0.0], MidArcSprings);
    let bar = BarStiffness::new(&design.section, &design.material, 0.15);
    let part = |arc: f64, to_tip: f64| {
        (0.15 * (to_tip * DEGREE).sin()).powi(2) * 0.15 * arc * DEGREE / bar.bending_in_plane
    };
    let by_hand = part(40.0, 50.0) + part(30.0, 15.0);
    assert!((c[(2, 2)] / by_hand - 1.0).abs() < 1e-12);
    // Azimuth force, across the plane: bending about the radial axis with lever
    // R sin ψ, torsion with R (1 − cos ψ).
    let across = |arc: f64, to_tip: f64| {
        let (sine, cosine) = (to_tip * DEGREE).sin_cos();
        0.15 * arc
            * DEGREE
            * ((0.15 * sine).powi(2) / bar.bending_out_of_plane
                + (0.15 * (1.0 - cosine)).powi(2) / bar.torsional)
    };
    let by_hand = across(40.0, 50.0) + across(30.0, 15.0);
    assert!((c[(1, 1)] / by_hand - 1.0).abs() < 1e-12);
}

#[test]
fn the_drive_columns_are_the_rigid_jacobian() {
    for sample in 0..40 {
        let (mut design, mechanism) = random_case(sample);
        design.drives.ratio = [2.0, -3.0];
        let (kinematics, pose) = at(&design, mechanism);
        let (configuration, frame) = (&pose.configuration, &pose.frame);
        let by_springs = spring_jacobian(
            &design,
            &kinematics.linkage,
            configuration,
            frame,
            MidArcSprings,
        )
        .unwrap();
        let rigid = tool_jacobian(&kinematics.linkage, configuration, frame).unwrap()
            * design.tool.tip_radius;
        let apart = (by_springs.drives.fixed_view::<2, 2>(0, 0) - rigid).amax();
        assert!(apart < 1e-10 * rigid.amax(), "sample {sample}: {apart:.1e}");
        // The tip stays on its sphere.
        assert!(by_springs.drives.row(2).amax() < 1e-12);
        // And the spring columns are the compliance.
        let springs = &by_springs.springs;
        let c = by_model(&design, mechanism, MidArcSprings);
        assert!((springs * springs.transpose() - c).amax() < 1e-14 * c.amax());
    }
}

#[test]
fn left_and_right_carriers_are_mirror_images() {
    let left = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    let mut right = left.clone();
    right.tool.carried_by = ToolCarrier::Right;
    // Azimuth displacement, and rotations about polar and radial, change sign.
    let mirror = Matrix6::from_diagonal(&Vector6::new(1.0, -1.0, 1.0, -1.0, 1.0, -1.0));
    for model in [MidArcSprings, EndOfArcSprings] {
        let [a, b] = [&left, &right].map(|design| by_model(design, [0.3, 1.4], model));
        assert!(difference(&(mirror * b * mirror), &a) < 1e-10, "{model:?}");
        // They differ: the tip's rotations depend on the bar that carries it.
        assert!(difference(&b, &a) > 1e-3);
    }
}

#[test]
fn compliance_turns_with_the_mechanism_and_scales_with_the_modulus() {
    let mut design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    design.tool.carried_by = ToolCarrier::Bisector;
    design.tool.tip_radius = 0.12;
    let first = by_model(&design, [0.3, 1.4], MidArcSprings);
    assert!(difference(&by_model(&design, [2.1, 1.4], MidArcSprings), &first) < 1e-10);
    let mut stiffer = design.clone();
    stiffer.material.youngs_modulus = (2.0 * design.material.youngs_modulus.value).into();
    stiffer.material.shear_modulus = (2.0 * design.material.shear_modulus.value).into();
    let halved = by_model(&stiffer, [0.3, 1.4], MidArcSprings) * 2.0;
    assert!(difference(&halved, &first) < 1e-10);
}

#[test]
fn joint_stiffness_drives_and_support_are_left_out() {
    let (rigid, mechanism) = checked_case();
    let mut soft = rigid.clone();
    soft.joints.stiffness = Some(reference_joints());
    for drive in &mut soft.drives.each {
        drive.stiffness = Some(500.0.into());
    }
    soft.mount.support = Some(Support::Springs {
        at_radius: 0.15,
        axial: 1e6.into(),
        lateral: 8e5.into(),
        tilt: 900.0.into(),
        twist: 700.0.into(),
    });
    assert_eq!(
        by_model(&soft, mechanism, MidArcSprings),
        by_model(&rigid, mechanism, MidArcSprings)
    );
    // The comparison takes its reference without them too.
    let (a, b) = (comparison(&soft, mechanism), comparison(&rigid, mechanism));
    assert_eq!(a, b);
    let reference = structure_compliance(&rigid, mechanism);
    assert_eq!(a.row(Entry::Radial).reference, reference[(2, 2)]);
    assert!(structure_compliance(&soft, mechanism)[(2, 2)] > 1.05 * reference[(2, 2)]);
}

#[test]
fn the_comparison_says_what_it_found() {
    let (design, mechanism) = checked_case();
    let c = comparison(&design, mechanism);
    let polar = c.row(Entry::Polar);
    // By hand from the check values: 27.23632/22.76054 and 27.23632/9.58382.
    assert!((polar.virtual_joints_too_stiff().unwrap() - 0.19665).abs() < 1e-4);
    let hand = 1.0 / (1.0 + polar.hand_estimate_difference.unwrap());
    assert!((hand - 2.84191).abs() < 1e-4);
    let coupling = c.row(Entry::PolarRadial);
    assert_eq!(coupling.virtual_joints_too_stiff(), None);
    assert!((coupling.virtual_joints_difference.unwrap() + 0.03928).abs() < 1e-4);
    let azimuth = c.row(Entry::Azimuth);
    assert_eq!(
        (azimuth.hand_estimate, azimuth.hand_estimate_difference),
        (None, None)
    );
    for words in [
        "19.7 % too stiff in polar, 37.4 % too stiff in azimuth, 2.7 % too stiff in radial",
        "shear and axial deformation of the bars (1.5 % in polar, 2.1 % in azimuth, 0.1 % in radial",
        "overstate what more stages bring",
        "184 % too stiff in polar, 262 % too stiff in radial; azimuth is not represented",
        "within 1e-8",
    ] {
        assert!(c.explanation.contains(words), "{words}\n{}", c.explanation);
    }
    assert!(!c.explanation.contains("Outside the usual band"));
    // Wide open, at a small polar angle, polar lies outside the band and says so.
    let wide = comparison(&uniform(4, 11.75), [0.0, 150.0 * DEGREE]);
    assert_eq!(wide.row(Entry::Polar).as_expected(), Some(false));
    assert!(wide.explanation.contains("Outside the usual band"));
    // An arm has no stages to add.
    let open = comparison(&arm(60.0, 50.0), [0.1, 1.2]);
    assert!(!open.explanation.contains("stages"));
    assert_eq!(open.row(Entry::Azimuth).hand_estimate, None);
}

fn error_of(design: &Design, mechanism: [f64; 2]) -> VirtualJointError {
    let (kinematics, pose) = at(design, mechanism);
    let (configuration, frame) = (&pose.configuration, &pose.frame);
    spring_jacobian(
        design,
        &kinematics.linkage,
        configuration,
        frame,
        MidArcSprings,
    )
    .unwrap_err()
}

#[test]
fn what_cannot_be_answered_is_an_error() {
    // Side joints on one axis: the linkage moves with its drives held.
    let closed = error_of(&uniform(2, 23.5), [0.0, 0.0]);
    assert_eq!(
        closed,
        VirtualJointError::Elasticity(ElasticityError::Singular)
    );
    // Bosses that leave no arc.
    let mut bossy = uniform(2, 5.0);
    bossy.joints.boss_diameter = 0.02;
    let swallowed = error_of(&bossy, [0.0, 1.5]);
    assert!(
        matches!(
            swallowed,
            VirtualJointError::Elasticity(ElasticityError::NoFlexibleLength { .. })
        ),
        "{swallowed}"
    );
    // A released axis that nothing else holds.
    let mut loose = arm(60.0, 50.0);
    loose.joints.releases = vec![NamedRelease {
        joint: "elbow".to_string(),
        axial: true,
        tilt: false,
    }];
    let free = error_of(&loose, [0.1, 1.2]);
    assert_eq!(
        free,
        VirtualJointError::Elasticity(ElasticityError::Singular)
    );
    // A body that no joint holds.
    let design = uniform(1, 40.0);
    let (kinematics, pose) = at(&design, [0.0, 1.5]);
    let mut linkage = kinematics.linkage.clone();
    linkage.bodies.push(Body {
        name: "stray".to_string(),
        stations: vec![Vector3::z(), Vector3::x()],
        arcs: vec![BodyArc { from: 0, to: 1 }],
        level: 1,
    });
    let mut configuration = pose.configuration.clone();
    configuration
        .rotations
        .push(nalgebra::Rotation3::identity());
    let stray = spring_jacobian(
        &design,
        &linkage,
        &configuration,
        &pose.frame,
        MidArcSprings,
    )
    .unwrap_err();
    assert_eq!(
        stray.to_string(),
        "stray, station 1: no arc or joint ties it to the ground"
    );
}
