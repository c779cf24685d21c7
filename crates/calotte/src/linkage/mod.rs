//! A linkage is bodies and revolute joints through the remote centre.
//!
//! A body is a rigid set of joint directions and the arcs that tie them; a
//! joint ties a direction of one body to a direction of another. Families
//! build this one structure (`family::build`); every analysis reads only it.
//! Parts: [`constraints`] (on the sphere), [`spatial_constraints`], [`mobility`] (which
//! counts them), [`redundancy`] (redundant constraints in space), [`self_stress`] (where
//! they sit), [`release_sets`] (what removes them).

pub mod constraints;
pub mod mobility;
mod own;
pub mod redundancy;
pub mod release_sets;
pub mod self_stress;
pub mod spatial_constraints;

use nalgebra::{Matrix2, Matrix3, Rotation3, Vector3};
use thiserror::Error;

use crate::number::shown::degrees;

/// Bodies and joints with ground, drives and tool named.
#[derive(Debug, Clone, PartialEq)]
pub struct Linkage {
    /// All bodies; the first is the ground.
    pub bodies: Vec<Body>,
    /// All joints.
    pub joints: Vec<Joint>,
    /// The two joints whose angles the drives set.
    pub driven: [usize; 2],
    /// Angles of the driven joints from the active joint angles, 2×2.
    pub driven_from_active: Matrix2<f64>,
    /// Names of the active joints, in order.
    pub active_names: [&'static str; 2],
    /// The tool and the body it is fixed to.
    pub tool: ToolLine,
    /// A body kept at the mean of two others about a joint axis, if there is one.
    pub follower: Option<Follower>,
}

/// A rigid set of joint directions and arcs, in the body's own frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Name printed in results.
    pub name: String,
    /// Joint directions from the remote centre, unit vectors.
    pub stations: Vec<Vector3<f64>>,
    /// Arcs between stations, each the shorter great circle.
    pub arcs: Vec<BodyArc>,
    /// Level of the joints it starts from, 0 at the base; the ground's is 0.
    pub level: usize,
}

/// A circular arc of a body between two of its stations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BodyArc {
    /// Station where it starts.
    pub from: usize,
    /// Station where it ends.
    pub to: usize,
}

/// A place on a body.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Index of the body.
    pub body: usize,
    /// Index of its station.
    pub station: usize,
}

/// A revolute joint between two places whose directions coincide.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Name printed in results.
    pub name: String,
    /// What it is in its linkage.
    pub role: JointRole,
    /// How far it is from the base: 0 for base joints, then the stage, or the place in the
    /// chain.
    pub level: usize,
    /// First named body; the joint angle turns from it.
    pub first: Place,
    /// Second named body; the joint angle turns to it.
    pub second: Place,
    /// Direction of angle zero on the first body, unit, across the axis.
    pub first_reference: Vector3<f64>,
    /// Direction on the second body whose angle is measured.
    pub second_reference: Vector3<f64>,
    /// Directions that carry no load.
    pub release: Release,
}

/// What a joint is in its linkage, whatever its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointRole {
    /// Ties a bar to the ground.
    Base,
    /// Between two bars of one branch.
    Side,
    /// Where the branches meet.
    Apex,
    /// Carries the tool's own body, and nothing else.
    Tool,
}

/// Directions in which a joint carries no load, besides its own rotation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Release {
    /// Along the joint's own axis.
    pub axial: bool,
    /// About any axis across the joint's own.
    pub tilt: bool,
}

/// The tool line on its body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToolLine {
    /// Index of the body that carries it.
    pub body: usize,
    /// Station of the body the tool stands on.
    pub station: usize,
    /// Tool direction in the body's frame, unit.
    pub direction: Vector3<f64>,
    /// Tangent of the carrying arc continued outward at the tool direction, unit.
    pub tangent: Vector3<f64>,
}

/// A body whose rotation about a shared axis is the mean of two others'.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Follower {
    /// Index of the following body.
    pub body: usize,
    /// The two bodies it halves the angle between.
    pub between: [usize; 2],
    /// Direction on the following body that halves the angle, across its axis.
    pub reference: Vector3<f64>,
    /// Directions on the two bodies between which it lies.
    pub between_references: [Vector3<f64>; 2],
    /// Joint that ties it to the first of them.
    pub joint: usize,
}

/// One rotation per body: base frame from body frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Configuration {
    /// Rotations in the order of the bodies; the ground's is the identity.
    pub rotations: Vec<Rotation3<f64>>,
}

