//! Designs that several integration tests use.
#![allow(dead_code, missing_docs)]

use calotte::design::{
    Design, DriveLayout, DriveRange, Drives, Family, JointProperties, JointStiffness, Mount,
    ScissorLinkage, Tool, ToolCarrier, TwoArcArm,
};
use calotte::elasticity::{Material, Section};
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
            holding: None,
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
    design(Family::ScissorLinkage(ScissorLinkage::uniform(
        stages,
        arc_deg * DEGREE,
    )))
}

pub fn scissor(proximal: &[f64], distal: &[f64], bends: &[f64]) -> Design {
    design(Family::ScissorLinkage(ScissorLinkage {
        proximal_arcs: degrees(proximal),
        distal_arcs: degrees(distal),
        bends: degrees(bends),
        assembly_modes: vec![1; proximal.len()],
    }))
}

pub fn arm(first: f64, second: f64) -> Design {
    design(Family::TwoArcArm(TwoArcArm {
        arcs: [first * DEGREE, second * DEGREE],
    }))
}

/// The joint stiffnesses of the reference table.
pub fn reference_joints() -> JointStiffness {
    JointStiffness {
        axial: Uncertain::exact(3e6),
        radial: Uncertain::exact(6e6),
        tilt: Uncertain::exact(300.0),
    }
}
