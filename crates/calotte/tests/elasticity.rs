//! The structure against reference values, energy theorems and limits.

mod common;

use calotte::design::{Design, Family, ScissorLinkage, ToolCarrier};
use calotte::elasticity::tool_line::{LineMotion, shift_map};
use calotte::elasticity::{LoadSet, Structure};
use calotte::kinematics::Kinematics;
use common::*;
use nalgebra::{Matrix6, Vector3, Vector6};

fn compliance(design: &Design, mechanism: [f64; 2]) -> Matrix6<f64> {
    let kinematics = Kinematics::new(design).unwrap();
    let structure = Structure::new(design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    structure
        .solve(&pose.configuration, &pose.frame)
        .unwrap()
        .tip_compliance()
}

#[test]
fn reference_compliances_with_rigid_joints() {
    for (stages, arc, half_angle, expected) in [
        (2, 23.5, 50.0, [27.23632, 12.17419, 58.13357, -29.29530]),
        (
            3,
            47.0 / 3.0,
            50.0,
            [22.64159, 11.45586, 55.86963, -25.24721],
        ),
        (4, 11.75, 30.0, [34.73521, 33.01969, 83.13557, -47.92344]),
    ] {
        let c = compliance(&uniform(stages, arc), [0.4, 2.0 * half_angle * DEGREE]) * 1e6;
        for (got, wanted) in [c[(0, 0)], c[(1, 1)], c[(2, 2)], c[(0, 2)]]
            .iter()
            .zip(expected)
        {
            assert!((got - wanted).abs() < 6e-6, "{got} {wanted}");
        }
    }
}

/// Unit forces at the tip of the first linkage above: where the tool's line passes the
/// centre, µm/N; the worst direction over all.
#[test]
fn reference_centre_shifts() {
    let c = compliance(&uniform(2, 23.5), [0.4, 100.0 * DEGREE]) * 1e6;
    let shift = shift_map(0.15) * c.fixed_columns::<3>(0);
    let wanted = [[-26.3166, 0.0, 65.1390], [0.0, 20.2469, 0.0]];
    for (row, wanted) in wanted.iter().enumerate() {
        for (column, wanted) in wanted.iter().enumerate() {
            let got = shift[(row, column)];
            assert!((got - wanted).abs() < 5.1e-5, "{got} {wanted}");
        }
    }
    let worst = (shift * shift.transpose())
        .symmetric_eigenvalues()
        .max()
        .sqrt();
    assert!((worst - 70.2542).abs() < 5.1e-5, "{worst}");
}

/// The point of the tool that lies at the centre, moved by the compliance asked for there
/// instead of at the tip: a linkage whose tip is at 1e-9 of the radius.
#[test]
fn the_centre_moves_as_a_tip_at_the_centre_would() {
    let mut design = soft(uniform(2, 23.5));
    let shift_of = |design: &Design, force: Vector3<f64>, tip_radius: f64| {
        let kinematics = Kinematics::new(design).unwrap();
        let structure = Structure::new(design, &kinematics.linkage).unwrap();
        let pose = kinematics
            .forward_from_mechanism([0.4, 100.0 * DEGREE])
            .unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let turned = pose.frame.rotation() * force;
        let wrench = Vector6::new(turned.x, turned.y, turned.z, 0.0, 0.0, 0.0);
        // The force acts at 150 mm, wherever the tip is.
        let loads = LoadSet {
            on_tool: vec![(wrench, pose.frame.radial * 0.15)],
            ..LoadSet::default()
        };
        LineMotion::of(&solved.respond(&loads).unwrap().tip, tip_radius)
    };
    for force in [Vector3::x(), Vector3::y(), Vector3::z()] {
        let there = shift_of(&design, force, design.tool.tip_radius);
        let tip_radius = std::mem::replace(&mut design.tool.tip_radius, 1.5e-10);
        let here = shift_of(&design, force, 0.0);
        design.tool.tip_radius = tip_radius;
        assert!((there.shift - here.shift).norm() < 1e-6 * there.shift.norm().max(1e-7));
        assert!((there.turn - here.turn).norm() < 1e-9);
    }
}

/// Least translational stiffness in N/mm of `stages` of total arc 94° at a polar angle.
fn least_stiffness(stages: usize, polar_deg: f64, real: bool) -> f64 {
    let beta = 47.0 / stages as f64;
    let mut design = uniform(stages, beta);
    if real {
        design.joints.stiffness = Some(reference_joints());
    }
    // tan(θ/2m) = tan β cos α.
    let cosine = (polar_deg * DEGREE / (2.0 * stages as f64)).tan() / (beta * DEGREE).tan();
    let c = compliance(&design, [0.0, 2.0 * cosine.acos()]);
    let block = c.fixed_view::<3, 3>(0, 0).into_owned();
    1e-3 / block.symmetric_eigenvalues().max()
}

#[test]
fn the_turn_of_the_best_number_of_stages() {
    let table = [
        (
            30.0,
            [8.335, 28.58, 37.93, 39.99, 38.21, 34.62],
            [4.682, 10.46, 7.900, 4.385, 2.463, 1.482],
        ),
        (
            60.0,
            [8.676, 14.05, 14.94, 15.22, 15.32, 15.34],
            [5.074, 6.870, 6.550, 5.973, 5.312, 4.575],
        ),
        (
            80.0,
            [7.553, 8.955, 9.143, 9.201, 9.223, 9.230],
            [4.396, 4.545, 4.186, 3.834, 3.516, 3.230],
        ),
    ];
    for (polar, rigid, real) in table {
        for stages in 1..=6 {
            let (a, b) = (
                least_stiffness(stages, polar, false),
                least_stiffness(stages, polar, true),
            );
            assert!(
                (a / rigid[stages - 1] - 1.0).abs() < 1e-3,
                "{stages} {polar} {a}"
            );
            assert!(
                (b / real[stages - 1] - 1.0).abs() < 1e-3,
                "{stages} {polar} {b}"
            );
        }
    }
}

fn soft(mut design: Design) -> Design {
    design.joints.stiffness = Some(reference_joints());
    design.joints.boss_diameter = 0.008;
    design.tool.tip_radius = 0.11;
    for drive in &mut design.drives.each {
        drive.stiffness = Some(500.0.into());
    }
    design.mount.support = Some(calotte::design::Support::Springs {
        at_radius: 0.15,
        axial: 1e6.into(),
        lateral: 8e5.into(),
        tilt: 900.0.into(),
        twist: 700.0.into(),
    });
    design
}

#[test]
fn energy_equals_work_and_forces_balance() {
    for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
        let mut design = soft(scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]));
        design.tool.carried_by = carrier;
        let kinematics = Kinematics::new(&design).unwrap();
        let structure = Structure::new(&design, &kinematics.linkage).unwrap();
        let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let wrench = Vector6::new(1.0, -2.0, 3.0, 0.1, -0.05, 0.2);
        let response = solved.respond(&solved.tip_load(&wrench)).unwrap();
        // The same motion by the compliance and by the load path.
        let by_compliance = solved.tip_compliance() * wrench;
        assert!((response.tip - by_compliance).norm() < 1e-10 * by_compliance.norm());
        let work = 0.5 * wrench.dot(&by_compliance);
        let energy: f64 = response.energy.iter().sum();
        assert!((energy / work - 1.0).abs() < 1e-9, "{energy} {work}");
        let shares = response.energy_shares().unwrap();
        let sum = shares.arcs + shares.joints + shares.drives + shares.base;
        assert!((sum - 1.0).abs() < 1e-12);
        // Base joints carry the whole load: their forces add up to the applied one.
        let sum: Vector3<f64> = (0..2)
            .map(|j| response.joint_forces[j].fixed_rows::<3>(0).into_owned())
            .sum();
        let force = solved.base_from_local(&wrench).fixed_rows::<3>(0).norm();
        assert!((sum.norm() / force - 1.0).abs() < 1e-9);
    }
}

