//! Kinematics: where the tool points for given joint angles, and back.
//!
//! Two independent ways: the closed form of the families (`family::meridian`) and
//! Newton's closure of any bodies and joints ([`closure`]). Parts: [`pose`]
//! (forward), [`inverse`], [`jacobian`], [`conditioning`] (LCI, GCI, coverage),
//! [`working_range`] (both types of singularity, margins, the connected ranges),
//! [`range_choice`] (the one range in use), [`singular_bands`] (where both types lie on
//! the dome), [`drag`] (a joint pulled by the hand).

pub mod by_closure;
pub mod cells;
pub mod closure;
pub mod conditioning;
pub mod drag;
pub mod inverse;
pub mod jacobian;
pub mod pose;
pub mod range_choice;
pub mod screen;
pub mod singular_bands;
pub mod working_range;
pub mod workspace;

pub use crate::family::meridian::{Meridian, STAGES_MAX};
pub use closure::{ClosureError, ClosureSolution};
pub use conditioning::{ConditioningSummary, Coverage};
pub use drag::{DragError, drag_joint};
pub use inverse::{Unreachable, inverse};
pub use pose::{Kinematics, KinematicsError, Pose};
pub use singular_bands::{SingularBands, singular_bands};
pub use working_range::{Margins, WorkingRange};
pub use workspace::{CellRange, CellSummary, Workspace};
