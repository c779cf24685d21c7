//! The brief that several integration tests use.

use calotte::brief::*;
use calotte::design::{DriveLayout, JointProperties};
use calotte::quantity::Quantity;
use calotte::sphere::{Exclusion, Region};
use calotte::stock::{Material, Section};
use nalgebra::Vector3;

use super::{DEGREE, reference_joints};

/// A cap of 80° without its crown; scissor linkages and arms, two sections and materials.
pub fn brief() -> Brief {
    let mut region = Region::cap(Vector3::z(), 80.0 * DEGREE);
    region.excluded.push(Exclusion {
        axis: Vector3::z(),
        half_angle: 12.0 * DEGREE,
        why: "crown".to_string(),
    });
    Brief {
        kept: None,
        title: "test".to_string(),
        people_near: true,
        region,
        coverage_min: 0.98,
        centre: Vector3::zeros(),
        joint_radius: Range::single(0.15),
        tool: ToolNeed {
            mass: Some(0.8.into()),
            centre_of_mass_radius: 0.165,
            tip_radius: 0.1,
            grip_radius: None,
            envelope: None,
        },
        loads: vec![LoadCase::single(
            "press",
            Load {
                on: LoadPlace::Tip,
                force: LoadVector::Local(Vector3::new(0.0, 0.0, 8.0)),
                moment: LoadVector::ZERO,
                ..Load::NOTHING
            },
        )],
        limits: Limits::of([
            (Quantity::ContactDeflection, 0.5e-3),
            (Quantity::Sag, 2e-3),
            (Quantity::LciMin, 0.2),
            (Quantity::TransmissionAngle, 20.0 * DEGREE),
            (Quantity::SafetyFactor, 2.0),
            (Quantity::MovingMass, 1.5),
        ]),
        limit_sources: LimitSources::default(),
        choice: Choice {
            families: vec![FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM],
            stages: vec![1, 2, 3],
            arc: Range {
                from: 14.0 * DEGREE,
                to: 26.0 * DEGREE,
                step: 1.0 * DEGREE,
            },
            equal_arcs: false,
            full_grid: true,
            round_angle: 0.05 * DEGREE,
            bearing_spacing: None,
            bend: Range {
                from: 0.0,
                to: 60.0 * DEGREE,
                step: 20.0 * DEGREE,
            },
            arm_arc: Range {
                from: 30.0 * DEGREE,
                to: 80.0 * DEGREE,
                step: 10.0 * DEGREE,
            },
            sections: vec![
                Section::Rectangle {
                    tangential: 0.012,
                    radial: 0.006,
                },
                Section::Rectangle {
                    tangential: 0.020,
                    radial: 0.016,
                },
            ],
            materials: vec![Material::shipped("aluminium 6061-T6").unwrap()],
            process: None,
            bearings: Vec::new(),
            arrangements: Vec::new(),
            mount_tilt: vec![0.0],
            mount_tilt_towards: 0.0,
            drive_layouts: vec![DriveLayout::TwoBars, DriveLayout::SwingAndOpening],
        },
        joints: Some(JointProperties {
            stiffness: Some(calotte::design::JointStiffness {
                tilt: 1500.0.into(),
                ..reference_joints()
            }),
            parts: None,
            boss_diameter: 0.01,
            mass: 0.02,
            releases: Vec::new(),
        }),
        layers: None,
        drives: Vec::new(),
        support: None,
        keep_outs: Vec::new(),
        allowance: 0.0,
        way_in: None,
        objectives: vec![
            Objective {
                quantity: Quantity::Stiffness,
                maximise: true,
            },
            Objective {
                quantity: Quantity::Gci,
                maximise: true,
            },
            Objective {
                quantity: Quantity::MovingMass,
                maximise: false,
            },
        ],
    }
}