#[test]
fn weight_is_carried_by_the_base_joints() {
    let mut design = soft(uniform(2, 25.0));
    design.joints.mass = 0.01;
    let kinematics = Kinematics::new(&design).unwrap();
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
    let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
    let loads = LoadSet {
        bar_acceleration: Vector3::new(0.0, 0.0, -9.80665),
        ..LoadSet::default()
    };
    let response = solved.respond(&loads).unwrap();
    let carried: f64 = (0..2).map(|j| response.joint_forces[j][0]).sum();
    let arcs = 8.0 * 25.0 * DEGREE * 0.15 * structure.bar().mass_per_length;
    let mass = arcs + 8.0 * 0.01;
    assert!(
        (carried / (mass * 9.80665) - 1.0).abs() < 1e-9,
        "{carried} {mass}"
    );
}

#[test]
fn compliance_is_positive_and_turns_with_the_mechanism() {
    let design = soft(scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]));
    let first = compliance(&design, [0.3, 1.4]);
    let turned = compliance(&design, [2.1, 1.4]);
    assert!((first - turned).norm() < 1e-10 * first.norm());
    assert!(first.symmetric_eigenvalues().min() > 0.0);
}

#[test]
fn left_and_right_carriers_are_mirror_images() {
    let left = soft(scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]));
    let mut right = left.clone();
    right.tool.carried_by = ToolCarrier::Right;
    let (a, b) = (
        compliance(&left, [0.3, 1.4]),
        compliance(&right, [0.3, 1.4]),
    );
    // Mirror in the meridian plane: azimuth displacement, and rotations about
    // polar and radial, change sign.
    let mirror = Matrix6::from_diagonal(&Vector6::new(1.0, -1.0, 1.0, -1.0, 1.0, -1.0));
    assert!((a - mirror * b * mirror).norm() < 1e-10 * a.norm());
}

