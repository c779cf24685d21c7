//! What moving parts keep clear of: distances to keep-out volumes, the coverage
//! that remains, swept volume, park configuration and the way in and out.
//!
//! Parts: [`shape`] (keep-outs, checked), [`piece_distance`](mod@piece_distance)
//! (a piece and a keep-out), [`clear`] (a design at one configuration), [`motion`]
//! (what lies between configurations), [`coverage`] (the map of what remains),
//! [`swept`] (the room the motion takes), [`park`], [`way`] (free ways between park
//! and work), [`approach`] (bringing the whole in along a line).
//! Derived in `docs/theory/surroundings.md`.

pub mod approach;
mod cell;
pub mod clear;
mod convex;
pub mod coverage;
mod judge;
mod mesh;
pub mod motion;
mod ordered;
pub mod park;
pub mod piece_distance;
mod piece_shape;
pub mod shape;
pub mod swept;
pub mod way;

pub use approach::{Approach, ApproachError};
pub use clear::{Clearance, Surroundings};
pub use coverage::{CoverageCell, RemainingCoverage, TRAVEL_MIN, Verdict};
pub use mesh::MeshError;
pub use park::{Park, park_range};
pub use piece_distance::{
    DEPTH_BOUND, DISTANCE_BOUND, Distance, MESH_DEPTH_BOUND, Scratch, Window, piece_distance,
};
pub use piece_shape::PieceShape;
pub use shape::{Obstacle, ShapeError};
pub use swept::{EXTENT_BOUND, SweptRoom};
pub use way::FreeWays;
