//! Designs that several integration tests use.
#![allow(dead_code, missing_docs)]

pub mod brief;
pub mod long_form;

use std::sync::Arc;

use calotte::design::{
    Arrangement, BaseDrives, ClampedIn, Design, DriveLayout, DriveRange, Drives, Family,
    JointParts, JointProperties, JointStiffness, Layers, MeasuredJoints, Mount, Pin,
    ScissorLinkage, Tool, ToolCarrier,
};
use calotte::kinematics::Margins;
use calotte::stock::{Bearing, BearingKind, StiffnessAt};
use calotte::stock::{Material, Section};
use calotte::subject::{Model, Subject};
use calotte::{Corner, Uncertain};

pub const DEGREE: f64 = std::f64::consts::PI / 180.0;

pub fn degrees(values: &[f64]) -> Vec<f64> {
    values.iter().map(|v| v * DEGREE).collect()
}

/// Aluminium bars of 12 × 6 mm at 150 mm, rigid joints, two bars driven.
pub fn design(family: Family) -> Design {
    let material = Material::shipped("aluminium 6061-T6")
        .unwrap()
        .at_corner(Corner::Nominal);
    Design {
        title: String::new(),
        family,
        joint_radius: 0.15,
        section: Section::Rectangle {
            tangential: 0.012,
            radial: 0.006,
        },
        material,
        short_bars: None,
        own: Default::default(),
        joints: JointProperties {
            stiffness: None,
            parts: None,
            boss_diameter: 0.0,
            mass: 0.0,
            releases: Vec::new(),
        },
        layers: None,
        drives: Drives {
            layout: DriveLayout::TwoBars,
            ratio: [1.0, 1.0],
            range: DriveRange::default(),
            each: Default::default(),
        },
        tool: Tool {
            carried_by: ToolCarrier::Left,
            tip_radius: 0.15,
            mass: None,
            centre_of_mass_radius: 0.15,
            grip_radius: None,
            bracket_arc: 0.0,
            roll: 0.0,
            envelope: None,
        },
        mount: Mount::default(),
    }
}

pub fn uniform(stages: usize, arc_deg: f64) -> Design {
    design(Family::scissor_linkage(ScissorLinkage::uniform(
        stages,
        arc_deg * DEGREE,
    )))
}

pub fn scissor(proximal: &[f64], distal: &[f64], bends: &[f64]) -> Design {
    design(Family::scissor_linkage(ScissorLinkage {
        proximal_arcs: degrees(proximal),
        distal_arcs: degrees(distal),
        bends: degrees(bends),
        assembly_modes: vec![1; proximal.len()],
        sides: Default::default(),
    }))
}

pub fn arm(first: f64, second: f64) -> Design {
    design(Family::two_arc_arm([first * DEGREE, second * DEGREE]))
}

/// The joint stiffnesses of the reference table.
pub fn reference_joints() -> JointStiffness {
    JointStiffness {
        axial: Uncertain::exact(3e6),
        radial: Uncertain::exact(6e6),
        tilt: Uncertain::exact(300.0),
    }
}

/// Ball bearings of 4 × 13 × 5 mm, 6 mm apart, on steel pins of 4 mm.
pub fn joint_parts() -> JointParts {
    JointParts {
        bearing: Bearing {
            stiffness_at: StiffnessAt::Stated,
            name: "own".to_string(),
            kind: BearingKind::Ball,
            bore: 0.004,
            outer_diameter: 0.013,
            width: 0.005,
            radial: 1.2e7.into(),
            axial: 3e6.into(),
            mass: 0.003,
            static_rating: Some(490.0),
            dynamic_rating: Some(1300.0),
            radial_play: 8e-6,
            axial_play: 6e-5,
        },
        pair_spacing: 0.006,
        both_locate: true,
        seat: None,
        pin: Pin {
            diameter: 0.004,
            bore: 0.0,
            material: Material::shipped("stainless steel 304")
                .unwrap()
                .at_corner(Corner::Nominal),
            clamped_in: ClampedIn::Inner,
        },
        measured: MeasuredJoints::AS_DESIGNED,
    }
}

/// The same design with bearings, pins and layers; the pair's stiffness by hand.
pub fn built(mut design: Design, arrangement: Arrangement) -> Design {
    let parts = joint_parts();
    design.joints.stiffness = Some(JointStiffness {
        axial: (2.0 * parts.bearing.axial.value).into(),
        radial: (2.0 * parts.bearing.radial.value).into(),
        tilt: (0.5 * parts.bearing.radial.value * parts.pair_spacing.powi(2)).into(),
    });
    design.joints.parts = Some(parts);
    design.joints.boss_diameter = 0.018;
    design.layers = Some(Layers {
        arrangement,
        gap: 0.5e-3,
        clearance: 0.5e-3,
        boss_height: None,
        base: BaseDrives {
            shaft_diameter: 0.008,
            hollow_shaft: [0.014, 0.010],
            housing_diameter: 0.04,
            housing_height: 0.03,
        }
        .into(),
    });
    design
}

/// The elastic model of a design.
pub fn model(design: &Design) -> Arc<Model> {
    let subject = Subject::alone(design, Margins::default()).unwrap();
    Arc::clone(subject.model().unwrap())
}