#[test]
fn very_stiff_joints_tend_to_rigid_ones() {
    let rigid = uniform(3, 18.0);
    let mut stiff = rigid.clone();
    stiff.joints.stiffness = Some(calotte::design::JointStiffness {
        axial: 1e13.into(),
        radial: 1e13.into(),
        tilt: 1e9.into(),
    });
    let (a, b) = (
        compliance(&rigid, [0.0, 1.5]),
        compliance(&stiff, [0.0, 1.5]),
    );
    assert!((a - b).norm() < 1e-4 * a.norm());
}

#[test]
fn azimuth_stiffness_falls_to_nothing_where_side_joints_coincide() {
    // 12 × 6 mm aluminium, bent linkage: 37 N/mm at α = 20°, 0.4 at 1°.
    let design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    let stiffness = |alpha: f64| 1e-3 / compliance(&design, [0.0, 2.0 * alpha * DEGREE])[(1, 1)];
    assert!((stiffness(20.0) - 37.0).abs() < 0.5, "{}", stiffness(20.0));
    assert!((stiffness(1.0) - 0.4).abs() < 0.05, "{}", stiffness(1.0));
}

#[test]
fn a_serial_arm_is_the_sum_of_its_parts() {
    use calotte::elasticity::arc::{BarStiffness, end_compliance, transport};
    let design = arm(70.0, 55.0);
    let bar = BarStiffness::new(&design.section, &design.material, 0.15);
    // Elbow 90°, drives locked: C = C₂ + X C₁ Xᵀ with the frame turned at the elbow.
    let elbow = 90.0 * DEGREE;
    let c1 = end_compliance(0.15, 70.0 * DEGREE, &bar);
    let c2 = end_compliance(0.15, 55.0 * DEGREE, &bar);
    let (s, c) = elbow.sin_cos();
    // Components along the second arc's (r, t, z) from the first's.
    let turn = nalgebra::Matrix3::new(1.0, 0.0, 0.0, 0.0, c, s, 0.0, -s, c);
    let mut turn6 = Matrix6::zeros();
    turn6.fixed_view_mut::<3, 3>(0, 0).copy_from(&turn);
    turn6.fixed_view_mut::<3, 3>(3, 3).copy_from(&turn);
    let x = transport(0.15, 55.0 * DEGREE) * turn6;
    let sum = c2 + x * c1 * x.transpose();
    let whole = compliance(&design, [0.2, elbow]);
    // Invariants under the turn about the radial axis at the tip.
    assert!((sum[(0, 0)] - whole[(2, 2)]).abs() < 1e-10 * whole[(2, 2)]);
    assert!((sum.trace() - whole.trace()).abs() < 1e-10 * whole.trace());
    assert!((sum.determinant() / whole.determinant() - 1.0).abs() < 1e-9);
}

