//! Drives, one by one: what each adds to the compliance, and what its mass does.

mod common;

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::brief::{DriveNeed, Range, SupportNeed};
use calotte::built::Built;
use calotte::design::{Design, Drive, DriveLayout, Family, FiveBar, RidesOn, Support};
use calotte::elasticity::virtual_joints::{VirtualJointModel, spring_jacobian};
use calotte::elasticity::{LoadSet, Structure};
use calotte::kinematics::{Kinematics, Pose};
use calotte::linkage::LinkageError;
use calotte::quantity::Quantity;
use calotte::search::{Grid, complete_design};
use calotte::statics::HoldingModel;
use common::*;
use nalgebra::{Matrix2, Matrix6, Vector2, Vector3, Vector6};

fn compliance(design: &Design, kinematics: &Kinematics, pose: &Pose) -> Matrix6<f64> {
    let structure = Structure::new(design, &kinematics.linkage).unwrap();
    let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
    solved.tip_compliance()
}

fn with_stiffness(design: &Design, stiffness: [Option<f64>; 2]) -> Design {
    let mut design = design.clone();
    for (drive, stiffness) in design.drives.each.iter_mut().zip(stiffness) {
        drive.stiffness = stiffness.map(Into::into);
    }
    design
}

/// Drive torques follow from equilibrium alone, so that a drive adds the square of its own
/// column of the rigid linkage's Jacobian over its stiffness, whatever else gives way. The
/// Jacobian is that of the virtual joints, which share nothing with the structure here.
#[test]
fn each_drive_adds_its_own_column_over_its_own_stiffness() {
    let mut swinging = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    swinging.drives.layout = DriveLayout::SwingAndOpening;
    swinging.drives.ratio = [1.0, -2.5];
    let mut real = uniform(2, 23.5);
    real.joints.stiffness = Some(reference_joints());
    real.drives.ratio = [3.0, 0.5];
    let mut opened = real.clone();
    opened.drives.layout = DriveLayout::SwingAndOpening;
    for (design, mechanism) in [
        (arm(70.0, 55.0), [0.4, 1.1]),
        (swinging, [0.3, 1.4]),
        (real, [0.3, 1.7]),
        (opened, [0.3, 1.7]),
    ] {
        let kinematics = Kinematics::new(&design).unwrap();
        let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
        let by_drives = spring_jacobian(
            &design,
            &kinematics.linkage,
            &pose.configuration,
            &pose.frame,
            VirtualJointModel::MidArcSprings,
        )
        .unwrap()
        .drives;
        let rigid = compliance(&design, &kinematics, &pose);
        for stiffness in [
            [None, None],
            [Some(200.0), Some(200.0)],
            [Some(150.0), Some(900.0)],
            [Some(150.0), None],
            [None, Some(150.0)],
        ] {
            let soft = with_stiffness(&design, stiffness);
            let own = stiffness.map(|k| k.map_or(0.0, |k| 1.0 / k));
            let expected = rigid
                + by_drives * Matrix2::from_diagonal(&Vector2::from(own)) * by_drives.transpose();
            let got = compliance(&soft, &kinematics, &pose);
            let error = (got - expected).amax() / expected.amax();
            assert!(error < 1e-10, "{stiffness:?} {error}");
        }
    }
}

/// What is called energy of the drives is torque squared over twice the stiffness, a rigid
/// drive's nothing.
#[test]
fn energy_is_that_of_the_drives_that_give_way() {
    let mut design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    design.drives.layout = DriveLayout::SwingAndOpening;
    design.joints.stiffness = Some(reference_joints());
    let kinematics = Kinematics::new(&design).unwrap();
    let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
    let (linkage, frame) = (&kinematics.linkage, &pose.frame);
    let model = VirtualJointModel::MidArcSprings;
    let jacobian = spring_jacobian(&design, linkage, &pose.configuration, frame, model).unwrap();
    let wrench = Vector6::new(1.0, -2.0, 3.0, 0.1, -0.05, 0.2);
    let torque = jacobian.drives.transpose() * wrench;
    for stiffness in [[Some(200.0), None], [None, Some(200.0)]] {
        let soft = with_stiffness(&design, stiffness);
        let structure = Structure::new(&soft, linkage).unwrap();
        let solved = structure.solve(&pose.configuration, frame).unwrap();
        let response = solved.respond(&solved.tip_load(&wrench)).unwrap();
        let expected: f64 = torque
            .iter()
            .zip(stiffness)
            .filter_map(|(torque, k)| k.map(|k| 0.5 * torque * torque / k))
            .sum();
        let got = response.energy[3];
        assert!((got / expected - 1.0).abs() < 1e-9, "{got} {expected}");
        let sum: f64 = response.energy.iter().sum();
        assert!((sum / response.half_work - 1.0).abs() < 1e-9);
    }
}

