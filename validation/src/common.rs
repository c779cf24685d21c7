//! Designs and unit conversions that several topics use.

use calotte::Uncertain;
use calotte::design::{
    Design, DriveLayout, DriveRange, Drives, Family, JointProperties, Mount, ScissorLinkage, Tool,
    ToolCarrier,
};
use calotte::kinematics::conditioning::{ConditioningSummary, conditioning};
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::{Kinematics, Margins, WorkingRange};
use calotte::sphere::Region;
use calotte::stock::{Material, Process, Section};

/// One degree, rad.
pub(crate) const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Degrees to radians.
pub(crate) fn radians(values: &[f64]) -> Vec<f64> {
    values.iter().map(|v| v * DEGREE).collect()
}

/// An isotropic material of two elastic constants, Pa; density and strength are nominal.
pub(crate) fn isotropic(youngs_modulus: f64, shear_modulus: f64) -> Material {
    Material {
        name: String::new(),
        youngs_modulus: Uncertain::exact(youngs_modulus),
        shear_modulus: Uncertain::exact(shear_modulus),
        density: Uncertain::exact(2700.0),
        yield_strength: Uncertain::exact(1e8),
        source: String::new(),
        process: Process::Milled,
        creep: Uncertain::exact(1.0),
    }
}

/// The material of Young's modulus in Pa and Poisson's ratio.
pub(crate) fn by_poisson(youngs_modulus: f64, poisson_ratio: f64) -> Material {
    isotropic(
        youngs_modulus,
        youngs_modulus / (2.0 * (1.0 + poisson_ratio)),
    )
}

/// Bars of 12 mm across by 6 mm along the radius at 150 mm, E = 68.9 GPa,
/// G = 26 GPa, rigid joints, two bars driven, tool on the left last bar at 150 mm.
pub(crate) fn design(family: Family) -> Design {
    Design {
        title: String::new(),
        family,
        joint_radius: 0.15,
        section: Section::Rectangle {
            tangential: 0.012,
            radial: 0.006,
        },
        material: isotropic(68.9e9, 26e9),
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

/// Scissor linkage of equal arcs without bends, degrees.
pub(crate) fn uniform(stages: usize, arc: f64) -> Design {
    design(Family::scissor_linkage(ScissorLinkage::uniform(
        stages,
        arc * DEGREE,
    )))
}

/// Scissor linkage in assembly mode +1, degrees.
pub(crate) fn scissor(proximal: &[f64], distal: &[f64], bends: &[f64]) -> Design {
    design(Family::scissor_linkage(ScissorLinkage {
        proximal_arcs: radians(proximal),
        distal_arcs: radians(distal),
        bends: radians(bends),
        assembly_modes: vec![1; proximal.len()],
        sides: Default::default(),
    }))
}

/// The bent scissor linkage of the reference values.
pub(crate) fn bent() -> Design {
    scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0])
}

/// Two-arc arm, degrees.
pub(crate) fn arm(first: f64, second: f64) -> Design {
    design(Family::two_arc_arm([first * DEGREE, second * DEGREE]))
}

/// The working range over a region in the base frame and the conditioning in it.
pub(crate) fn conditioning_over(
    design: &Design,
    region: &Region,
) -> Option<(ConditioningSummary, WorkingRange)> {
    let kinematics = Kinematics::new(design).ok()?;
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        region,
    )?;
    Some((conditioning(&kinematics, &range, region), range))
}
