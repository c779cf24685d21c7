//! What weights may tell of a prototype.
//!
//! Inside a fit every unknown is a *coordinate* that is 0 where the prototype is as designed:
//! the natural logarithm of a factor, or the quantity itself.

use crate::design::{Design, JointStiffness, Support};
use crate::elasticity::Material;
use crate::uncertain::Uncertain;

/// One unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightParameter {
    /// Factor on Young's and shear modulus of the bars.
    BarModulus,
    /// Factor on the tilt stiffness of every joint.
    JointTilt,
    /// Factor on the radial and the axial stiffness of every joint.
    JointRadial,
    /// Factor on the holding stiffness of the drives.
    DriveHolding,
    /// Factor on all compliances of the support, for a design that has one.
    SupportCompliance,
    /// Compliance of the base about any axis across its own, taken at the joints' radius on
    /// the base axis, rad/(N·m), for a design on rigid ground.
    BaseTilt,
    /// Play (dead zone) at the tip along the pull, m.
    Play,
    /// Width of the friction loop at the tip along the pull, m.
    Friction,
}

/// What an unknown is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightMeasure {
    /// Factor on the design's value.
    Factor,
    /// rad/(N·m).
    TiltCompliance,
    /// m.
    Length,
}

/// Errors of workshops that unknowns are weighed by (common practice, no source): a modulus
/// off by 10 %, a stiffness of joints, drives or support by a factor of two, a base that
/// tilts by 10 µrad/(N·m), 0.05 mm of play or friction.
const TYPICAL_MODULUS: f64 = 0.1;
const TYPICAL_STIFFNESS: f64 = 0.7;
const TYPICAL_BASE: f64 = 1e-5;
const TYPICAL_LENGTH: f64 = 0.05e-3;

impl WeightParameter {
    /// The unknowns of a design, in this order in every list.
    pub fn of(design: &Design) -> Vec<Self> {
        let mut list = vec![Self::BarModulus];
        if design.joints.stiffness.is_some() {
            list.extend([Self::JointTilt, Self::JointRadial]);
        }
        if design.drives.holding.is_some() {
            list.push(Self::DriveHolding);
        }
        list.push(if design.mount.support.is_some() {
            Self::SupportCompliance
        } else {
            Self::BaseTilt
        });
        list.extend([Self::Play, Self::Friction]);
        list
    }

    /// Name without its unit, as options and results write it.
    pub fn name(self) -> &'static str {
        match self {
            Self::BarModulus => "bar_modulus",
            Self::JointTilt => "joint_tilt_stiffness",
            Self::JointRadial => "joint_radial_stiffness",
            Self::DriveHolding => "drive_holding_stiffness",
            Self::SupportCompliance => "support_compliance",
            Self::BaseTilt => "base_tilt_compliance",
            Self::Play => "play",
            Self::Friction => "friction_loop",
        }
    }

    /// What its value is measured in.
    pub fn measure(self) -> WeightMeasure {
        match self {
            Self::BaseTilt => WeightMeasure::TiltCompliance,
            Self::Play | Self::Friction => WeightMeasure::Length,
            _ => WeightMeasure::Factor,
        }
    }

    /// Error of typical size of its coordinate: of the logarithm for a factor.
    pub fn typical(self) -> f64 {
        match self {
            Self::BarModulus => TYPICAL_MODULUS,
            Self::BaseTilt => TYPICAL_BASE,
            Self::Play | Self::Friction => TYPICAL_LENGTH,
            _ => TYPICAL_STIFFNESS,
        }
    }

    /// Value at a coordinate: the factor, rad/(N·m) or m.
    pub fn value(self, coordinate: f64) -> f64 {
        match self.measure() {
            WeightMeasure::Factor => coordinate.exp(),
            _ => coordinate,
        }
    }

    /// Whether the elastic model depends on it.
    pub(super) fn is_elastic(self) -> bool {
        !matches!(self, Self::Play | Self::Friction)
    }
}

/// The design with the unknowns at these coordinates; bands move with their values. Play and
/// friction change nothing.
///
/// # Arguments
/// - `coordinates`: in the order of `parameters`; logarithms for factors.
pub fn applied(design: &Design, parameters: &[WeightParameter], coordinates: &[f64]) -> Design {
    let mut changed = design.clone();
    for (parameter, coordinate) in parameters.iter().zip(coordinates) {
        let factor = coordinate.exp();
        match parameter {
            WeightParameter::BarModulus => changed.material = stiffened(&changed.material, factor),
            WeightParameter::JointTilt => {
                if let Some(joint) = &mut changed.joints.stiffness {
                    joint.tilt = joint.tilt.scaled(factor);
                }
            }
            WeightParameter::JointRadial => {
                if let Some(joint) = &changed.joints.stiffness {
                    changed.joints.stiffness = Some(JointStiffness {
                        axial: joint.axial.scaled(factor),
                        radial: joint.radial.scaled(factor),
                        tilt: joint.tilt,
                    });
                }
            }
            WeightParameter::DriveHolding => {
                let holding = changed.drives.holding;
                changed.drives.holding = holding.map(|holding| holding.scaled(factor));
            }
            WeightParameter::SupportCompliance => {
                let support = changed.mount.support.take();
                changed.mount.support = support.map(|support| softened(support, factor));
            }
            WeightParameter::BaseTilt => {
                if *coordinate != 0.0 {
                    changed.mount.support = Some(tilting(design.joint_radius, *coordinate));
                }
            }
            WeightParameter::Play | WeightParameter::Friction => {}
        }
    }
    changed
}

fn stiffened(material: &Material, factor: f64) -> Material {
    Material {
        youngs_modulus: material.youngs_modulus.scaled(factor),
        shear_modulus: material.shear_modulus.scaled(factor),
        ..material.clone()
    }
}

fn softened(support: Support, factor: f64) -> Support {
    let divided = |stiffness: Uncertain| stiffness.scaled(1.0 / factor);
    match support {
        Support::Springs {
            at_radius,
            axial,
            lateral,
            tilt,
            twist,
        } => Support::Springs {
            at_radius,
            axial: divided(axial),
            lateral: divided(lateral),
            tilt: divided(tilt),
            twist: divided(twist),
        },
        Support::Column {
            at_radius,
            direction,
            length,
            section,
            material,
        } => Support::Column {
            material: stiffened(&material, 1.0 / factor),
            at_radius,
            direction,
            length,
            section,
        },
    }
}

/// A base that only tilts; a compliance below 0, which differences need, is taken as it is.
fn tilting(at_radius: f64, compliance: f64) -> Support {
    let rigid = Uncertain::exact(f64::INFINITY);
    Support::Springs {
        at_radius,
        axial: rigid,
        lateral: rigid,
        tilt: Uncertain::exact(1.0 / compliance),
        twist: rigid,
    }
}