/// Which arc of a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArcPlace {
    /// Between the base axes.
    Base,
    /// Of a stage, counted from 0; both sides alike.
    OfStage {
        /// The stage.
        stage: usize,
        /// Whether it is the distal one, else the proximal.
        distal: bool,
    },
    /// Of one side.
    OfSide {
        /// Whether it is the right, else the left.
        right: bool,
        /// Whether it is the distal one, else the proximal.
        distal: bool,
    },
    /// The distal arc of one side together with the tool's bracket.
    WithBracket {
        /// Whether it is the right, else the left.
        right: bool,
    },
    /// One after the other, counted from 0.
    InSeries(usize),
}

impl std::fmt::Display for ArcPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let end = |distal: &bool| if *distal { "distal" } else { "proximal" };
        let side = |right: &bool| if *right { "right" } else { "left" };
        match self {
            Self::Base => f.write_str("base arc"),
            Self::OfStage { stage, distal } => {
                write!(f, "stage {}, {} arc", stage + 1, end(distal))
            }
            Self::OfSide { right, distal } => write!(f, "{} {} arc", side(right), end(distal)),
            Self::WithBracket { right } => {
                write!(f, "{} distal arc with its bracket", side(right))
            }
            Self::InSeries(0) => f.write_str("first arc"),
            Self::InSeries(1) => f.write_str("second arc"),
            Self::InSeries(index) => write!(f, "arc {}", index + 1),
        }
    }
}

/// A linkage that cannot be built.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LinkageError {
    /// An arc outside (0°, 180°).
    #[error("{place}: arc angle {} is outside 0° to 180°", degrees(.value))]
    ArcAngle {
        /// Which arc.
        place: ArcPlace,
        /// Its value, rad.
        value: f64,
    },
    /// Lists whose lengths do not belong together.
    #[error("{name} has {got} entries, expected {expected}")]
    ListLength {
        /// Which list.
        name: &'static str,
        /// Its length.
        got: usize,
        /// The length that fits.
        expected: usize,
    },
    /// A number of stages outside what is supported.
    #[error("{got} stages; a {family} needs 1 to {max}")]
    Stages {
        /// The family in words.
        family: &'static str,
        /// The number given.
        got: usize,
        /// The most there may be.
        max: usize,
    },
    /// Something that must be a finite number in a range is not.
    #[error("{name} is {value}, must be {allowed}")]
    Value {
        /// Which value.
        name: &'static str,
        /// The value, SI.
        value: f64,
        /// What is allowed.
        allowed: &'static str,
    },
    /// A joint is named that does not exist.
    #[error("no joint is named {name:?}; the joints are {}", known.join(", "))]
    UnknownJoint {
        /// The name given.
        name: String,
        /// The names there are.
        known: Vec<String>,
    },
    /// A drive rides on a bar that does not hold its axis.
    #[error(
        "the drive of {joint} cannot ride on {carrier:?}, which its axis does not go through; it can ride on base, {}",
        known.join(", ")
    )]
    DriveCarrier {
        /// The active joint.
        joint: &'static str,
        /// Its place among the active joints.
        active: usize,
        /// The name given.
        carrier: String,
        /// The bars there are.
        known: &'static [&'static str],
    },
    /// Chains that meet nowhere, whatever the drives do.
    #[error(
        "the two chains meet nowhere: they span {} and {} from base axes {} apart",
        span(.spans[0]), span(.spans[1]), degrees(.base_arc)
    )]
    NeverMeets {
        /// Least and greatest arc each spans from its base axis, rad.
        spans: [[f64; 2]; 2],
        /// Arc between the base axes, rad.
        base_arc: f64,
    },
    /// Something that the family does not answer yet.
    #[error(transparent)]
    NotAvailable(#[from] crate::family::parameters::NotAvailable),
    /// The section has an impossible size.
    #[error(transparent)]
    Section(#[from] crate::stock::SectionError),
    /// Own sections or joints do not belong to the linkage.
    #[error(transparent)]
    Own(#[from] crate::design::OwnError),
    /// Two joints of one body lie on one direction.
    #[error(
        "body {body}: stations {first} and {second} lie in one direction, its arc has no plane"
    )]
    CoincidentStations {
        /// Name of the body.
        body: String,
        /// First station, from 1.
        first: usize,
        /// Second station, from 1.
        second: usize,
    },
}

