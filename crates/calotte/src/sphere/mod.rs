//! The unit sphere: directions, arcs, triangles, regions of directions and grids over them.
//!
//! Parts: [`direction`] (polar and azimuth, local frames), [`triangle`]
//! (spherical trigonometry), [`interval`] (sets of azimuths), [`region`]
//! (what must be covered), [`polygon`] (regions with corners), [`enclosing`] (the smallest cap
//! that holds directions).

pub mod direction;
pub mod enclosing;
mod error;
pub mod interval;
pub mod polygon;
pub mod quadrature;
pub mod region;
pub mod triangle;

pub use direction::{Direction, LocalFrame, arc_between, unit};
pub use error::RegionError;
pub use interval::AzimuthSet;
pub use region::{Exclusion, Region, Shape};
