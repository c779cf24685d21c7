//! What can be bought or cut, and what it does; knows no design.
//!
//! - [`Material`]: constants with their bands; [`Section`]: sizes and constants of a bar.
//! - [`Bearing`]: sizes, stiffness and play of one bearing; its stiffness at a load,
//!   under preload, and the typical band.
//! - [`ShippedBearing`]: the table of common ball bearings.
//! - `bushing`: a plain bushing as an elastic layer.
//! - [`PointContact`]: Hertz contact of two bodies; [`palmgren_approach`].
//! - [`BallSet`]: the balls between two races under radial and axial load.
//! - ratings: [`static_equivalent_load`], [`static_safety`], [`basic_rating_life`],
//!   [`friction_torque`].
//! - [`Fit`]: clearances by ISO 286; [`clearance_tilt`].
//! - [`DoubleShearPin`]: stress in a pin held on both sides.
//! - [`TYPICAL_DRIVE`], [`TYPICAL_GROUND`]: what drives and ground usually are.
//! - [`Process`]: how parts are made, and how thin a wall each way leaves.
//!
//! Derived in `docs/theory/machine-elements.md`; what two bearings on one pin make is the
//! design's (`design::joint_pair`).

mod ball_set;
mod bearing;
mod bearing_load;
mod bearing_table;
mod bushing;
mod contact;
mod error;
mod fits;
pub mod material;
mod pin_stress;
mod process;
mod ratings;
pub mod section;
mod supports;

pub use ball_set::{AxialState, BallPlacement, BallSet, RadialState};
pub use bearing::{Bearing, BearingKind, StiffnessAt, TYPICAL_LOADS};
pub use bearing_table::{
    BearingSeries, RowSource, ShippedBearing, one_size_down, series_of, shipped_bearings,
};

pub use contact::{ContactState, ElasticConstants, PointContact, Race, palmgren_approach};
pub use error::MachineElementError;
pub use fits::{Fit, Limits, clearance_tilt, hole_limits, international_tolerance, shaft_limits};
pub use material::{Material, shipped_materials};
pub use pin_stress::{DoubleShearPin, DoubleShearStress};
pub use process::{Process, ProcessLimits};
pub use ratings::{basic_rating_life, friction_torque, static_equivalent_load, static_safety};
pub use section::{Section, SectionConstants, SectionError};
pub use supports::{SUPPORTS_SOURCE, TYPICAL_DRIVE, TYPICAL_GROUND, TYPICAL_GROUND_TURNING};

pub(crate) use bushing::positive_band;
pub(crate) use error::{not_negative, positive};