/// A displacement is no energy: stiffer drives can let the tip go farther. µm/N.
#[test]
fn stiffer_drives_can_raise_a_displacement() {
    let mut design = uniform(2, 23.5);
    design.joints.stiffness = Some(reference_joints());
    let kinematics = Kinematics::new(&design).unwrap();
    let pose = kinematics
        .forward_from_mechanism([0.0, 100.0 * DEGREE])
        .unwrap();
    let force = Vector3::new(-0.237, 0.0, -0.971);
    let displacement = |stiffness: f64| {
        let soft = with_stiffness(&design, [Some(stiffness); 2]);
        let block = compliance(&soft, &kinematics, &pose)
            .fixed_view::<3, 3>(0, 0)
            .into_owned();
        1e6 * (block * force).norm()
    };
    // The force has three digits: 5e-4 N along each axis move 0.07 µm.
    let got = [displacement(200.0), displacement(400.0)];
    for (got, wanted) in got.into_iter().zip([99.60, 102.85]) {
        assert!((got - wanted).abs() < 0.07, "{got} {wanted}");
    }
}

fn ridden(design: &Design, active: usize, rides_on: RidesOn, mass: f64) -> Design {
    let mut design = design.clone();
    design.drives.each[active] = Drive {
        stiffness: None,
        mass: Some(mass.into()),
        rides_on,
    };
    design
}