/// A span in words.
fn span([from, to]: [f64; 2]) -> String {
    format!("{} to {}", degrees(&from), degrees(&to))
}

impl Linkage {
    /// Closed loops of bodies and joints that do not follow from each other; without any
    /// there is no type 2 singularity.
    pub fn loops(&self) -> usize {
        (self.joints.len() + 1).saturating_sub(self.bodies.len())
    }

    /// Joint axis in the base frame, unit: the mean of the two bodies' directions.
    pub fn joint_axis(&self, joint: &Joint, configuration: &Configuration) -> Vector3<f64> {
        let first = self.direction(joint.first, configuration);
        let second = self.direction(joint.second, configuration);
        (first + second).normalize()
    }

    /// Direction of a place in the base frame, unit.
    pub fn direction(&self, place: Place, configuration: &Configuration) -> Vector3<f64> {
        configuration.rotations[place.body] * self.bodies[place.body].stations[place.station]
    }

    /// Joint angle, rad in [0, 2π): from the first body's reference to the
    /// second's, right-handed about the outward axis.
    pub fn joint_angle(&self, joint: &Joint, configuration: &Configuration) -> f64 {
        let axis = self.joint_axis(joint, configuration);
        let from = configuration.rotations[joint.first.body] * joint.first_reference;
        let to = configuration.rotations[joint.second.body] * joint.second_reference;
        crate::sphere::direction::wrap_positive(
            axis.dot(&from.cross(&to))
                .atan2(from.dot(&to) - axis.dot(&from) * axis.dot(&to)),
        )
    }

    /// Tool direction in the base frame, unit.
    pub fn tool_direction(&self, configuration: &Configuration) -> Vector3<f64> {
        configuration.rotations[self.tool.body] * self.tool.direction
    }

    /// The joints that no drive sets, in order.
    pub fn passive_joints(&self) -> impl Iterator<Item = (usize, &Joint)> {
        self.joints
            .iter()
            .enumerate()
            .filter(|(index, _)| !self.driven.contains(index))
    }

    /// Index of the joint of this name.
    ///
    /// # Errors
    /// [`LinkageError::UnknownJoint`] with the names there are.
    pub fn joint_named(&self, name: &str) -> Result<usize, LinkageError> {
        self.joints
            .iter()
            .position(|joint| joint.name == name)
            .ok_or_else(|| LinkageError::UnknownJoint {
                name: name.to_string(),
                known: self.joints.iter().map(|j| j.name.clone()).collect(),
            })
    }

    /// Place of a body on the axis of a joint, or of a joint that shares a place with it.
    pub fn place_on_axis(&self, joint: usize, body: &str) -> Option<Place> {
        let own = [self.joints[joint].first, self.joints[joint].second];
        let places = self.joints.iter().map(|joint| [joint.first, joint.second]);
        places
            .filter(|places| places.iter().any(|place| own.contains(place)))
            .flatten()
            .find(|place| self.bodies[place.body].name == body)
    }

    /// Greatest distance between the two directions of any joint, rad: how well
    /// a configuration closes.
    pub fn closure_error(&self, configuration: &Configuration) -> f64 {
        self.joints
            .iter()
            .map(|joint| {
                crate::sphere::arc_between(
                    &self.direction(joint.first, configuration),
                    &self.direction(joint.second, configuration),
                )
            })
            .fold(0.0, f64::max)
    }
}

/// Rotation that takes a body-frame direction and tangent to base-frame ones.
pub(crate) fn rotation_from_pairs(
    direction_in_base: &Vector3<f64>,
    tangent_in_base: &Vector3<f64>,
    direction_in_body: &Vector3<f64>,
    tangent_in_body: &Vector3<f64>,
) -> Rotation3<f64> {
    let triad = |u: &Vector3<f64>, t: &Vector3<f64>| Matrix3::from_columns(&[*u, *t, u.cross(t)]);
    Rotation3::from_matrix_unchecked(
        triad(direction_in_base, tangent_in_base)
            * triad(direction_in_body, tangent_in_body).transpose(),
    )
}

/// Unit tangent at `from` of the great circle towards `to`; both unit vectors.
/// `None` where the two lie in one line with the centre.
pub fn tangent_towards(from: &Vector3<f64>, to: &Vector3<f64>) -> Option<Vector3<f64>> {
    let across = to - from * from.dot(to);
    crate::sphere::unit(&across)
}
