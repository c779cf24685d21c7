//! What a linkage without a fixed first axis answers: one tool direction at a time.

use nalgebra::Vector3;

use crate::linkage::Configuration;

/// A configuration found for a tool direction or for mechanism angles.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Mechanism angles, rad in (−π, π].
    pub mechanism: [f64; 2],
    /// One rotation per body.
    pub configuration: Configuration,
    /// Tool direction, base frame, unit.
    pub tool: Vector3<f64>,
    /// Velocity of the tool direction, base frame, per unit rate of each mechanism angle, 1.
    pub velocity: [Vector3<f64>; 2],
    /// Which of the configurations that no motion joins without a singularity; what the
    /// number stands for is the family's own affair.
    pub branch: i8,
    /// Angle from the nearest type 1 singularity of its own (a chain in line), rad.
    pub type_one: f64,
    /// Angle from the nearest type 2 singularity (transmission angle), rad; `None` where no
    /// such angle is known and the index alone tells.
    pub type_two: Option<f64>,
}

/// Answers by tool direction, where nothing turns as a whole about one axis.
pub trait ByDirection: Send + Sync + std::fmt::Debug {
    /// The configuration that points the tool along a direction (base frame, unit), in the
    /// mode the linkage is used in; `None` out of reach and on a singularity.
    fn at(&self, direction: &Vector3<f64>) -> Option<Placed>;

    /// The configuration at mechanism angles, rad, in that mode; where two are in it, the
    /// one of the stated branch. `None` where there is none or on a singularity.
    fn forward(&self, mechanism: [f64; 2], branch: i8) -> Option<Placed>;
}