#[test]
fn a_singular_configuration_is_an_error() {
    let design = uniform(2, 23.5);
    let kinematics = Kinematics::new(&design).unwrap();
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism([0.0, 0.0]).unwrap();
    let solved = structure.solve(&pose.configuration, &pose.frame);
    assert!(solved.is_err());
}

#[test]
fn bosses_that_swallow_an_arc_are_refused() {
    let mut design = uniform(2, 5.0);
    design.joints.boss_diameter = 0.02;
    let kinematics = Kinematics::new(&design).unwrap();
    assert!(Structure::new(&design, &kinematics.linkage).is_err());
    let family = Family::scissor_linkage(ScissorLinkage::uniform(2, 0.3));
    assert_eq!(family.name(), "scissor-linkage");
}

#[test]
fn a_load_on_a_bar_obeys_reciprocity() {
    // Maxwell and Betti: the tip's motion by a force on a bar equals the bar
    // point's motion by the same force at the tip; the bar point's motion is
    // found by splitting the load's work, here through the tip alone with the
    // bar load moved to the bar's end, where both ways meet a node.
    let design = soft(scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]));
    let kinematics = Kinematics::new(&design).unwrap();
    let structure = Structure::new(&design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
    let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
    // The last left bar carries the tool: a force at its very end equals the
    // same force on the tool line at the joint radius.
    let force = Vector6::new(1.0, 2.0, -3.0, 0.0, 0.0, 0.0);
    let carrier = kinematics.linkage.tool.body;
    let on_bar = solved
        .respond(&LoadSet {
            on_bars: vec![(carrier, 1.0, force)],
            ..LoadSet::default()
        })
        .unwrap();
    let on_tool = solved
        .respond(&LoadSet {
            on_tool: vec![(force, pose.frame.radial * design.joint_radius)],
            ..LoadSet::default()
        })
        .unwrap();
    assert!((on_bar.tip - on_tool.tip).norm() < 1e-10 * on_tool.tip.norm());
    // Many small point loads along all bars make up the distributed weight.
    let gravity = Vector3::new(0.3, -0.2, -9.0);
    let exact = solved
        .respond(&LoadSet {
            bar_acceleration: gravity,
            ..LoadSet::default()
        })
        .unwrap();
    let count = 400;
    let mut pieces = LoadSet::default();
    for (index, body) in kinematics.linkage.bodies.iter().enumerate() {
        let length: f64 = body
            .arcs
            .iter()
            .map(|a| calotte::sphere::arc_between(&body.stations[a.from], &body.stations[a.to]))
            .sum::<f64>()
            * design.joint_radius;
        if length == 0.0 {
            continue;
        }
        let mass = length * structure.bar().mass_per_length / f64::from(count);
        for i in 0..count {
            let f = gravity * mass;
            let at = (f64::from(i) + 0.5) / f64::from(count);
            pieces
                .on_bars
                .push((index, at, Vector6::new(f.x, f.y, f.z, 0.0, 0.0, 0.0)));
        }
    }
    let summed = solved.respond(&pieces).unwrap();
    assert!((summed.tip - exact.tip).norm() < 1e-4 * exact.tip.norm());
    for joint in 0..2 {
        let difference = summed.joint_forces[joint] - exact.joint_forces[joint];
        assert!(difference.norm() < 1e-4 * exact.joint_forces[joint].norm());
    }
}