fn torques(design: &Design, mechanism: [f64; 2], gravity: &Vector3<f64>) -> Vector2<f64> {
    let kinematics = Kinematics::new(design).unwrap();
    let built = Built::new(design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    let model = HoldingModel::new(design, &kinematics.linkage, &built);
    model
        .torque_map(&kinematics.linkage, &pose.configuration)
        .unwrap()
        * gravity
}

/// With the base axis level the elbow's drive pulls at the base joint with m g r sin(arc) cos
/// of its height over the level, and at the elbow with nothing.
#[test]
fn an_elbow_drive_weighs_on_the_base_joint() {
    let plain = arm(70.0, 55.0);
    let gravity = Vector3::new(0.0, -9.8, 0.0);
    let base = 0.4_f64;
    for rides_on in [RidesOn::Joint, RidesOn::Bar("second-arc".to_string())] {
        let loaded = ridden(&plain, 1, rides_on, 0.5);
        let more = torques(&loaded, [base, 1.1], &gravity) - torques(&plain, [base, 1.1], &gravity);
        let expected = 0.5 * 9.8 * 0.15 * (70.0 * DEGREE).sin() * base.cos();
        assert!((more[0] - expected).abs() < 1e-12, "{more} {expected}");
        assert!(more[1].abs() < 1e-12, "{more}");
        let moving = |design: &Design| model(design).holding.moving_mass();
        assert!((moving(&loaded) - moving(&plain) - 0.5).abs() < 1e-12);
    }
    for (active, rides_on) in [(1, RidesOn::Base), (0, RidesOn::Joint), (0, RidesOn::Base)] {
        let still = ridden(&plain, active, rides_on, 0.5);
        assert_eq!(
            torques(&still, [base, 1.1], &gravity),
            torques(&plain, [base, 1.1], &gravity)
        );
        assert_eq!(
            model(&still).holding.moving_mass(),
            model(&plain).holding.moving_mass()
        );
    }
}

/// A mass that is given for the joints lies on the axes too: at the elbow of an arm on its
/// second arc, at the base where rigid joints let nothing sink.
#[test]
fn the_weight_of_a_drive_sags_as_that_of_a_joint() {
    let plain = arm(70.0, 55.0);
    let drive = ridden(&plain, 1, RidesOn::Bar("second-arc".to_string()), 0.5);
    let mut joints = plain.clone();
    joints.joints.mass = 0.5;
    let sag = |design: &Design| {
        let kinematics = Kinematics::new(design).unwrap();
        let pose = kinematics.forward_from_mechanism([0.4, 1.1]).unwrap();
        let structure = Structure::new(design, &kinematics.linkage).unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let loads = LoadSet {
            bar_acceleration: Vector3::new(2.0, -9.0, -3.0),
            ..LoadSet::default()
        };
        solved.respond(&loads).unwrap().tip
    };
    let (by_drive, by_joints) = (sag(&drive), sag(&joints));
    assert!((by_drive - by_joints).norm() < 1e-12 * by_joints.norm());
    assert!((by_drive - sag(&plain)).norm() > 0.1 * by_drive.norm());
}

#[test]
fn every_candidate_takes_the_drives_and_the_support_of_the_brief() {
    let drive = |stiffness: f64| Drive {
        stiffness: Some(stiffness.into()),
        ..Drive::default()
    };
    let need = |joint: Option<&str>, drive: Drive| DriveNeed {
        joint: joint.map(str::to_string),
        drive,
    };
    let elbow = Drive {
        mass: Some(0.3.into()),
        ..drive(80.0)
    };
    let mut brief = common::brief::brief();
    brief.choice.drive_layouts = vec![DriveLayout::TwoBars, DriveLayout::SwingAndOpening];
    brief.joint_radius = Range {
        from: 0.14,
        to: 0.15,
        step: 0.01,
    };
    brief.drives = vec![
        need(None, drive(500.0)),
        need(Some("right"), drive(200.0)),
        need(Some("elbow"), elbow.clone()),
    ];
    let springs = |at_radius: f64| Support::Springs {
        at_radius,
        axial: 1e7.into(),
        lateral: 5e6.into(),
        tilt: 2000.0.into(),
        twist: 2000.0.into(),
    };
    brief.support = Some(SupportNeed {
        support: springs(0.0),
        at_joint_radius: true,
    });
    let requirements = Requirements::from_brief(&brief);
    let grid = Grid::new(&brief);
    let mut seen = Vec::new();
    for candidate in (0..grid.groups.len()).flat_map(|group| grid.group(group)) {
        let Ok(design) = complete_design(&brief, &requirements, &candidate) else {
            continue;
        };
        let names = design.family.active_names(design.drives.layout);
        for (name, got) in names.into_iter().zip(&design.drives.each) {
            let wanted = match name {
                "right" => drive(200.0),
                "elbow" => elbow.clone(),
                _ => drive(500.0),
            };
            assert_eq!(*got, wanted, "{name}");
            if !seen.contains(&name) {
                seen.push(name);
            }
        }
        assert_eq!(design.mount.support, Some(springs(design.joint_radius)));
    }
    seen.sort_unstable();
    assert_eq!(seen, ["base", "elbow", "left", "opening", "right", "swing"]);
}

#[test]
fn a_drive_rides_on_no_bar_beside_its_axis() {
    let five_bar = design(Family::five_bar(FiveBar {
        base_arc: 50.0 * DEGREE,
        proximal_arcs: [55.0 * DEGREE, 50.0 * DEGREE],
        distal_arcs: [62.0 * DEGREE, 58.0 * DEGREE],
        elbows: calotte::design::Elbows::Out,
    }));
    for (plain, active, bar, good) in [
        (arm(70.0, 55.0), 0, "second-arc", "first-arc"),
        (uniform(2, 23.5), 1, "bar-left-1", "base-left"),
        (five_bar, 1, "proximal-left", "proximal-right"),
    ] {
        let on = |bar: &str| ridden(&plain, active, RidesOn::Bar(bar.to_string()), 0.5);
        match calotte::family::build(&on(bar)) {
            Err(LinkageError::DriveCarrier { carrier, known, .. }) => {
                assert_eq!(carrier, bar);
                assert!(known.contains(&good));
            }
            other => panic!("{other:?}"),
        }
        // Every bar that is offered has the joint's axis.
        let linkage = calotte::family::build(&on(good)).unwrap();
        for known in plain.family.family_name().drive_carriers(active) {
            assert!(
                linkage
                    .place_on_axis(linkage.driven[active], known)
                    .is_some()
            );
        }
    }
}

/// What is shown with usual drives and a usual ground is what the design gives with these
/// written into it; a design that gives its own is not shown twice.
#[test]
fn typical_supports_are_those_of_a_design_that_gives_them() {
    let requirements = Requirements::from_brief(&common::brief::brief());
    let analysed = |design: &Design, bands: bool| {
        let options = AnalysisOptions {
            bands,
            proof: false,
            ..AnalysisOptions::default()
        };
        analyse(design, &requirements, &options).unwrap()
    };
    let mut plain = uniform(2, 23.5);
    plain.joints.stiffness = Some(reference_joints());
    plain.tool.mass = Some(0.8.into());
    let mut half = plain.clone();
    half.drives.each[1].stiffness = Some(350.0.into());
    for (design, drives) in [(&plain, [true, true]), (&half, [true, false])] {
        let mut given = design.clone();
        for drive in &mut given.drives.each {
            drive.stiffness.get_or_insert(1000.0.into());
        }
        given.mount.support = Some(Support::Springs {
            at_radius: 0.15,
            axial: 1e6.into(),
            lateral: 1e6.into(),
            tilt: 1e4.into(),
            twist: 1e4.into(),
        });
        let (shown, own) = (analysed(design, true), analysed(&given, true));
        assert!(own.typical_supports.is_none());
        let typical = shown.typical_supports.as_ref().unwrap();
        assert_eq!((typical.drives, typical.ground), (drives, true));
        let names: Vec<Quantity> = typical.rows.iter().map(|row| row.quantity).collect();
        for quantity in [
            Quantity::ContactDeflection,
            Quantity::Sag,
            Quantity::Stiffness,
        ] {
            assert!(names.contains(&quantity), "{names:?}");
        }
        // Rigid drives and ground change neither reach nor torque nor mass.
        assert!(!names.contains(&Quantity::HoldingTorque), "{names:?}");
        for row in &typical.rows {
            let wanted = own.rows.iter().find(|own| own.is_like(row)).unwrap();
            let (got, wanted) = (row.got.as_ref().unwrap(), wanted.got.as_ref().unwrap());
            assert!((got / wanted - 1.0).abs() < 1e-9, "{row:?} {wanted}");
        }
        let mut grounded = given.clone();
        grounded.drives = design.drives.clone();
        let typical = analysed(&grounded, true).typical_supports.unwrap();
        assert_eq!((typical.drives, typical.ground), (drives, false));
    }
}
